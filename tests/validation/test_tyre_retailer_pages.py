"""Tyre sizes as published for buyers.

Sources: a tyre retailer's technical pages on rim width range and measuring rims; secondary pages for the two
outside diameters.
"""

from __future__ import annotations

import pytest

from solver.car import Wheel
from solver.tyre import INCH, measuring_rim, tyre_of

PAGE = {5.5: 8.03, 6.0: 8.23, 6.5: 8.43, 7.0: 8.63, 7.5: 8.83}
"""Section width in inches of a 205/60R15 by rim width in inches."""


def section(rim: float) -> float:
    """Section width of a 205/60R15 in inches."""
    return tyre_of(Wheel("205/60R15", rim * INCH, 30.0)).section_width / INCH


@pytest.mark.parametrize("rim", [5.5, 6.5, 7.0, 7.5])
def test_change_of_width_with_rim(rim: float) -> None:
    """Section width changes with the rim as on the page; ours is rounded to a mm, the page's to 0.01 in."""
    change = PAGE[rim] - PAGE[6.0]
    assert change == pytest.approx(section(rim) - section(6.0), abs=0.5 / 25.4 + 0.01)


@pytest.mark.parametrize("rim", PAGE)
def test_width_with_growth(rim: float) -> None:
    """The page's tyre is wider than its marking by 2 %, which the 4 % allowed for growth covers."""
    tyre = tyre_of(Wheel("205/60R15", rim * INCH, 30.0))
    assert tyre.section_width < PAGE[rim] * INCH < tyre.grown().section_width


@pytest.mark.parametrize(
    ("width", "aspect", "rim"), [(225, 45, 7.5), (225, 40, 8.0), (225, 50, 7.0), (225, 60, 6.5)]
)
def test_measuring_rims(width: int, aspect: int, rim: float) -> None:
    """Measuring rims are steps of half an inch, so they are met exactly."""
    assert rim * INCH == pytest.approx(measuring_rim(width, aspect), abs=1e-9)


@pytest.mark.parametrize(
    ("size", "diameter", "tolerance"),
    # The first is published to a mm, the second with a section height rounded to a tenth, which counts twice.
    [("205/55R16", 632.0, 0.5), ("225/45R17", 634.4, 0.15)],
)
def test_outside_diameters(size: str, diameter: float, tolerance: float) -> None:
    """Published diameters, to their rounding."""
    tyre = tyre_of(Wheel(size, 7.0 * INCH, 30.0))
    assert diameter == pytest.approx(tyre.outside_diameter, abs=tolerance)
