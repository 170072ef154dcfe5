"""Measures against their definitions, by ways that don't use the same formula."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes
from solver.corner import Pose, pose_corner
from solver.front_end import assemble
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    inclination_angle,
    kerb_to_kerb,
    scrub_radius_and_trail,
    steer_angle,
)
from solver.vectors import Array
from tests.solver.cars import perturbed

RADIUS = 302.0


def rim_of(pose: Pose) -> Array:
    """Points round the edge of the disc that stands for the tyre, every hundredth of a degree, (n, 3)."""
    spin, centre = pose.spin_axis, pose.wheel_centre
    ahead = np.cross(spin, [0.0, 0.0, 1.0])
    ahead /= np.linalg.norm(ahead)
    up = np.cross(spin, ahead)
    angle = np.radians(np.arange(0, 360, 0.01))[:, None]
    return centre + RADIUS * (np.cos(angle) * ahead + np.sin(angle) * up)


@settings(max_examples=30)
@given(
    car=perturbed(),
    left=st.booleans(),
    rack=st.floats(-60, 60),
    travel=st.floats(-50, 50),
)
def test_against_definitions(car: Car, left: bool, rack: float, travel: float) -> None:
    """Contact centre, steer angle, camber, scrub radius and trail of any pose, from points of the disc."""
    front_end = assemble(car, Changes())
    assembly = front_end.left if left else front_end.right
    side = 1 if left else -1
    angle = float(front_end.arm_angles(assembly, np.array([travel]))[0])
    pose = pose_corner(assembly.corner, angle, rack)
    rim = rim_of(pose)
    contact = contact_centre(pose, RADIUS)
    lowest = rim[rim[:, 2].argmin()]
    # Half a hundredth of a degree round the disc is 0.026 mm along the ground and 2e-6 mm in height.
    assert lowest[:2] == pytest.approx(contact[:2], abs=0.03)
    assert lowest[2] == pytest.approx(float(contact[2]), abs=1e-5)
    # The trace on the ground is level and lies in the wheel's plane: the disc's foremost and rearmost points
    # at the height of its centre.
    level = rim[np.abs(rim[:, 2] - pose.wheel_centre[2]) < 1e-6]
    assert len(level) == 2
    front, rear = level[level[:, 0].argmax()], level[level[:, 0].argmin()]
    steer = math.atan2(front[1] - rear[1], front[0] - rear[0])
    assert steer == pytest.approx(float(steer_angle(pose)), abs=1e-9)
    # Camber: the disc's topmost point against its lowest, seen along the trace.
    top = rim[rim[:, 2].argmax()]
    out = side * (-math.sin(steer) * (top - lowest)[0] + math.cos(steer) * (top - lowest)[1])
    # Half a hundredth of a degree of the disc's turn changes the lean by 1e-8 rad only.
    assert math.atan2(out, top[2] - lowest[2]) == pytest.approx(float(camber_angle(pose)), abs=1e-6)
    # Where the steering axis meets the ground: go down from the strut top to the contact's height.
    ball, strut_top = pose.ball_joint, assembly.corner.strut_top
    down = (strut_top[2] - contact[2]) / (strut_top[2] - ball[2])
    foot = strut_top + down * (ball - strut_top)
    assert foot == pytest.approx(axis_on_ground(pose, contact[2]), abs=1e-9)
    outwards = side * np.array([-math.sin(steer), math.cos(steer), 0.0])
    forwards = np.array([math.cos(steer), math.sin(steer), 0.0])
    scrub, trail = scrub_radius_and_trail(pose, RADIUS)
    assert float(outwards @ (contact - foot)) == pytest.approx(float(scrub), abs=1e-9)
    assert float(forwards @ (foot - contact)) == pytest.approx(float(trail), abs=1e-9)
    # Caster in side view and inclination in front view, from two points of the axis.
    assert math.atan2(ball[0] - strut_top[0], strut_top[2] - ball[2]) == pytest.approx(
        float(caster_angle(pose)), abs=1e-12
    )
    assert math.atan2(side * (ball[1] - strut_top[1]), strut_top[2] - ball[2]) == pytest.approx(
        float(inclination_angle(pose)), abs=1e-12
    )


@pytest.mark.parametrize("outer", [0.6, -0.6])
def test_kerb_to_kerb(outer: float) -> None:
    """Twice the distance from the turn's centre, on the rear axle's line, to the outer tyre's outer edge."""
    wheelbase, ahead, width = 2500.0, -20.0, 225.0
    radius = math.hypot(wheelbase + ahead, (wheelbase + ahead) / math.tan(abs(outer)))
    assert 2 * radius + width == pytest.approx(kerb_to_kerb(outer, ahead, wheelbase, width), rel=1e-12)
