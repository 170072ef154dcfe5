"""What waterjet, laser and plasma can cut, from a data table."""

from __future__ import annotations

from typing import Literal, NamedTuple

from solver.tables import rows

ProcessName = Literal["waterjet", "laser", "plasma"]


class Process(NamedTuple):
    """One way of cutting plate; mm.

    hole, web: least width of a hole, and of the metal between two cuts, over the plate's thickness
    hole_floor, web_floor: that neither may fall below, however thin the plate is
    kerf: usual width of the cut, least and most; tolerance: plus or minus
    """

    name: ProcessName
    hole: float
    hole_floor: float
    web: float
    web_floor: float
    kerf: tuple[float, float]
    tolerance: float

    def least_hole(self, thickness: float) -> float:
        """Narrowest hole or slot in plate of this thickness, mm."""
        return max(self.hole * thickness, self.hole_floor)

    def least_web(self, thickness: float) -> float:
        """Least metal between two cuts in plate of this thickness, mm."""
        return max(self.web * thickness, self.web_floor)

    @property
    def least_notch(self) -> float:
        """Narrowest cut in from the edge, mm: it needs no piercing, but no cut is narrower than its kerf."""
        return self.kerf[1]


def process(name: ProcessName) -> Process:
    """A process by its name.

    Raises:
        KeyError: the table doesn't have it.
    """
    for row in rows("cutting_processes"):
        if row["process"] == name:
            hole, hole_floor, web, web_floor, low, high, tolerance = (
                float(row[key])
                for key in ("hole", "least_hole", "web", "least_web", "kerf_low", "kerf_high", "tolerance")
            )
            return Process(name, hole, hole_floor, web, web_floor, (low, high), tolerance)
    raise KeyError(name)
