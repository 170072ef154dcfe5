"""Impact on a linear spring against Wentzell, Machine Design, example 7.1."""

from __future__ import annotations

import math

import pytest

from solver.strength.impact import impact_force


def test_example_7_1() -> None:
    """500 lb fall 1 in on a round bar of 2 in and 10 in, E 30 million psi: 31 061.5 psi."""
    area = math.pi / 4 * 2**2
    force = float(impact_force(500.0, 500.0 * 1.0, area * 30e6 / 10))
    assert 31_061.5 == pytest.approx(force / area, rel=1e-5)


def test_sudden_load() -> None:
    """A load that is put on at once, from no height, makes twice its own force: any text on impact."""
    assert 2000.0 == float(impact_force(1000.0, 0.0, 5000.0))
