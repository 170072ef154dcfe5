"""Torque of steering at rest: a maker's catalogue of hydraulic steering gears, p. 90, sizing of Ackermann steering.

T = W f √(B²/8 + E²): W load on the steered wheel, f friction, 0.7 at the most, B nominal width of the tyre's print, E
distance of the steering axis from the middle of the print.
"""

from __future__ import annotations

import math

import pytest

from solver.loading.contact import parking_arm
from tests.validation.loads import default


@pytest.mark.parametrize(("width", "offset"), [(200.0, 0.0), (205.0, 60.0), (245.0, 12.5)])
def test_torque(width: float, offset: float) -> None:
    """The catalogue's formula for one wheel of 1 N and friction 1."""
    assert math.sqrt(width * width / 8 + offset * offset) == pytest.approx(parking_arm(width, offset))


def test_friction() -> None:
    """The friction that nobody measures is the catalogue's upper one."""
    assert 0.7 == float(default("parking_friction")["value"])
