"""The job file's tables and keys.

What one key needs is said here; what several keys need together is checked in ``checks``. Annotations are
evaluated at once, not kept as text, and the models are built once with the root: both save start-up time.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Key

from locksweep.job.fields import (
    Choice,
    Count,
    Depths,
    Direction,
    Later,
    MaterialName,
    Panel,
    PartNames,
    Point,
    Quantity,
    Shift,
    Text,
    Thread,
    Tyre,
)
from locksweep.job.search_fields import Percents, Range, Taper
from solver.car import FixedTo, Vector

Name = Annotated[str, Text()]
Material = Annotated[str, MaterialName("a material in quotes")]
TyreSize = Annotated[str, Tyre()]
Units = Literal["mm", "in"]
Cutting = Literal["waterjet", "laser", "plasma"]
SideOrBoth = Annotated[Literal["left", "right", "both"], Choice("left", "right", "both")]
FixedToPart = Annotated[FixedTo, Choice("body", "arm", "knuckle")]
Measured = Annotated[Vector, Point()]
UnitVector = Annotated[Vector, Direction()]
Move = Annotated[dict[str, float], Shift()]
Size = Annotated[float, Quantity("length", 0.5, 1000)]
SmallSize = Annotated[float, Quantity("length", 0.1, 100)]
SizeOrNothing = Annotated[float, Quantity("length", 0, 300)]
Travel = Annotated[float, Quantity("length", 1, 300)]
Wall = Annotated[float, Quantity("length", 0.5, 30)]
RimWidth = Annotated[float, Quantity("length", 75, 400)]
Offset = Annotated[float, Quantity("length", -200, 200)]
TyreMeasure = Annotated[float, Quantity("length", 100, 1200)]
RodLength = Annotated[float, Quantity("length", 50, 1000)]
CornerMass = Annotated[float, Quantity("mass", 30, 2000)]
Camber = Annotated[float, Quantity("angle", -15, 15)]
Toe = Annotated[float, Quantity("angle", -5, 5)]
JointAngle = Annotated[float, Quantity("angle", 3, 80)]
ABOUT_BODY = "locksweep.job.body_tables"
ABOUT_SEARCH = "locksweep.job.search_tables"
ABOUT_LOADS = "locksweep.job.load_tables"


class Table(BaseModel):
    """Any table: a key that is not known is an error, since it is a typing error or a wish unheard."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class JobTable(Table):
    """[job]"""

    name: Name
    units: Annotated[Units, Choice("mm", "in")]


class GoalTable(Table):
    """[goal]"""

    lock: Annotated[float, Quantity("angle", 10, 85)]
    clearance: Annotated[float, Quantity("length", 0, 100)]
    over_centre_margin: Annotated[float, Quantity("angle", 0, 60)]
    track: Annotated[float, Quantity("length", 800, 2500)] | None = None
    max_arm_extension: Annotated[float, Quantity("length", 0, 200)] = 60.0
    ackermann: Annotated[tuple[float, float], Percents()] | None = None
    camber: Annotated[tuple[float, float], Range("angle", -15, 15)] | None = None
    least_caster: Annotated[float, Quantity("angle", -5, 20)] | None = None
    inclination_kept: Annotated[float, Quantity("angle", 0, 20)] | None = None
    bump_steer: Annotated[float, Quantity("angle", 0.01, 20)] | None = None


class MassTable(Table):
    """[car.corner_masses], under the front wheels"""

    left: CornerMass
    right: CornerMass


class LeftTable(Table):
    """[car.left]"""

    arm_front_pivot: Measured
    arm_rear_pivot: Measured
    ball_joint: Measured
    strut_top: Measured
    damper_point: Measured
    inner_joint: Measured
    pickup: Measured
    wheel_centre: Measured
    toe: Toe
    camber: Camber


class RightTable(Table):
    """[car.right]: a key that is not given is the mirror of the left one"""

    arm_front_pivot: Measured | None = None
    arm_rear_pivot: Measured | None = None
    ball_joint: Measured | None = None
    strut_top: Measured | None = None
    damper_point: Measured | None = None
    inner_joint: Measured | None = None
    pickup: Measured | None = None
    wheel_centre: Measured | None = None
    toe: Toe | None = None
    camber: Camber | None = None


class CarTable(Table):
    """[car]"""

    name: Name
    wheelbase: Annotated[float, Quantity("length", 1000, 5000)]
    bump_travel: Travel
    droop_travel: Travel
    corner_masses: MassTable
    left: LeftTable
    right: RightTable = RightTable.model_construct()


class RackTable(Table):
    """[rack]"""

    direction: UnitVector = (0.0, 1.0, 0.0)
    travel_each_side: Travel
    travel_per_turn: Travel
    end_diameter: SmallSize
    housing_bore: SmallSize
    stud_thread: Annotated[tuple[float, float], Thread()]
    stud_engaged: SmallSize
    tooth_travel: Travel | None = None


class SectionTable(Table):
    """[arm.section]"""

    shape: Annotated[Literal["round", "rectangular"], Choice("round", "rectangular")]
    diameter: Size | None = None
    width: Size | None = None
    height: Size | None = None
    wall: Wall | None = None
    corner_radius: SizeOrNothing = 0.0
    construction: Annotated[
        Literal["tube", "pressed", "forged", "cast"], Choice("tube", "pressed", "forged", "cast")
    ]
    material: Material


