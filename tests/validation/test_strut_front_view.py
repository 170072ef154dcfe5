"""A strut front end in front and side view, its damper on the steering axis.

Source: points as in the construction of the roll centre in Reimpell, The Automotive Chassis, chapter 3; the
angles, scrub radius and trail are computed by us by similar triangles.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.corner import Corner, Pose, pose_corner
from solver.measures import axis_on_ground, caster_angle, inclination_angle, scrub_radius_and_trail

MOUNT, BALL_JOINT, PIVOT, HALF_TRACK = (560.0, 640.0), (690.0, 190.0), (330.0, 210.0), 750.0
RADIUS = 300.0


def pose(side: int = 1, top_back: float = 0.0) -> Pose:
    """The corner at rest; y and z as in front view, the strut top ``top_back`` mm behind the ball joint."""
    ball = np.array([0.0, side * BALL_JOINT[0], BALL_JOINT[1]])
    top = np.array([-top_back, side * MOUNT[0], MOUNT[1]])
    pickup, inner = np.array([-120.0, side * 680.0, 185.0]), np.array([-120.0, side * 330.0, 190.0])
    along = (top - ball) / np.linalg.norm(top - ball)
    corner = Corner(
        side=side,
        pivot=np.array([0.0, side * PIVOT[0], PIVOT[1]]),
        pivot_axis=np.array([side * 1.0, 0.0, 0.0]),
        arm_ball=ball,
        strut_top=top,
        inner_joint=inner,
        rack_direction=np.array([0.0, 1.0, 0.0]),
        knuckle_ball=ball,
        damper_point=ball + 150.0 * along,
        damper_direction=along,
        pickup=pickup,
        wheel_centre=np.array([0.0, side * HALF_TRACK, RADIUS]),
        spin_axis=np.array([0.0, 1.0, 0.0]),
        tie_rod=float(np.linalg.norm(pickup - inner)),
        branch=-side,
    )
    return pose_corner(corner, 0.0, 0.0)


@pytest.mark.parametrize("side", [1, -1])
def test_front_view(side: int) -> None:
    """Inclination 16.113°, the steering axis meets the ground at 744.889, scrub radius +5.111, both sides."""
    at_rest = pose(side)
    assert 16.113 == pytest.approx(math.degrees(inclination_angle(at_rest)), abs=5e-4)
    foot = axis_on_ground(at_rest, np.array(0.0))
    assert side * 744.889 == pytest.approx(float(foot[1]), abs=5e-4)
    scrub, trail = scrub_radius_and_trail(at_rest, RADIUS)
    assert 5.111 == pytest.approx(float(scrub), abs=5e-4)
    # Ball joint, strut top and wheel centre lie in one plane across the car: no trail, to rounding.
    assert 0.0 == pytest.approx(float(trail), abs=1e-9)
    assert 0.0 == pytest.approx(float(caster_angle(at_rest)), abs=1e-12)


@pytest.mark.parametrize("side", [1, -1])
def test_side_view(side: int) -> None:
    """With the top 55 mm further back caster is 6.968° and trail +23.222; inclination and scrub stay."""
    at_rest = pose(side, top_back=55.0)
    assert 6.968 == pytest.approx(math.degrees(caster_angle(at_rest)), abs=5e-4)
    assert 16.113 == pytest.approx(math.degrees(inclination_angle(at_rest)), abs=5e-4)
    scrub, trail = scrub_radius_and_trail(at_rest, RADIUS)
    assert 23.222 == pytest.approx(float(trail), abs=5e-4)
    assert 5.111 == pytest.approx(float(scrub), abs=5e-4)
