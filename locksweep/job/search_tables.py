"""The job file's tables about what the search may change and which tie rods can be bought.

Loaded only for a file that has one of them.
"""

from typing import Annotated, Literal

from locksweep.job.fields import Choice, Quantity
from locksweep.job.schema import JointAngle, Name, RodLength, Table
from locksweep.job.search_fields import MarkedThread, Places, Range, Taper

Between = Annotated[tuple[float, float], Range("length", -300, 300)]
Drop = Annotated[tuple[float, float], Range("length", 0, 100)]
Hole = Annotated[float, Quantity("length", 3, 60)]


class PickupTable(Table):
    """may_change.pickup: metal and hole for drilling, a region for welding"""

    way: Annotated[Literal["drill", "weld"], Choice("drill", "weld")]
    metal_forward: Between | None = None
    metal_outward: Between | None = None
    hole: Hole | None = None
    forward: Between | None = None
    outward: Between | None = None
    up: Between | None = None


class SlotTable(Table):
    """may_change.strut_top: a slot"""

    forward: Between | None = None
    outward: Between | None = None


class MayChangeTable(Table):
    """[may_change]"""

    ball_joint_drop: Drop | None = None
    strut_top: SlotTable | None = None
    strut_top_places: Annotated[tuple[tuple[float, float], ...], Places(-100, 100)] = ()
    pickup: PickupTable | None = None
    rack_forward: Between | None = None
    rack_up: Between | None = None


class TieRodChoiceTable(Table):
    """[[tie_rod_choice]]"""

    name: Name
    shortest: RodLength
    longest: RodLength
    thread: Annotated[str, MarkedThread()] | None = None
    taper: Annotated[str, Taper()] | None = None
    articulation: JointAngle | None = None
