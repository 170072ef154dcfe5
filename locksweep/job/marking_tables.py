"""The job file's table about marking aids. Loaded only for a file that has it."""

from typing import Annotated, Literal

from locksweep.job.fields import Choice, Quantity
from locksweep.job.schema import FileTable, Measured, Table
from locksweep.job.search_fields import Places
from solver.marking import KnuckleHole, Marking, StrutTopPattern

Hole = Annotated[float, Quantity("length", 3, 60)]
Opening = Annotated[float, Quantity("length", 0, 200)]
MOST_STUD = 150.0
"""Of a stud from the rod's nut, mm, either way."""


class KnuckleHoleTable(Table):
    """marking.knuckle_hole"""

    at: Measured
    diameter: Hole


class StrutTopTable(Table):
    """[marking.strut_top]: the left tower, seen from above"""

    studs: Annotated[tuple[tuple[float, float], ...], Places(-MOST_STUD, MOST_STUD)]
    hole: Hole
    opening: Opening = 0.0


class MarkingTable(Table):
    """[marking]"""

    make: Annotated[Literal["all", "none"], Choice("all", "none")] = "all"
    plate: Annotated[float, Quantity("length", 1, 12)] | None = None
    slot_fit: Annotated[float, Quantity("length", 0, 1)] | None = None
    pilot: Annotated[float, Quantity("length", 1.9, 15)] | None = None
    cut_angle: Annotated[float, Quantity("angle", -60, 60)] | None = None
    knuckle_hole: KnuckleHoleTable | None = None
    strut_top: StrutTopTable | None = None


def marking_of(file: FileTable) -> Marking:
    """The table as plain data."""
    table: MarkingTable = file.marking
    values = {key: value for key, value in vars(table).items() if key != "make" and value is not None}
    values["wanted"] = table.make == "all"
    if table.knuckle_hole is not None:
        values["knuckle_hole"] = KnuckleHole(**dict(table.knuckle_hole))
    if table.strut_top is not None:
        values["strut_top"] = StrutTopPattern(**dict(table.strut_top))
    return Marking(**values)
