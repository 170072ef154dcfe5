"""Tyre sizes.

Source: UNECE Regulation 30. Section width S = S1 + K (A − A1) with K = 0.4, in the amendment's text; outside
diameter d + 2 H, and the tyre grown in service d + 2 H · 1.04 with 4 % more width, §6.1, from memory.
"""

from __future__ import annotations

import pytest

from solver.car import Wheel
from solver.tyre import INCH, measuring_rim, tyre_of


@pytest.mark.parametrize(
    ("size", "measuring", "rim", "expected"),
    [
        # 205 + 0.4 (rim − 6.0 in), to the nearest mm
        ("205/60R15", 6.0, 5.5, 200),
        ("205/60R15", 6.0, 6.0, 205),
        ("205/60R15", 6.0, 7.5, 220),
        # 225 + 0.4 (rim − 7.5 in)
        ("225/45R17", 7.5, 8.0, 230),
        ("225/45R17", 7.5, 9.0, 240),
    ],
)
def test_section_width(size: str, measuring: float, rim: float, expected: int) -> None:
    """Half an inch of rim is worth 5.08 mm of section, and the result is a whole number of mm."""
    width, aspect = int(size[:3]), int(size[4:6])
    assert measuring * INCH == pytest.approx(measuring_rim(width, aspect), abs=1e-9)
    assert round(width + 0.4 * (rim - measuring) * 25.4) == expected
    assert expected == tyre_of(Wheel(size, rim * INCH, 30.0)).section_width


@pytest.mark.parametrize(
    ("size", "diameter"),
    [
        # d + 2 H with d = rim code × 25.4 and H = width × aspect ratio
        ("205/55R16", 16 * 25.4 + 2 * 205 * 0.55),
        ("225/45R17", 17 * 25.4 + 2 * 225 * 0.45),
        ("195/60R15", 15 * 25.4 + 2 * 195 * 0.60),
    ],
)
def test_outside_diameter(size: str, diameter: float) -> None:
    """d + 2 H, to rounding of the last digit."""
    tyre = tyre_of(Wheel(size, 7.0 * INCH, 30.0))
    assert diameter == pytest.approx(tyre.outside_diameter, abs=1e-9)


def test_grown_tyre() -> None:
    """In service a 225/45R17 may measure 431.8 + 2 · 101.25 · 1.04 by 234 mm on its measuring rim."""
    tyre = tyre_of(Wheel("225/45R17", 7.5 * INCH, 30.0))
    assert 431.8 + 2 * 101.25 * 1.04 == pytest.approx(tyre.grown().outside_diameter, abs=1e-9)
    assert 234.0 == pytest.approx(tyre.grown().section_width, abs=1e-9)
