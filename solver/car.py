"""The measured car, the goal and the changes: plain frozen data that the job file is turned into.

Axes after ISO 8855: x forward, y left, z up; origin on the ground in the centre plane on the line through
the front wheel centres at the measured ride height. Lengths in mm, angles in radians, masses in kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal

from solver.loading.inputs import LoadInputs

if TYPE_CHECKING:
    from solver.body.source import Surroundings
    from solver.marking import Marking
    from solver.printing import Printing

Vector = tuple[float, float, float]

FixedTo = Literal["body", "arm", "knuckle"]
Side = Literal["left", "right"]


@dataclass(frozen=True)
class CornerPoints:
    """Points of one corner at the measured ride height, rack centred, wheels straight ahead; mm and radians.

    damper_point: a second point on the damper axis, well below the strut top
    inner_joint: centre of the inner tie-rod joint
    pickup: centre of the outer tie-rod joint on the knuckle
    toe: of this wheel, positive toed in
    camber: negative when the top leans in
    """

    arm_front_pivot: Vector
    arm_rear_pivot: Vector
    ball_joint: Vector
    strut_top: Vector
    damper_point: Vector
    inner_joint: Vector
    pickup: Vector
    wheel_centre: Vector
    toe: float = 0.0
    camber: float = 0.0

    def mirrored(self) -> CornerPoints:
        """The same corner on the other side of the car."""
        flip: dict[str, Any] = {
            name: (value[0], -value[1], value[2])
            for name, value in vars(self).items()
            if isinstance(value, tuple)
        }
        return replace(self, **flip)


@dataclass(frozen=True)
class Rack:
    """Steering rack; mm.

    direction: unit vector of the rack's motion, pointing to the left
    travel_each_side: from centre to the stop
    travel_per_turn: of the steering wheel
    end_diameter: of the rack bar's end, against which a spacer sits
    housing_bore: that the spacer passes into at the stop
    stud_diameter, stud_pitch: of the inner joint's thread
    stud_engaged: thread engaged in the rack, without a spacer
    tooth_travel: rack travel each side at which the pinion leaves the teeth or the boot is stretched
    """

    direction: Vector
    travel_each_side: float
    travel_per_turn: float
    end_diameter: float
    housing_bore: float
    stud_diameter: float
    stud_pitch: float
    stud_engaged: float
    tooth_travel: float | None = None


@dataclass(frozen=True)
class ArmSection:
    """The arm where it will be cut; mm. ``width`` is horizontal; a round section has width = height."""

    shape: Literal["round", "rectangular"]
    width: float
    height: float
    wall: float
    construction: Literal["tube", "pressed", "forged", "cast"]
    material: str
    corner_radius: float = 0.0


@dataclass(frozen=True)
class Arm:
    """Lower arm.

    link_start: the pivot the link that will be cut starts from
    clear_radius: radius of a round bar that would contain the arm, for clearance; mm
    cut_distance: from the ball joint to where the arm will be cut, mm; None for the middle of the link
    brace_offset: from the ball joint to where the arm's other leg, or a tension rod, joins the link, mm; None for
        a quarter of the link. Of no use with a link that starts between the pivots.
    """

    section: ArmSection
    link_start: Literal["front pivot", "rear pivot", "between pivots"]
    clear_radius: float
    cut_distance: float | None = None
    brace_offset: float | None = None


@dataclass(frozen=True)
class Strut:
    """Strut tube round the damper axis, from the damper point up; mm."""

    tube_radius: float
    tube_length: float


@dataclass(frozen=True)
class Wheel:
    """Tyre and rim. Measured sizes, where given, go before those of the size string; mm.

    offset: of the mounting face from the rim's centre plane, positive when the face is further out
    """

    tyre: str
    rim_width: float
    offset: float
    outside_diameter: float | None = None
    section_width: float | None = None
    loaded_radius: float | None = None


@dataclass(frozen=True)
class KeepClear:
    """A round bar with round ends that the tyre must not touch; mm. ``radius`` 0 is a line or a point."""

    name: str
    start: Vector
    end: Vector
    radius: float
    fixed_to: FixedTo
    side: Side


@dataclass(frozen=True)
class WheelWell:
    """Points measured on a nearly flat panel of one wheel well, in order round its edge; mm.

    room: free depth behind the panel at each of the points; none where it was not measured
    """

    name: str
    panel: tuple[Vector, ...]
    side: Side
    thickness: float
    room: tuple[float, ...] = ()


@dataclass(frozen=True)
class StopMount:
    """Where a stop bracket can sit on one arm and what it will meet; mm.

    mount: middle of the place on the arm
    normal: unit vector square to the arm's surface there
    contact: the point of the knuckle or its steering arm that meets the pad
    """

    mount: Vector
    normal: Vector
    contact: Vector
    attachment: Literal["bolt", "weld"]
    side: Side


@dataclass(frozen=True)
class Move:
    """A shift given so that it means the same on both sides: forward, away from the centre plane, up; mm."""

    forward: float = 0.0
    outward: float = 0.0
    up: float = 0.0

    def on(self, side: Side) -> Vector:
        """As a vector in car axes for one side."""
        return (self.forward, self.outward if side == "left" else -self.outward, self.up)


@dataclass(frozen=True)
class Changes:
    """What is changed on the car as measured; all zero is the car as it stands. mm.

    rack_spacer: thickness of one spacer each side
    arm_extension: along the link, from its start to the ball joint
    pickup_move: of the tie-rod pickup on the knuckle
    tie_rod_length: between joint centres; None restores the measured toe by the tie rod's length
    rack_shift: of both inner joints with the rack; ``outward`` must be 0
    ball_joint_drop: of the ball joint below the knuckle
    strut_top_shift: of the strut's top mount
    ride_height_drop: of the body, tyre unchanged
    wheel: tyre and rim to be run; None keeps the measured ones
    """

    rack_spacer: float = 0.0
    arm_extension: float = 0.0
    pickup_move: Move = field(default_factory=Move)
    tie_rod_length: float | None = None
    rack_shift: Move = field(default_factory=Move)
    ball_joint_drop: float = 0.0
    strut_top_shift: Move = field(default_factory=Move)
    ride_height_drop: float = 0.0
    wheel: Wheel | None = None


@dataclass(frozen=True)
class JointLimits:
    """Greatest angle that a joint allows either way, rad; None where it is not known.

    rod_inner: of the tie rod to the rack's axis; rod_outer: of its outer end's stud out of square to the rod
    ball_joint: of the arm from where it stands at the measured ride height, the wheel straight
    """

    rod_inner: float | None = None
    rod_outer: float | None = None
    ball_joint: float | None = None


@dataclass(frozen=True)
class Car:
    """One measured car.

    corner_masses: kg under front left and front right wheel
    bump_travel, droop_travel: wheel travel from ride height, both positive; mm
    tie_rod_range: least and greatest length that the tie rods at hand adjust to, between joint centres
    """

    name: str
    left: CornerPoints
    right: CornerPoints
    rack: Rack
    arm: Arm
    strut: Strut
    wheel: Wheel
    wheelbase: float
    corner_masses: tuple[float, float]
    bump_travel: float
    droop_travel: float
    keep_clear: tuple[KeepClear, ...] = ()
    wheel_wells: tuple[WheelWell, ...] = ()
    stop_mounts: tuple[StopMount, ...] = ()
    tie_rod_range: tuple[float, float] | None = None
    joints: JointLimits | None = None


@dataclass(frozen=True)
class Goal:
    """What the builder wants; mm and radians.

    lock: steer angle of the inner wheel, both ways
    clearance: least gap between tyre and anything else over the whole sweep
    over_centre_margin: least angle between steering arm and tie rod short of over-centre
    track: least distance between the contact centres; None for no wish
    max_arm_extension: the builder will not go beyond
    ackermann: least and greatest percent Ackermann at lock, both ways; None for no wish, as for the next four
    camber: least and greatest, at ride height straight ahead
    least_caster: at ride height straight ahead
    inclination_kept: most that the steering-axis inclination may change
    bump_steer: most toe change from droop to bump, straight ahead, of one wheel
    """

    lock: float
    clearance: float
    over_centre_margin: float
    track: float | None = None
    max_arm_extension: float = 60.0
    ackermann: tuple[float, float] | None = None
    camber: tuple[float, float] | None = None
    least_caster: float | None = None
    inclination_kept: float | None = None
    bump_steer: float | None = None


VariableName = Literal[
    "rack_spacer",
    "arm_extension",
    "ball_joint_drop",
    "strut_top_forward",
    "strut_top_outward",
    "pickup_forward",
    "pickup_outward",
    "pickup_up",
    "rack_forward",
    "rack_up",
]


@dataclass(frozen=True)
class Freedom:
    """A change that the search may make, between two sizes in mm."""

    variable: VariableName
    low: float
    high: float


@dataclass(frozen=True)
class PickupWork:
    """How the tie-rod pickup may be moved on the knuckle; mm.

    Drilled anew it must stay inside the metal measured around it, with edge distance for its hole; cut off and welded
    on it may go where the region allows.

    forward, outward, up: for "drill" the metal's reach from the old hole's centre, both ways; for "weld" the region
        that the new pickup's centre may go to, counted from the old one
    hole: largest diameter of the tapered hole
    """

    way: Literal["drill", "weld"]
    forward: tuple[float, float]
    outward: tuple[float, float]
    up: tuple[float, float] = (0.0, 0.0)
    hole: float = 0.0


@dataclass(frozen=True)
class TieRod:
    """A tie rod that can be bought, both ends assembled; mm and radians.

    shortest, longest: between joint centres, over its usable adjustment
    thread: that its ends screw in by, as marked; thread_size: its nominal diameter and pitch, None if unknown
    taper: of the outer stud, "1:10"; articulation: of the outer joint, to each side, None if unknown
    """

    name: str
    shortest: float
    longest: float
    thread: str = ""
    taper: str = ""
    articulation: float | None = None
    thread_size: tuple[float, float] | None = None


@dataclass(frozen=True)
class PartChoices:
    """What the builder can get: names of the material table, and the thickness of the plate in mm.

    plate_facets: least number of flat facets of a closure plate's floor
    stock: whether plate, tube and bar are bought in metric or in inch sizes; None for the units of the job file
    cutting: how flat parts are cut out of plate
    override: names of parts or families that are made although a strength check falls short
    """

    rack_spacer_material: str = "42CrMo4+QT"
    sleeve_material: str = "S355"
    bracket_material: str = "S355"
    plate_material: str = "S235JR"
    plate_thickness: float = 1.5
    plate_facets: int = 1
    stock: Literal["mm", "in"] | None = None
    cutting: Literal["waterjet", "laser", "plasma"] = "waterjet"
    override: tuple[str, ...] = ()


@dataclass(frozen=True)
class Job:
    """One car, one tyre, one goal, with the changes that the builder has already decided on.

    fixed: changes given in the job file. Its rack_spacer and arm_extension are None-like zeros unless
    ``spacer_given`` or ``extension_given`` say that the builder fixed them, otherwise they are sized.
    stock_units: "mm" or "in", which the builder reads and writes; see `shelf`
    name: of the job, as written by the builder: any printable text
    freedoms: changes beside spacer and extension that the search may make
    pickup: how the pickup may be moved, None when it stays
    top_places: shifts forward and outward of the strut top that turned or swapped top plates give, instead of a slot
    tie_rods: that can be bought; pickup_taper: of the hole in the knuckle, "1:10", where it is known
    uncertainty: standard deviations that the builder states, by key (`solver.uncertainty.sources`): of the three
        coordinates of a point, or of a plain number three times; mm and radians
    loads: what is measured of the car for its loads, and load cases beside those of the table
    measured_right: keys of [car.right] that were measured, not mirrored
    marking: what is measured for marking aids, None for nothing
    printing: what mock-ups are printed with, None for what is usual
    """

    car: Car
    goal: Goal
    fixed: Changes
    spacer_given: bool = False
    extension_given: bool = False
    stock_units: Literal["mm", "in"] = "mm"
    name: str = "job"
    part_choices: PartChoices = field(default_factory=PartChoices)
    freedoms: tuple[Freedom, ...] = ()
    pickup: PickupWork | None = None
    top_places: tuple[tuple[float, float], ...] = ()
    tie_rods: tuple[TieRod, ...] = ()
    pickup_taper: str = ""
    surroundings: Surroundings | None = None
    uncertainty: Mapping[str, Vector] = field(default_factory=dict)
    loads: LoadInputs = field(default_factory=LoadInputs)
    measured_right: frozenset[str] = frozenset()
    marking: Marking | None = None
    printing: Printing | None = None

    @property
    def shelf(self) -> Literal["mm", "in"]:
        """Units of the stock sizes that lengths are rounded to and parts are cut from."""
        return self.part_choices.stock or self.stock_units
