"""The job file's tables about loads: what is measured of the car for them, cases of the builder's own, the pickup.

Loaded only for a file that has one of them.
"""

from typing import Annotated, Literal

from locksweep.job.fields import Choice, Field, Quantity
from locksweep.job.quantities import BadValueError, written
from locksweep.job.schema import Material, Name, SmallSize, Table
from locksweep.job.units import FileUnits


class Number(Field):
    """A plain number within limits."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def read(self, value: object, units: FileUnits) -> float:
        """The number."""
        expected = f"a plain number from {self.low:g} to {self.high:g}"
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise BadValueError(written(value), expected, "write the number itself, without quotes or unit")
        if not self.low <= value <= self.high:
            raise BadValueError(written(value), expected)
        return float(value)


Multiple = Annotated[float, Number(-10, 10)]


class LoadsTable(Table):
    """[loads]: what is not given is taken as usual, and the documents say so"""

    cog_height: Annotated[float, Quantity("length", 150, 1500)] | None = None
    total_mass: Annotated[float, Quantity("mass", 200, 5000)] | None = None
    roll_share: Annotated[float, Number(0.1, 0.95)] | None = None
    grip: Annotated[float, Number(0.1, 3)] | None = None
    hand_force: Annotated[float, Quantity("force", 0, 2000)] | None = None
    steering_wheel: Annotated[float, Quantity("length", 150, 700)] | None = None
    assistance: Annotated[float, Quantity("force", 0, 30000)] | None = None


class LoadCaseTable(Table):
    """[[load_case]]: one case of one front wheel, multiples of its load at rest"""

    name: Name
    vertical: Annotated[float, Number(0, 10)] = 1.0
    rearward: Multiple = 0.0
    inward: Multiple = 0.0
    at: Annotated[Literal["contact", "hub"], Choice("contact", "hub")] = "contact"
    steer: Annotated[Literal["any", "straight", "lock"], Choice("any", "straight", "lock")] = "any"
    travel: Annotated[
        Literal["any", "ride height", "bump", "droop"], Choice("any", "ride height", "bump", "droop")
    ] = "any"


class SteeringArmTable(Table):
    """[steering_arm]: where the tie-rod pickup goes"""

    width: SmallSize
    thickness: SmallSize
    hole: SmallSize
    edge: SmallSize
    material: Material = "unknown steel"
