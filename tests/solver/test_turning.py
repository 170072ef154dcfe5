"""Turning circles against closed forms and against the tyre's own solid."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes
from solver.corner import Pose, pose_with_steer
from solver.front_end import FrontEnd, assemble
from solver.measures import contact_centre, kerb_to_kerb, steer_angle
from solver.sweep import TURNS, rack_sign
from solver.turning import kerb_circle, turn_centre, wall_circle
from tests.solver.cars import REAR, perturbed
from tests.validation.planar import upright_corner

WHEELBASE = 2510.0


def outer_pose(front_end: FrontEnd, turn: str, rack: float) -> Pose:
    """The outer wheel's pose in a turn, one of an array."""
    sign = rack_sign(front_end, "left" if turn == "left" else "right")
    left, right = front_end.at_ride_height(np.array([sign * rack]))
    return right if turn == "left" else left


@settings(max_examples=30)
@given(car=perturbed(), turn=st.sampled_from(TURNS), rack=st.floats(15, 60))
def test_centre(car: Car, turn: str, rack: float) -> None:
    """The centre lies on the rear axle's line, on the inner side, and the outer wheel rolls square to it."""
    front_end = assemble(car, Changes())
    pose = outer_pose(front_end, turn, rack)
    radius = front_end.tyre.loaded_radius or 0.0
    centre = turn_centre(pose, radius, WHEELBASE)[0]
    assert -WHEELBASE == centre[0]
    contact, steer = contact_centre(pose, radius)[0, :2], float(steer_angle(pose)[0])
    assert (centre[1] > contact[1]) == (turn == "left")
    heading = np.array([math.cos(steer), math.sin(steer)])
    # Metres times a unit vector, to rounding.
    assert 0.0 == pytest.approx(float(heading @ (centre - contact)), abs=1e-8)
    circle = kerb_circle(pose, front_end.tyre, radius, WHEELBASE)
    expected = kerb_to_kerb(steer, float(contact[0]), WHEELBASE, front_end.tyre.section_width)
    assert expected == pytest.approx(float(circle[0]), rel=1e-12)


def upright_pose(steer: float) -> Pose:
    """A right-hand wheel that stands upright and turns about an upright axis, its contact centre 40 mm outside."""
    corner = upright_corner((0.0, -700.0), (-140.0, -670.0), (-110.0, -330.0), (0.0, 1.0), 341.0, 1)
    outside = replace(corner, side=-1, wheel_centre=np.array([0.0, -740.0, 300.0]))
    return pose_with_steer(outside, np.zeros(1), steer)[0]


@pytest.mark.parametrize("degrees", [10.0, 25.0, 40.0])
def test_upright_wheel(degrees: float) -> None:
    """The outer front shoulder: √((ρ + W/2 − r)² + (R − r)²) + r with ρ the radius of the contact centre."""
    tyre = assemble(REAR, Changes()).tyre
    steer = math.radians(degrees)
    rounding = tyre.shoulder_radius
    ahead = 40.0 * math.sin(steer)
    centre = (WHEELBASE + ahead) / math.sin(steer)
    along, aside = tyre.outside_diameter / 2 - rounding, centre + tyre.section_width / 2 - rounding
    expected = 2 * (math.hypot(along, aside) + rounding)
    found = wall_circle(upright_pose(steer), tyre, 300.0, WHEELBASE)
    # The shoulder is looked at every two degrees, which may miss 0.05 mm of radius.
    assert expected == pytest.approx(float(found[0]), abs=0.1)
    assert found[0] <= expected + 1e-6


@settings(max_examples=10, deadline=None)
@given(car=perturbed(), turn=st.sampled_from(TURNS), rack=st.floats(20, 60))
def test_against_the_solid(car: Car, turn: str, rack: float) -> None:
    """No point of the tyre sweeps further out, and one comes close, unless the circle between kerbs is wider."""
    front_end = assemble(car, Changes())
    tyre, radius = front_end.tyre, front_end.tyre.loaded_radius or 0.0
    pose = outer_pose(front_end, turn, rack)
    wall = float(wall_circle(pose, tyre, radius, WHEELBASE)[0]) / 2
    pitch = 8.0
    reach = np.arange(-340.0, 341.0, pitch)
    x, y, z = np.meshgrid(reach, reach, reach, indexing="ij")
    points = pose.wheel_centre[0] + np.stack([x, y, z], axis=-1).reshape(-1, 3)
    inside = points[tyre.distance(points, pose.wheel_centre, pose.spin_axis) <= 0]
    furthest = float(np.linalg.norm(inside[:, :2] - turn_centre(pose, radius, WHEELBASE), axis=1).max())
    assert furthest <= wall + 0.05
    kerb = float(kerb_circle(pose, tyre, radius, WHEELBASE)[0]) / 2
    # Some grid point lies within half a cell's diagonal of a point one such diagonal inside the tyre.
    assert wall == pytest.approx(kerb, abs=1e-9) or furthest >= wall - math.sqrt(3) * pitch


@pytest.mark.parametrize("turn", TURNS)
def test_body_corner(turn: str) -> None:
    """A front corner of the body that lies further out than the tyre decides, alike in both turns; one that doesn't
    changes nothing."""
    front_end = assemble(REAR, Changes())
    radius = front_end.tyre.loaded_radius or 0.0
    pose = outer_pose(front_end, turn, 50.0)
    alone = wall_circle(pose, front_end.tyre, radius, WHEELBASE)
    hidden = wall_circle(pose, front_end.tyre, radius, WHEELBASE, body_corner=(100.0, 700.0))
    assert np.array_equal(alone, hidden)
    corner = (760.0, 650.0)
    found = wall_circle(pose, front_end.tyre, radius, WHEELBASE, body_corner=corner)
    side = -1 if turn == "left" else 1
    centre = turn_centre(pose, radius, WHEELBASE)[0]
    expected = 2 * math.hypot(corner[0] + WHEELBASE, side * corner[1] - centre[1])
    assert expected == pytest.approx(float(found[0]), rel=1e-12)
    assert found[0] > alone[0]


def test_straight_ahead() -> None:
    """A wheel that points straight ahead runs on a circle without end: infinite, and no warning."""
    tyre = assemble(REAR, Changes()).tyre
    pose = upright_pose(0.0)
    for circle in (kerb_circle, wall_circle):
        assert math.inf == float(circle(pose, tyre, 300.0, WHEELBASE)[0])