class ArmTable(Table):
    """[arm]"""

    link_start: Annotated[
        Literal["front pivot", "rear pivot", "between pivots"],
        Choice("front pivot", "rear pivot", "between pivots"),
    ]
    clear_radius: Size
    cut_distance: Size | None = None
    brace_offset: Size | None = None
    section: SectionTable


class StrutTable(Table):
    """[strut]"""

    tube_radius: Size | None = None
    tube_diameter: Size | None = None
    tube_length: Size
    rod_diameter: SmallSize | None = None


class WheelTable(Table):
    """[wheel]"""

    tyre: TyreSize
    rim_width: RimWidth
    offset: Offset
    outside_diameter: TyreMeasure | None = None
    section_width: TyreMeasure | None = None
    loaded_radius: TyreMeasure | None = None


class NewWheelTable(Table):
    """[changes.wheel]: a key that is not given stays as measured"""

    tyre: TyreSize | None = None
    rim_width: RimWidth | None = None
    offset: Offset | None = None
    outside_diameter: TyreMeasure | None = None
    section_width: TyreMeasure | None = None
    loaded_radius: TyreMeasure | None = None


class TieRodTable(Table):
    """[tie_rod]"""

    shortest: RodLength | None = None
    longest: RodLength | None = None
    diameter: SmallSize | None = None
    taper: Annotated[str, Taper()] | None = None


class JointsTable(Table):
    """[joints]"""

    rod_inner: JointAngle | None = None
    rod_outer: JointAngle | None = None
    ball_joint: JointAngle | None = None


class KeepClearTable(Table):
    """[[keep_clear]]"""

    name: Name
    start: Annotated[Measured, Key(alias="from")]
    end: Annotated[Measured | None, Key(alias="to")] = None
    radius: SizeOrNothing
    fixed_to: FixedToPart
    side: SideOrBoth = "both"
    uncertainty: Annotated[float, Quantity("length", 0, 200)] | None = None


class WheelWellTable(Table):
    """[[wheel_well]]"""

    name: Name
    side: SideOrBoth = "both"
    panel: Annotated[tuple[Vector, ...], Panel()]
    thickness: Wall
    room: Annotated[tuple[float, ...], Depths()] | None = None


class StopTable(Table):
    """[[stop]]"""

    mount: Measured
    normal: UnitVector
    contact: Measured
    attachment: Annotated[Literal["bolt", "weld"], Choice("bolt", "weld")]
    side: SideOrBoth = "both"


class ChangesTable(Table):
    """[changes]"""

    rack_spacer: Annotated[float, Quantity("length", 0, 50)] | None = None
    arm_extension: Annotated[float, Quantity("length", 0, 200)] | None = None
    pickup_move: Move | None = None
    tie_rod_length: RodLength | None = None
    rack_shift: Move | None = None
    ball_joint_drop: Annotated[float, Quantity("length", 0, 100)] = 0.0
    strut_top_shift: Move | None = None
    ride_height_drop: Annotated[float, Quantity("length", -150, 150)] = 0.0
    wheel: NewWheelTable | None = None


class PartsTable(Table):
    """[parts]"""

    rack_spacer_material: Material | None = None
    sleeve_material: Material | None = None
    bracket_material: Material | None = None
    plate_material: Material | None = None
    plate_thickness: Annotated[float, Quantity("length", 0.5, 6)] | None = None
    plate_facets: Annotated[int, Count(1, 4)] | None = None
    stock: Annotated[Units, Choice("mm", "in")] | None = None
    cutting: Annotated[Cutting, Choice("waterjet", "laser", "plasma")] | None = None
    override: Annotated[tuple[str, ...], PartNames()] | None = None


class FileTable(Table):
    """The whole job file"""

    job: JobTable
    goal: GoalTable
    car: CarTable
    rack: RackTable
    arm: ArmTable
    strut: StrutTable
    wheel: WheelTable
    tie_rod: TieRodTable | None = None
    tie_rod_choice: Annotated[Any, Later(ABOUT_SEARCH, "TieRodChoiceTable", many=True)] = ()
    may_change: Annotated[Any, Later(ABOUT_SEARCH, "MayChangeTable", many=False)] = None
    joints: JointsTable | None = None
    keep_clear: list[KeepClearTable] = []
    wheel_well: list[WheelWellTable] = []
    stop: list[StopTable] = []
    changes: ChangesTable = ChangesTable.model_construct()
    parts: PartsTable = PartsTable.model_construct()
    loads: Annotated[Any, Later(ABOUT_LOADS, "LoadsTable", many=False)] = None
    load_case: Annotated[Any, Later(ABOUT_LOADS, "LoadCaseTable", many=True)] = ()
    steering_arm: Annotated[Any, Later(ABOUT_LOADS, "SteeringArmTable", many=False)] = None
    uncertainty: Annotated[Any, Later("locksweep.job.uncertainty_tables", "UncertaintyTable", many=False)] = (
        None
    )
    marking: Annotated[Any, Later("locksweep.job.marking_tables", "MarkingTable", many=False)] = None
    printing: Annotated[Any, Later("locksweep.job.printing_tables", "PrintingTable", many=False)] = None
    body: Annotated[Any, Later(ABOUT_BODY, "BodyTable", many=True)] = ()
    ring: Annotated[Any, Later(ABOUT_BODY, "RingTable", many=True)] = ()
    reference: Annotated[Any, Later(ABOUT_BODY, "ReferenceTable", many=True)] = ()
    sweep: Annotated[Any, Later(ABOUT_BODY, "SweepTable", many=False)] = None
