"""What can be bought: plate thicknesses, and the steps that lengths are rounded to."""

from __future__ import annotations

import math
from typing import Literal

from solver.tables import rows
from solver.tyre import INCH

StockUnits = Literal["mm", "in"]


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


def clearance_hole(nominal: float) -> float:
    """Medium clearance hole in mm for a bolt or stud of ``nominal`` diameter in mm (ISO 273, medium series).

    An inch size takes the hole of the next larger metric one when the difference is under 0.2 mm,
    otherwise a tenth more than its own diameter.
    """
    for row in rows("clearance_holes"):
        if 0 <= float(row["nominal"]) - nominal < 0.2:
            return float(row["medium"])
    return math.ceil(nominal * 1.1 * 10) / 10
