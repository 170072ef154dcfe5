"""What mock-ups are printed with: process, bed, least wall, and the room that a printed fit needs."""

from __future__ import annotations

from dataclasses import dataclass

from solver.tables import rows

PROCESSES = ("filament", "resin", "powder")


@dataclass(frozen=True)
class Printing:
    """A printer, mm.

    process: one of `PROCESSES`; bed: length, width and height that it can print
    least_wall: two lines of a filament printer; clearance: on each side of a fit, against the metal part
    """

    process: str
    bed: tuple[float, float, float]
    least_wall: float
    clearance: float


def usual_printing(
    process: str = "filament",
    bed: tuple[float, float, float] | None = None,
    line_width: float | None = None,
    clearance: float | None = None,
) -> Printing:
    """A printer of which some is known; the rest as the table ``printing`` has it for the process."""
    row = next(row for row in rows("printing") if row["process"] == process)
    return Printing(
        process,
        bed or (float(row["bed_x_mm"]), float(row["bed_y_mm"]), float(row["bed_z_mm"])),
        float(row["least_wall_mm"]) if line_width is None else 2 * line_width,
        float(row["clearance_mm"]) if clearance is None else clearance,
    )
