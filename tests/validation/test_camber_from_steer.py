"""Camber that steering brings, from the exact turn about an inclined steering axis.

Sources: the table is computed by us (regression values); the linear rule camber ≈ inclination (1 − cos δ) +
caster sin δ is J. C. Dixon's, from memory; caster from the camber of a ±20° sweep is common practice, for
which the trade says a factor of 1.5 where 1/(2 sin 20°) is 1.462.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.corner import pose_with_steer
from solver.measures import camber_angle, caster_angle, inclination_angle, steer_angle
from tests.validation.test_strut_front_view import pose

TABLE = [
    # inclination, caster, steer, camber; degrees, wheel upright when straight ahead
    (12.0, 6.0, 20.0, 2.8065),
    (12.0, 6.0, -20.0, -1.3217),
    (12.0, 6.0, 40.0, 6.7740),
    (12.0, 6.0, -40.0, -1.0196),
    (14.0, 8.0, 20.0, 3.6396),
    (14.0, 8.0, -20.0, -1.8842),
    (14.0, 8.0, 40.0, 8.6157),
    (14.0, 8.0, -40.0, -1.8259),
]


def camber(side: int, inclination: float, caster: float, steer: float) -> float:
    """Camber in degrees at a steer angle in degrees that is positive for the inner wheel of the turn."""
    corner = pose(side).corner
    lean = np.array([-math.tan(math.radians(caster)), -side * math.tan(math.radians(inclination)), 1.0])
    top = corner.knuckle_ball + 450.0 * lean
    along = lean / np.linalg.norm(lean)
    leaning = replace(
        corner,
        strut_top=top,
        damper_point=corner.knuckle_ball + 150.0 * along,
        damper_direction=along,
    )
    turned, _ = pose_with_steer(leaning, np.zeros(1), side * math.radians(steer))
    assert inclination == pytest.approx(math.degrees(inclination_angle(turned)[0]), abs=1e-9)
    assert caster == pytest.approx(math.degrees(caster_angle(turned)[0]), abs=1e-9)
    assert side * steer == pytest.approx(math.degrees(steer_angle(turned)[0]), abs=1e-9)
    return math.degrees(camber_angle(turned)[0])


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("inclination", "caster", "steer", "expected"), TABLE)
def test_table(side: int, inclination: float, caster: float, steer: float, expected: float) -> None:
    """To the four digits of the table, either side."""
    assert expected == pytest.approx(camber(side, inclination, caster, steer), abs=5e-5)


@pytest.mark.parametrize(("inclination", "caster", "steer", "expected"), TABLE)
def test_linear_rule(inclination: float, caster: float, steer: float, expected: float) -> None:
    """The linear rule holds within 0.2° up to 40° of steer: what it leaves out is of third order."""
    delta = math.radians(steer)
    rule = inclination * (1 - math.cos(delta)) + caster * math.sin(delta)
    assert rule == pytest.approx(camber(1, inclination, caster, steer), abs=0.2)


@pytest.mark.parametrize(("inclination", "caster"), [(12.0, 6.0), (14.0, 8.0)])
def test_caster_from_sweep(inclination: float, caster: float) -> None:
    """1.462 times the change of camber over ±20° is the caster, within 0.1°; the trade's 1.5 adds 2.6 %."""
    change = camber(1, inclination, caster, 20.0) - camber(1, inclination, caster, -20.0)
    assert 1.462 == pytest.approx(1 / (2 * math.sin(math.radians(20))), abs=5e-4)
    assert caster == pytest.approx(1.462 * change, abs=0.1)
    assert caster == pytest.approx(1.5 * change, rel=0.04)
