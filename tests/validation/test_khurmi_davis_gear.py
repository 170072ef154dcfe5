"""Davis steering gear: a sliding linkage that fulfils Ackermann's condition exactly.

Source: R. S. Khurmi, Theory of Machines, chapter on steering gears, example with kingpins 1.2 m apart and a
wheelbase of 2.7 m. From memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.measures import ideal_outer_angle

SPACING, WHEELBASE = 1200.0, 2700.0


def test_arm_inclination() -> None:
    """tan α = c/2b gives 12.53°, printed as 12.5°."""
    assert 12.5 == pytest.approx(math.degrees(math.atan(SPACING / (2 * WHEELBASE))), abs=0.05)


@pytest.mark.parametrize("slide", [5.0, 20.0, 60.0, 120.0])
def test_gear_is_ideal(slide: float) -> None:
    """The gear's outer angle at any slide is the ideal one: tan(α ± angle) = (d ± slide)/h, tan α = d/h."""
    height = 250.0
    rest = height * SPACING / (2 * WHEELBASE)
    inclination = math.atan2(rest, height)
    outer = math.atan2(rest + slide, height) - inclination
    inner = inclination - math.atan2(rest - slide, height)
    inner, outer = max(inner, outer), min(inner, outer)
    found = ideal_outer_angle(np.array(inner), np.array(SPACING), WHEELBASE)
    # Both are closed forms: rounding only.
    assert outer == pytest.approx(float(found), abs=1e-12)
