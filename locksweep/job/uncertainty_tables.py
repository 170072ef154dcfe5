"""The job file's table about how well things were measured. Loaded only for a file that has it."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from locksweep.job.fields import Field, Quantity, three
from locksweep.job.schema import FileTable, KeepClearTable, Table
from locksweep.job.units import FileUnits
from solver.car import Vector


class Spread(Field):
    """One standard deviation for all three coordinates of a point, or a list of one for each; mm."""

    length = Quantity("length", 0, 200)

    def read(self, value: object, units: FileUnits) -> Vector:
        """Of x, y and z, in mm."""
        if not isinstance(value, list):
            one = self.length.read(value, units)
            return (one, one, one)
        expected = f"{self.length.expected(units)}, or a list of three: fore and aft, across, up and down"
        return three(value, units, self.length.read, expected)


Coordinates = Annotated[Vector, Spread()]
Length = Annotated[float, Quantity("length", 0, 200)]
Angle = Annotated[float, Quantity("angle", 0, 10)]


class CornerTable(Table):
    """[uncertainty.left], [uncertainty.right]"""

    arm_front_pivot: Coordinates | None = None
    arm_rear_pivot: Coordinates | None = None
    ball_joint: Coordinates | None = None
    strut_top: Coordinates | None = None
    damper_point: Coordinates | None = None
    inner_joint: Coordinates | None = None
    pickup: Coordinates | None = None
    wheel_centre: Coordinates | None = None
    toe: Angle | None = None
    camber: Angle | None = None


class UncertaintyTable(Table):
    """[uncertainty]: standard deviations; what is not given is as in `solver/data/uncertainties.csv`"""

    points: Coordinates | None = None
    left: CornerTable | None = None
    right: CornerTable | None = None
    mirrored: Length | None = None
    mirrored_angle: Angle | None = None
    toe: Angle | None = None
    camber: Angle | None = None
    rack_travel: Length | None = None
    rack_middle: Length | None = None
    rack_direction: Angle | None = None
    tooth_travel: Length | None = None
    stud_engaged: Length | None = None
    tie_rod_length: Length | None = None
    keep_clear: Length | None = None
    keep_clear_radius: Length | None = None
    arm_radius: Length | None = None
    tube_radius: Length | None = None


def stated(file: FileTable) -> Mapping[str, Vector]:
    """What a file states, by key as in `solver.uncertainty.sources`; mm and radians."""
    found: dict[str, Vector] = {}
    if file.uncertainty is not None:
        found.update(_of_table(file.uncertainty, ""))
        for side in ("left", "right"):
            corner = getattr(file.uncertainty, side)
            if corner is not None:
                found.update(_of_table(corner, f"{side}."))
    found.update(_of_objects(file.keep_clear))
    return found


def _of_table(table: Any, prefix: str) -> Iterator[tuple[str, Vector]]:
    for key, value in vars(table).items():
        if isinstance(value, tuple):
            yield f"{prefix}{key}", value
        elif isinstance(value, float):
            yield f"{prefix}{key}", (value, value, value)


def _of_objects(tables: list[KeepClearTable]) -> Iterator[tuple[str, Vector]]:
    for table in tables:
        if (one := table.uncertainty) is not None:
            yield f"keep_clear.{table.name}", (one, one, one)
