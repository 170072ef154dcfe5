"""Jig bushes that can be bought, and the fits of their holes, bores and plugs."""

from __future__ import annotations

from typing import NamedTuple

from solver.errors import DimensionError
from solver.tables import rows


class JigBush(NamedTuple):
    """A plain press-fit bush without a head; mm."""

    bore: float
    outside: float
    length: float


class Deviations(NamedTuple):
    """Limits of a tolerance class from its nominal diameter, mm."""

    lower: float
    upper: float

    @property
    def said(self) -> str:
        """With a sign, in µm as the standard has them, whatever the job's units."""
        upper, lower = (f"{round(1000 * each):+d}" if each else "0" for each in (self.upper, self.lower))
        return f"{upper} / {lower} µm"


def jig_bush(bore: float) -> JigBush:
    """The bush of a bore in mm (`data/jig_bushes.csv`).

    Raises:
        DimensionError: no bush of the table has such a bore.
    """
    table = rows("jig_bushes")
    for row in table:
        if float(row["bore_over"]) < bore <= float(row["bore_to"]):
            return JigBush(bore, float(row["outside"]), float(row["length"]))
    low, high = table[0]["bore_over"], table[-1]["bore_to"]
    raise DimensionError(f"no jig bush has a bore of {bore:.2f} mm; they go from over {low} mm to {high} mm")


def deviations(nominal: float, tolerance: str) -> Deviations:
    """Limits of ``tolerance``, H7, n6, F7 or g6, at a nominal diameter in mm (`data/bush_fits.csv`).

    Raises:
        DimensionError: the table ends before this diameter.
    """
    table = rows("bush_fits")
    for row in table:
        if float(row["over"]) < nominal <= float(row["to"]):
            return Deviations(*(int(row[f"{tolerance}_{end}"]) / 1000 for end in ("lower", "upper")))
    raise DimensionError(f"no fit for {nominal:.2f} mm; the table goes to {table[-1]['to']} mm")
