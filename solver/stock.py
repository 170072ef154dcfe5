"""What can be bought: plate thicknesses, and the steps that lengths are rounded to."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from solver.families.base import RawShape
from solver.tables import rows
from solver.tyre import INCH

StockUnits = Literal["mm", "in"]

SAW_END = 2.0
"""Left on each end of what is sawn off, for facing, mm. Common practice, no source."""
SKIN = 0.5
"""Left on each side of a bar or block for cleaning up, mm. Common practice, no source."""
BORE_LEAST = 1.0
"""That a tube's bore must be smaller than the finished one to be bored out, on the diameter, mm; common practice."""
PLATE_EDGE = 5.0
"""Left round a flat pattern for the cutter's lead-in, mm. Common practice, no source."""


def plate_thicknesses(units: StockUnits) -> tuple[float, ...]:
    """Plate and sheet thicknesses in mm that a shop has on the shelf, thinnest first."""
    table = rows("plate_thicknesses")
    return tuple(sorted(float(row["thickness"]) for row in table if row["units"] == units))


def plate_label(thickness: float) -> str:
    """How the trade calls a plate thickness in mm: "5 mm", "3/16 in"; any other is given in mm."""
    for row in rows("plate_thicknesses"):
        if abs(float(row["thickness"]) - thickness) < 1e-6:
            return row["label"]
    return f"{thickness:g} mm"


def step(units: StockUnits) -> float:
    """The step that cut lengths are rounded to: a millimetre or a sixteenth of an inch; mm."""
    return 1.0 if units == "mm" else INCH / 16


def round_up(length: float, units: StockUnits) -> float:
    """``length`` in mm rounded up to the next step."""
    pitch = step(units)
    return math.ceil(length / pitch - 1e-6) * pitch


class Blank(NamedTuple):
    """What has to be bought for one part: how the trade calls its section, its size over all in mm, its volume in mm³.

    bored: inside of a tube, mm, 0 for what is full
    """

    kind: Literal["plate", "round bar", "tube", "block", "paper"]
    label: str
    size: tuple[float, float, float]
    bored: float

    @property
    def volume(self) -> float:
        """Of the blank."""
        x, y, z = self.size
        if self.kind in ("plate", "block", "paper"):
            return x * y * z
        return math.pi / 4 * (x**2 - self.bored**2) * z


def blank(shape: RawShape, units: StockUnits) -> Blank:
    """The smallest piece of what is on the shelf that a part can be cut out of, with what sawing and cleaning up take.

    A round part longer than half its bore comes from tube where one fits, else from bar. What no table has, a plate
    of an odd thickness or a very large bar, is given at its own size. Nothing is left on paper.
    """
    if shape.kind == "paper":
        return Blank("paper", f"{shape.length:g} mm", (shape.across, shape.deep, shape.length), 0.0)
    if shape.kind == "plate":
        sides = (round_up(shape.across + 2 * PLATE_EDGE, units), round_up(shape.deep + 2 * PLATE_EDGE, units))
        return Blank("plate", plate_label(shape.length), (*sides, shape.length), 0.0)
    length = round_up(shape.length + 2 * SAW_END, units)
    if shape.kind == "block":
        across, deep = (round_up(side + 2 * SKIN, units) for side in (shape.across, shape.deep))
        return Blank("block", "rectangular bar", (across, deep, length), 0.0)
    if shape.length > shape.bore / 2 > 0:
        tube = _tube(shape, units)
        if tube is not None:
            label, outside, inside = tube
            return Blank("tube", label, (outside, outside, length), inside)
    wanted = shape.across + 2 * SKIN
    for label, diameter in _round_bars(units):
        if diameter >= wanted - 1e-6:
            return Blank("round bar", label, (diameter, diameter, length), 0.0)
    diameter = round_up(wanted, units)
    return Blank("round bar", f"{diameter:g} mm", (diameter, diameter, length), 0.0)


def _round_bars(units: StockUnits) -> list[tuple[str, float]]:
    table = [row for row in rows("round_bars") if row["units"] == units]
    return sorted(((row["label"], float(row["diameter"])) for row in table), key=lambda bar: bar[1])


def _tube(shape: RawShape, units: StockUnits) -> tuple[str, float, float] | None:
    """The lightest tube that holds a round part with metal left on both sides: label, outside and inside in mm."""
    found = []
    for row in rows("tubes"):
        outside = float(row["outside"])
        inside = outside - 2 * float(row["wall"])
        fits = outside >= shape.across + 2 * SKIN - 1e-6 and inside <= shape.bore - BORE_LEAST + 1e-6
        if row["units"] == units and fits:
            found.append((outside**2 - inside**2, row["label"], outside, inside))
    return min(found)[1:] if found else None


def clearance_hole(nominal: float) -> float:
    """Medium clearance hole in mm for a bolt or stud of ``nominal`` diameter in mm (ISO 273, medium series).

    An inch size takes the hole of the next larger metric one when the difference is under 0.2 mm,
    otherwise a tenth more than its own diameter.
    """
    for row in rows("clearance_holes"):
        if 0 <= float(row["nominal"]) - nominal < 0.2:
            return float(row["medium"])
    return math.ceil(nominal * 1.1 * 10) / 10
