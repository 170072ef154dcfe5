"""Clearance holes for bolts.

Source: ISO 273, table 1: fine, medium and coarse series for M6 to M16.
"""

from __future__ import annotations

import pytest

from solver.stock import clearance_hole
from solver.tables import rows

TABLE = {
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
    "M12": (13.0, 13.5, 14.5),
    "M14": (15.0, 15.5, 16.5),
    "M16": (17.0, 17.5, 18.5),
}


@pytest.mark.parametrize("thread", TABLE)
def test_table(thread: str) -> None:
    """All three series, digit for digit."""
    row = next(row for row in rows("clearance_holes") if row["thread"] == thread)
    assert TABLE[thread] == tuple(float(row[series]) for series in ("fine", "medium", "coarse"))
    assert float(thread[1:]) == float(row["nominal"])


@pytest.mark.parametrize("thread", TABLE)
def test_medium_series_is_used(thread: str) -> None:
    """A bolt gets the hole of the medium series."""
    assert TABLE[thread][1] == clearance_hole(float(thread[1:]))
