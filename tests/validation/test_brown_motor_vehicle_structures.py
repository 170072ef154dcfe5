"""Wheel loads against J. C. Brown, Motor Vehicle Structures: table 2.4 (p. 20), kerbs (p. 22 and 24)."""

from __future__ import annotations

import math

import pytest

from tests.validation.loads import default, factor, vehicle

BY_STEP = {0.1: 0.48, 0.25: 0.88, 0.293: 1.00, 0.5: 1.73, 0.75: 3.87}
"""Horizontal over vertical force by the step's height over the wheel's radius, as the book prints it."""


@pytest.mark.parametrize(("step", "ratio"), BY_STEP.items())
def test_force_of_a_rolling_wheel_goes_through_its_hub(step: float, ratio: float) -> None:
    """Force from the edge of a step to the wheel's centre: 1 / tan θ with sin θ = 1 − H/R, to two decimals."""
    assert ratio == pytest.approx(1 / math.tan(math.asin(1 - step)), abs=5e-3)


def test_kerb_strike_takes_the_dynamic_factor() -> None:
    """Garrett's dynamic factor of 4.5 on a step of 0.293 of the radius, whose horizontal force is the wheel's load."""
    struck = factor("kerb strike from ahead, wheel rolling", "strike_rearward")
    assert 4.5 * BY_STEP[0.293] == struck


def test_braking_by_tests() -> None:
    """Cars braked with 1.1 g in tests; trucks' 1.84 g is above what tyres without downforce give."""
    assert 1.1 == float(default("grip")["value"])


def test_kerb_nudge() -> None:
    """The car about to tip over its outer wheels, times 1.4: twice half the axle's load and W t / 2 h to the side."""
    assert 1.4 == factor("kerb hit sideways", "vertical")
    assert 1.4 == factor("kerb hit sideways", "overturning")
    # 6 kN on the front axle, track 1500, height 500: tips at 6 · 750 / 500 = 9 kN.
    car = vehicle(6000 / 9.80665 * 2, track=1500.0, cog_height=500.0)
    assert 9000.0 == pytest.approx(car.tipping_force, rel=1e-12)
