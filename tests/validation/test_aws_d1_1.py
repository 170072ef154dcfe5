"""Least fillet legs against AWS D1.1, table of minimum fillet weld sizes, from two secondary pages."""

from __future__ import annotations

import pytest

from solver.strength.welds import least_leg

QUARTER = 25.4 / 4


@pytest.mark.parametrize(
    ("thickness", "static"), [(3.0, 3.0), (QUARTER, 3.0), (10.0, 5.0), (12.7, 5.0), (20.0, 6.0), (30.0, 8.0)]
)
def test_least_leg(thickness: float, static: float) -> None:
    """By thickness 3, 5, 6 and 8 mm; under loads that come and go never under 5 mm, which is 3/16 in to be exact."""
    assert max(static, 3 / 16 * 25.4) == pytest.approx(least_leg(thickness))
