"""Joint angles against the planar linkage and hand-built vectors; thread left by subtraction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, CornerPoints, JointLimits, Vector
from solver.corner import Corner, pose_corner
from solver.front_end import assemble, points_of
from solver.joints import articulation, thread_left
from solver.measures import inclination_angle
from tests.solver.cars import CARS, REAR, perturbed
from tests.validation.planar import upright_corner
from tests.validation.test_strut_front_view import pose as front_view_pose


def measured(corner: Corner) -> CornerPoints:
    """The points of a hand-built corner, as if they had been measured."""

    def at(point: np.ndarray) -> Vector:
        return (float(point[0]), float(point[1]), float(point[2]))

    return CornerPoints(
        arm_front_pivot=at(corner.pivot + 100.0 * corner.pivot_axis),
        arm_rear_pivot=at(corner.pivot),
        ball_joint=at(corner.arm_ball),
        strut_top=at(corner.strut_top),
        damper_point=at(corner.damper_point),
        inner_joint=at(corner.inner_joint),
        pickup=at(corner.pickup),
        wheel_centre=at(corner.wheel_centre),
    )


@pytest.mark.parametrize("name", CARS)
def test_at_rest(name: str) -> None:
    """As measured, with the rack centred at ride height, no joint is bent."""
    front_end = assemble(CARS[name], Changes())
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        found = articulation(points_of(front_end.car, assembly.side), pose)
        for angle in vars(found).values():
            # The ride angle is found to 1e-11 rad, and two cambers on one radius leave 0.01 mm of height.
            assert 0.0 == pytest.approx(float(angle[0]), abs=1e-4 if name == "front rack" else 1e-9)


def test_level_linkage() -> None:
    """A linkage at one height never tilts its studs; the rod swings by as much as its angle to the arm changes."""
    axis, pickup, inner = np.array([0.0, 700.0]), np.array([-140.0, 670.0]), np.array([-110.0, 330.0])
    rod = float(np.hypot(*(pickup - inner)))
    corner = upright_corner((0.0, 700.0), (-140.0, 670.0), (-110.0, 330.0), (0.0, 1.0), rod, -1)
    rack = np.linspace(-95.0, 60.0, 12)
    pose = pose_corner(corner, np.zeros(12), rack)
    found = articulation(measured(corner), pose)
    for at in range(12):
        joint = inner + np.array([0.0, rack[at]])
        # The triangle of steering arm, tie rod and the line between their far ends, by the law of cosines.
        arm, across = math.dist(pickup, axis), math.dist(joint, axis)
        between, at_rest = (
            math.acos((arm**2 + rod**2 - side**2) / (2 * arm * rod))
            for side in (across, math.dist(inner, axis))
        )
        assert abs(between - at_rest) == pytest.approx(float(found.rod_swing[at]), abs=1e-9)
        direction = pose.pickup[at, :2] - joint
        turned = math.atan2(direction[1], direction[0]) - math.atan2(*(pickup - inner)[::-1])
        assert abs(turned) == pytest.approx(float(found.rod_inner[at]), abs=1e-9)
    assert np.zeros(12) == pytest.approx(found.rod_outer, abs=1e-9)
    assert np.zeros(12) == pytest.approx(found.ball_joint, abs=1e-9)


@pytest.mark.parametrize("swing", [-0.12, 0.07, 0.15])
def test_ball_joint_in_front_view(swing: float) -> None:
    """Arm and knuckle that move in one plane bend the ball joint by the difference of their turns, steered or not."""
    corner = front_view_pose().corner
    pose = pose_corner(corner, np.full(3, swing), np.array([-40.0, 0.0, 40.0]))
    start = pose_corner(corner, 0.0, 0.0)
    leaned = float(inclination_angle(start) - inclination_angle(pose)[1])
    # The arm that goes up turns the other way round from an axis that leans out.
    expected = abs(swing + leaned)
    found = articulation(measured(corner), pose).ball_joint
    assert np.full(3, expected) == pytest.approx(found, abs=1e-9)


@settings(max_examples=40)
@given(car=perturbed(), rack=st.floats(-50, 50), travel=st.floats(-50, 50))
def test_outer_stud(car: Car, rack: float, travel: float) -> None:
    """The outer joint's tilt is the rod against its shadow on the plane square to the stud, which the knuckle
    carries."""
    front_end = assemble(car, Changes())
    pose = front_end.poses(front_end.left, np.array([rack]), np.array([travel]))
    rest = np.array(car.left.pickup) - np.array(car.left.inner_joint)
    ahead = np.cross(rest, [0.0, 0.0, 1.0])
    stud = np.cross(ahead, rest)
    stud /= np.linalg.norm(stud)
    # Two points of the stud, carried by the knuckle.
    foot, head = (pose.point(front_end.left.corner.pickup + share * stud)[0, 0] for share in (0.0, 40.0))
    pin = (head - foot) / 40.0
    rod = (pose.pickup - pose.inner_joint)[0, 0]
    shadow = rod - pin * (pin @ rod)
    expected = math.atan2(abs(pin @ rod), float(np.linalg.norm(shadow)))
    assert expected == pytest.approx(float(articulation(car.left, pose).rod_outer[0, 0]), abs=1e-9)
    given_stud = articulation(car.left, pose, 3.0 * stud)
    assert expected == pytest.approx(float(given_stud.rod_outer[0, 0]), abs=1e-9)


def test_left_to_the_limits() -> None:
    """What a joint's limit leaves is counted over the poses that exist, and only where a limit is known."""
    front_end = assemble(REAR, Changes())
    pose = front_end.poses(front_end.left, np.linspace(-200.0, 200.0, 41), front_end.travels(3))
    assert not pose.reachable.all()
    found = articulation(REAR.left, pose)
    largest = float(np.nanmax(found.rod_inner))
    left = found.left(JointLimits(rod_inner=largest - 0.05, ball_joint=0.5))
    assert -0.05 == pytest.approx(left["rod_inner"] or 0.0, abs=1e-12)
    assert 0.5 - float(np.nanmax(found.ball_joint)) == pytest.approx(left["ball_joint"] or 0.0, abs=1e-12)
    assert left["rod_outer"] is None


def test_thread_left() -> None:
    """Longest less needed can be screwed out, needed less shortest in; negative past the range; None without one."""
    assembly = assemble(REAR, Changes()).left
    rod = math.dist(REAR.left.pickup, REAR.left.inner_joint)
    # Between the measured points, found again through ride height.
    out, inwards = thread_left(replace(REAR, tie_rod_range=(330.0, 345.0)), assembly) or (0.0, 0.0)
    assert 345.0 - rod == pytest.approx(out, abs=1e-6)
    assert rod - 330.0 == pytest.approx(inwards, abs=1e-6)
    short = thread_left(replace(REAR, tie_rod_range=(300.0, 320.0)), assembly) or (0.0, 0.0)
    assert short[0] < 0 < short[1]
    assert thread_left(REAR, assembly) is None
