"""How far a wheel that turns about an inclined steering axis lifts the car.

Source: computed by us from the turn of a thin disc about a straight axis, by hand and not by the solver: 3.075 mm
for 12° of inclination, 50 mm of scrub radius, a 30° turn and a radius of 316 mm. The small-angle form of the
textbooks, scrub radius · sin σ · (1 − cos δ), gives 1.393 mm there: it takes the contact for a point of the
knuckle, which a disc that leans over does not have. It is not what the tool says.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.car import Changes, CornerPoints
from solver.corner import pose_with_steer
from solver.front_end import assemble
from solver.measures import contact_centre, steer_angle
from solver.sweep import TURNS
from solver.sweep_measures import measure_sweep
from tests.solver.cars import REAR

INCLINATION, SCRUB, RADIUS = math.radians(12), 50.0, 316.0
S, C = math.sin(INCLINATION), math.cos(INCLINATION)


def lift(turn: float) -> float:
    """By the turn ``turn`` in rad about the steering axis k = (0, −sin σ, cos σ), mm.

    Seen from where the axis meets the ground, the wheel centre r = (0, scrub, radius) is turned to
    r cos δ + (k × r) sin δ + k (k · r) (1 − cos δ), and the wheel's axis (0, 1, 0) alike. The disc's lowest point
    is √(1 − s²) radii under its centre, with s the vertical part of the wheel's axis.
    """
    versine = 1 - math.cos(turn)
    centre = RADIUS * math.cos(turn) + C * (RADIUS * C - SCRUB * S) * versine
    vertical = -S * C * versine
    return RADIUS * math.sqrt(1 - vertical**2) - centre


def steer(turn: float) -> float:
    """Steer angle in rad of a wheel turned by ``turn`` about the axis: that of the wheel's axis, in plan view."""
    along, across = -C * math.sin(turn), math.cos(turn) + S * S * (1 - math.cos(turn))
    return math.atan2(-along, across)


def points() -> CornerPoints:
    """A left corner with that axis, its damper on it, and a steering linkage of no account."""
    foot, up = np.array([0.0, 700.0, 0.0]), np.array([0.0, -S, C])

    def along_axis(length: float) -> tuple[float, float, float]:
        x, y, z = foot + length * up
        return (float(x), float(y), float(z))

    return CornerPoints(
        arm_front_pivot=(80.0, 330.0, 190.0),
        arm_rear_pivot=(-60.0, 330.0, 190.0),
        ball_joint=along_axis(185.0),
        strut_top=along_axis(720.0),
        damper_point=along_axis(340.0),
        inner_joint=(-105.0, 320.0, 190.0),
        pickup=(-115.0, 650.0, 188.0),
        wheel_centre=(0.0, 750.0, RADIUS),
    )


CAR = assemble(replace(REAR, left=points(), right=points().mirrored()), Changes())


def test_thirty_degrees() -> None:
    """3.075 mm at 30°, by hand and from the solver's contact centre; the small-angle form gives less than half."""
    assert 3.075 == pytest.approx(lift(math.radians(30)), abs=5e-4)
    corner = CAR.left.corner
    straight, turned = (
        pose_with_steer(corner, np.array([CAR.left.ride_angle]), steer(math.radians(turn)))[0]
        for turn in (0, 30)
    )
    drop = contact_centre(straight, RADIUS)[0, 2] - contact_centre(turned, RADIUS)[0, 2]
    assert 3.075 == pytest.approx(float(drop), abs=5e-4)
    assert 1.393 == pytest.approx(SCRUB * S * (1 - math.cos(math.radians(30))), abs=5e-4)


def test_over_the_sweep() -> None:
    """Heave and roll at every rack displacement are mean and difference of both wheels' lift by hand."""
    assert RADIUS == CAR.tyre.loaded_radius
    found = measure_sweep(CAR, dict.fromkeys(TURNS, 50.0))
    ride = found.at_ride_height
    for index, turn in enumerate(TURNS):
        turns = {}
        for side in TURNS:
            angles = np.linspace(-1.2, 1.2, 24001)
            # Steer rises with the turn, so the turn is read off a fine table.
            turns[side] = np.interp(
                found.wheel(side).steer[index, :, ride], [steer(angle) for angle in angles], angles
            )
        inner, outer = (
            np.array([lift(angle) for angle in turns[side]])
            for side in (turn, "right" if turn == "left" else "left")
        )
        # The table's steps of 1e-4 rad, linear in between, leave 1e-9 rad.
        assert (inner + outer) / 2 == pytest.approx(found.heave[index, :, ride], abs=1e-5)
        assert inner - outer == pytest.approx(found.roll[index, :, ride], abs=1e-5)
    assert math.radians(25) < float(found.inner[0, -1, ride])
    assert steer_angle(found.front_end.at_ride_height(np.zeros(1))[0])[0] == pytest.approx(0.0, abs=1e-9)
