"""Sheet, gap and margin as a person says them, with what is usual where nothing was said."""

from __future__ import annotations

import re
from typing import Literal

from locksweep.job.findings import printable
from locksweep.job.quantities import BadValueError, parse_quantity
from locksweep.nest.layout import Stock
from locksweep.units import length_text
from solver.cutting.processes import Process
from solver.errors import LocksweepError
from solver.stock import PLATE_EDGE, StockUnits, round_up

Units = Literal["mm", "in"]

USUAL: dict[StockUnits, str] = {"mm": "1000 x 2000 mm", "in": "48 x 96 in"}
"""Sheets that shops have. Common practice, no source."""
MARGIN = 10.0
"""Left free along the sheet's edges for clamps, mm. Common practice, no source."""
LEAST, MOST = 50.0, 20_000.0
"""Of a sheet's side, mm."""
TIMES = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
UNIT = re.compile(r"[^\d\s./,-].*$")


class SheetOptionError(LocksweepError, ValueError):
    """An option of the layout can't be used."""


def sheet_size(text: str, units: Units) -> tuple[float, float]:
    """ "1000 x 2000 mm", "4 ft x 8 ft" or "48 x 96" in mm; a unit behind the second side holds for both.

    Raises:
        SheetOptionError: no two lengths, or one that no sheet has.
    """
    name = f"--sheet {printable(text)!r}"
    wanted = f"write two sides such as '{USUAL[units]}'"
    sides = TIMES.split(text.strip())
    if len(sides) != 2 or not all(sides):
        raise SheetOptionError(f"{name}: {wanted}")
    unit = UNIT.search(sides[1])
    if unit and not UNIT.search(sides[0]):
        sides[0] += f" {unit[0]}"
    across, deep = (_length(side, name, units, LEAST, MOST) for side in sides)
    return across, deep


def stock_for(
    sheet: tuple[float, float],
    gap: str | None,
    margin: str | None,
    thickness: float,
    way: Process,
    units: Units,
) -> Stock:
    """The sheet with gap and margin, as wanted or as usual for the thickness and the process.

    The usual gap leaves a web's width of metal between the two kerfs, and never less than a lead-in takes.

    Raises:
        SheetOptionError: a length that can't be, or a gap that two kerfs eat up.
    """
    kerfs = 2 * way.kerf[1]
    usual = round_up(max(PLATE_EDGE, way.least_web(thickness) + kerfs), units)
    space = usual if gap is None else _length(gap, f"--gap {printable(gap)!r}", units, 0.0, 500.0)
    edge = (
        round_up(MARGIN, units)
        if margin is None
        else _length(margin, f"--margin {printable(margin)!r}", units, 0.0, 1000.0)
    )
    if space < kerfs - 1e-9:
        least = length_text(kerfs, units, 1)
        raise SheetOptionError(
            f"--gap {length_text(space, units, 1)}: each of two pieces has its own kerf there, {least} together by "
            f"{way.name}; name at least that, usual here is {length_text(usual, units, 1)}"
        )
    if 2 * edge >= min(sheet) - LEAST / 2:
        raise SheetOptionError(
            f"--margin {length_text(edge, units, 1)}: leaves next to nothing of a sheet of "
            f"{length_text(sheet[0], units, 1)} × {length_text(sheet[1], units, 1)}; name a smaller one"
        )
    return Stock(*sheet, edge, space)


def _length(text: str, name: str, units: Units, least: float, most: float) -> float:
    try:
        value = parse_quantity(text if UNIT.search(text.strip()) else f"{text} {units}", "length", units)
    except BadValueError as error:
        raise SheetOptionError(f"{name}: {error}") from error
    if not least <= value <= most:
        span = f"{length_text(least, units, 0)} to {length_text(most, units, 0)}"
        raise SheetOptionError(f"{name}: {length_text(value, units, 1)} is outside of {span}")
    return value
