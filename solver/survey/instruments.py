"""How well each instrument reads, from the data table, and which one each kind of measurement is taken with."""

from __future__ import annotations

import math
from functools import cache

from solver.survey.measurement import ANGLES, Kind
from solver.tables import rows

INSTRUMENT: dict[Kind, str] = {
    "height": "tape",
    "across": "plumb line",
    "ahead": "plumb line",
    "length": "tape",
    **dict.fromkeys(ANGLES, "angle gauge"),
}
"""What a kind of measurement is taken with unless the sheet says otherwise."""


@cache
def uncertainties() -> dict[str, tuple[float, str]]:
    """Standard deviation of a reading by instrument, in mm or rad, and its unit in the table, "mm" or "deg"."""
    return {
        row["name"]: (
            math.radians(float(row["uncertainty"])) if row["unit"] == "deg" else float(row["uncertainty"]),
            row["unit"],
        )
        for row in rows("instruments")
    }


def usual_sigmas() -> dict[Kind, float]:
    """Standard deviation of each kind of measurement with its usual instrument, mm or rad."""
    return {kind: uncertainties()[name][0] for kind, name in INSTRUMENT.items()}
