"""The job file's table about the printer that mock-ups are made on. Loaded only for a file that has it."""

from typing import Annotated, Any

from locksweep.job.fields import Choice, Field, Quantity, three
from locksweep.job.schema import FileTable, Table
from locksweep.job.units import FileUnits
from solver.car import Vector
from solver.printing import PROCESSES, Printing, usual_printing


class Bed(Field):
    """Length, width and height that a printer can print; mm."""

    length = Quantity("length", 80, 2000)

    def read(self, value: object, units: FileUnits) -> Vector:
        """In mm."""
        expected = (
            f"a list of three, length, width and height of what fits: each {self.length.expected(units)}"
        )
        return three(value, units, self.length.read, expected)


class PrintingTable(Table):
    """[printing]: what is not given is taken as usual for the process"""

    process: Annotated[Any, Choice(*PROCESSES)] = "filament"
    bed: Annotated[Vector, Bed()] | None = None
    line_width: Annotated[float, Quantity("length", 0.1, 2)] | None = None
    clearance: Annotated[float, Quantity("length", 0, 1)] | None = None


def printing_of(file: FileTable) -> Printing:
    """The printer, from a table in which nothing is wrong."""
    return usual_printing(**dict(file.printing))
