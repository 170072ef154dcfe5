"""Ackermann at high lock, and what percent Ackermann means.

Source: computed by us, regression values; the other two definitions of percent Ackermann are from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.measures import ideal_outer_angle, percent_ackermann


@pytest.mark.parametrize(
    ("wheelbase", "track", "inner", "outer", "radius"),
    [
        (2.50, 1.40, 45.0, 32.661, 3.200),
        (2.57, 1.50, 55.0, 37.915, 2.550),
        (2.70, 1.50, 60.0, 41.434, 2.309),
    ],
)
def test_grid(wheelbase: float, track: float, inner: float, outer: float, radius: float) -> None:
    """Outer angle, and with it the radius of the rear axle's middle; both to a thousandth."""
    found = float(ideal_outer_angle(np.array(math.radians(inner)), np.array(track), wheelbase))
    assert outer == pytest.approx(math.degrees(found), abs=5e-4)
    assert radius == pytest.approx(wheelbase / math.tan(found) - track / 2, abs=5e-4)


def test_percent_ackermann() -> None:
    """With 2.57 and 1.5 m, 40° inside and 35° outside it is 47.1 % here: the difference over the ideal one.

    By cotangents it would be 40.5 %, and with the outer angle taken as given 33.7 %.
    """
    inner, outer, ratio = math.radians(40), math.radians(35), 1.5 / 2.57
    ideal = ideal_outer_angle(np.array(inner), np.array(1.5), 2.57)
    assert 47.1 == pytest.approx(float(percent_ackermann(inner, outer, ideal)), abs=0.05)
    by_cotangent = 100 * (1 / math.tan(outer) - 1 / math.tan(inner)) / ratio
    assert 40.5 == pytest.approx(by_cotangent, abs=0.05)
    ideal_inner = math.atan(1 / (1 / math.tan(outer) - ratio))
    assert 33.7 == pytest.approx(100 * (inner - outer) / (ideal_inner - outer), abs=0.05)


@pytest.mark.parametrize(("share", "percent"), [(0.0, 0.0), (1.0, 100.0), (-0.5, -50.0)])
def test_percent_ackermann_scale(share: float, percent: float) -> None:
    """Parallel wheels have 0, the ideal outer angle 100, an outer wheel that turns further less than 0."""
    inner = math.radians(38)
    ideal = float(ideal_outer_angle(np.array(inner), np.array(1400.0), 2500.0))
    outer = inner - share * (inner - ideal)
    assert percent == pytest.approx(float(percent_ackermann(inner, outer, np.array(ideal))), abs=1e-9)
