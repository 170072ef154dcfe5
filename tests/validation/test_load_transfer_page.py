"""Load transfer of a braking car against the worked example of a page about vehicle dynamics."""

from __future__ import annotations

import pytest

from solver.loading.vehicle import GRAVITY
from tests.validation.loads import vehicle


def test_braking() -> None:
    """1500 kg, centre of gravity 520 mm high, wheelbase 2700 mm, 0.9 g: the front axle gains 260 kg."""
    car = vehicle(1500.0, wheelbase=2700.0, cog_height=520.0)
    assert 260.0 == pytest.approx(2 * 0.9 * car.braking_transfer / GRAVITY, rel=1e-9)


def test_cornering() -> None:
    """m g h / t in a bend, of which the front axle's share: 1500 kg, 520 mm, track 1560 mm, 0.6 at 1 g is 300 kg."""
    car = vehicle(1500.0, track=1560.0, cog_height=520.0, roll_share=0.6)
    assert 300.0 == pytest.approx(car.cornering_transfer / GRAVITY, rel=1e-9)
