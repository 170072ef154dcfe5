"""The arm's link, its other leg and pivots, and the strut's rod, against balances set up anew in the car's axes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings

from solver.car import Side
from solver.corner import Pose
from solver.front_end import FrontEnd, link_of, points_of
from solver.loading.arm import ALONG, LEVEL, LinkLoads, link_loads, pivot_loads
from solver.loading.strut import strut_loads
from solver.vectors import Array, rotate
from tests.solver.loading.setting import CHANGED, forces, names, pose_at, shares, sides, state, travels

EXTENSION = CHANGED.arm_extension


@cache
def front_end_of(name: str, braced: bool) -> FrontEnd:
    """A changed front end, its link between the pivots or braced."""
    return state(name, braced).front_end


def loads_at(
    name: str,
    side: Side,
    share: float,
    travel: float,
    force: Array,
    braced: bool,
    pad: tuple[Array, Array] | None = None,
) -> tuple[Pose, LinkLoads]:
    """The link's loads under a force at the ball joint, and a pad's push at a place of the car."""
    pose, _, _ = pose_at(state(name, braced), side, share, travel)
    link = link_of(front_end_of(name, braced).car, side)
    push, at = (None, None) if pad is None else (pad[0][None], pad[1][None])
    return pose, link_loads(link, EXTENSION, pose, force[None], push, at)


def turned_points(name: str, side: Side, pose: Pose, braced: bool) -> tuple[Array, Array, Array]:
    """Front pivot, rear pivot and the inner end of the link; the pivots don't move."""
    points = points_of(front_end_of(name, braced).car, side)
    front, rear = np.array(points.arm_front_pivot), np.array(points.arm_rear_pivot)
    return front, rear, rear if braced else (front + rear) / 2


@settings(deadline=None)
@given(name=names, side=sides, share=shares, travel=travels, force=forces)
def test_one_piece_arm_is_a_cantilever(
    name: str, side: Side, share: float, travel: float, force: Array
) -> None:
    """The moment is what the force makes about the place, of any force and in any pose."""
    pose, loads = loads_at(name, side, share, travel, force, braced=False)
    _, _, start = turned_points(name, side, pose, braced=False)
    along = pose.ball_joint[0] - start
    whole = float(np.linalg.norm(along))
    along = along / whole
    assert whole == pytest.approx(float(loads.whole[0]), abs=1e-9)
    assert float(force @ along) == pytest.approx(float(loads.axial(200.0)[0]), abs=1e-6)
    for distance in (0.0, 100.0, whole):
        about = np.linalg.norm(np.cross(distance * along, force))
        assert about == pytest.approx(float(loads.moment(distance)[0]), abs=1e-5)
    assert 0.0 == float(loads.torque(100.0)[0])


@settings(deadline=None)
@given(name=names, side=sides, share=shares, travel=travels, force=forces)
def test_braced_link(name: str, side: Side, share: float, travel: float, force: Array) -> None:
    """In the arm's plane link and leg are in balance: no moment at the pinned start, the leg pulls along itself."""
    pose, loads = loads_at(name, side, share, travel, force, braced=True)
    front, _, start = turned_points(name, side, pose, braced=True)
    outer = pose.ball_joint[0]
    along = (outer - start) / np.linalg.norm(outer - start)
    # Both pivots lie on the arm's axis, so link, leg and their joint stay in one plane with it.
    joint = outer - 70.0 * along
    leg = (front - joint) / np.linalg.norm(front - joint)
    normal = np.cross(along, leg) / np.linalg.norm(np.cross(along, leg))
    pull = float(loads.leg_force[0])
    about_start = np.cross(outer - start, force) + np.cross(joint - start, pull * leg)
    assert 0.0 == pytest.approx(float(normal @ about_start), abs=1e-4)
    assert float(along @ force) == pytest.approx(float(loads.axial(50.0)[0]), abs=1e-6)
    assert float(along @ (force + pull * leg)) == pytest.approx(float(loads.axial(100.0)[0]), abs=1e-5)
    level = abs(float(normal @ np.cross(70.0 * along, force)))
    assert level == pytest.approx(abs(float(loads.level_moment(70.0)[0])), abs=1e-5)
    assert 0.0 == pytest.approx(float(loads.level_moment(loads.whole)[0]), abs=1e-4)


@settings(deadline=None, max_examples=50)
@given(name=names, side=sides, force=forces, push=forces)
def test_stop_bracket_bends_and_twists_the_link(name: str, side: Side, force: Array, push: Array) -> None:
    """Inboard of the pad all moments about a place of the link are those of both forces; outboard of it only one's."""
    pose, _, _ = pose_at(state(name), side, 0.8, 10.0)
    _, _, start = turned_points(name, side, pose, braced=False)
    outer = pose.ball_joint[0]
    along = (outer - start) / np.linalg.norm(outer - start)
    at = outer - 90.0 * along + np.array([-30.0, 0.0, 55.0])
    _, loads = loads_at(name, side, 0.8, 10.0, force, braced=False, pad=(push, at))
    place = outer - 200.0 * along
    moment = np.cross(outer - place, force) + np.cross(at - place, push)
    twist = float(moment @ along)
    assert twist == pytest.approx(float(loads.torque(200.0)[0]), abs=1e-4)
    assert np.linalg.norm(moment - twist * along) == pytest.approx(float(loads.moment(200.0)[0]), abs=1e-4)
    assert float((force + push) @ along) == pytest.approx(float(loads.axial(200.0)[0]), abs=1e-6)
    assert np.linalg.norm(np.cross(20.0 * along, force)) == pytest.approx(
        float(loads.moment(20.0)[0]), abs=1e-4
    )
    assert 0.0 == float(loads.torque(20.0)[0])


@settings(deadline=None, max_examples=50)
@given(name=names, side=sides, share=shares, travel=travels, force=forces)
def test_pivots_hold_the_arm(name: str, side: Side, share: float, travel: float, force: Array) -> None:
    """Radial forces on both pivots balance force and moment, square to their axis; the thrust is what is along it."""
    pose, _, _ = pose_at(state(name), side, share, travel)
    points = points_of(front_end_of(name, False).car, side)
    front, rear = np.array(points.arm_front_pivot), np.array(points.arm_rear_pivot)
    axis = (front - rear) / np.linalg.norm(front - rear)
    at_front, at_rear, thrust = pivot_loads(points, pose, force[None])[:, 0]
    # Each pivot's force from moments about the other one; a moment along the axis is the strut's, not the arm's.
    for here, there, found in ((front, rear, at_front), (rear, front, at_rear)):
        moment = np.cross(pose.ball_joint[0] - there, force)
        held = np.cross(moment, axis) / float((here - there) @ axis)
        held = held - (held @ axis) * axis
        assert float(np.linalg.norm(held)) == pytest.approx(float(found), abs=1e-6)
    assert abs(float(force @ axis)) == pytest.approx(float(thrust), abs=1e-6)


@settings(deadline=None, max_examples=50)
@given(name=names, side=sides, share=shares, travel=travels, force=forces)
def test_strut_rod(name: str, side: Side, share: float, travel: float, force: Array) -> None:
    """The rod is bent by the side force over what of it stands out of the tube; along the damper nothing is lost."""
    pose, _, _ = pose_at(state(name), side, share, travel)
    corner, tube = pose.corner, front_end_of(name, False).car.strut.tube_length
    axial, across, bending = (float(x[0]) for x in strut_loads(tube, pose, force[None]))
    damper = pose.rotation[0] @ corner.damper_direction
    end = pose.point(corner.damper_point)[0] + tube * damper
    # The damper passes through the strut top, so the moment about the tube's end is square to it.
    about = np.cross(corner.strut_top - end, force)
    assert float(np.linalg.norm(about)) == pytest.approx(bending, abs=1e-4)
    assert float(np.linalg.norm(force)) == pytest.approx(float(np.hypot(axial, across)), abs=1e-6)
    assert float(force @ damper) == pytest.approx(axial, abs=1e-6)


def test_longest_lever_is_where_the_leg_joins() -> None:
    """Under one force the moment of a braced link grows to the leg's joint and falls from there on."""
    _, loads = loads_at("rear rack", "left", 0.0, 0.0, np.array([-5000.0, 800.0, 0.0]), braced=True)
    places = np.append(np.arange(0.0, float(loads.whole[0]), 5.0), loads.whole[0])
    moments = [float(loads.moment(place)[0]) for place in places]
    assert 70.0 == places[int(np.argmax(moments))]
    assert max(moments) <= float(loads.moment(70.0)[0]) + 1e-6
    assert 5000.0 == pytest.approx(float(np.linalg.norm(loads.ball[0, [ALONG, LEVEL]])), rel=0.02)


def test_axes_of_the_arm_turn_with_it() -> None:
    """A force that turns with the arm makes the same moments in every travel."""
    fixed = np.array([-3000.0, 900.0, 150.0])
    found = []
    for travel in (-60.0, 0.0, 50.0):
        pose, angle, _ = pose_at(state("front rack", True), "left", 0.3, travel)
        force = rotate(fixed, pose.corner.pivot_axis, np.array(angle))
        link = link_of(front_end_of("front rack", True).car, "left")
        loads = link_loads(link, EXTENSION, pose, force[None])
        found.append([float(loads.moment(d)[0]) for d in (50.0, 150.0, 300.0)])
    assert found[0] == pytest.approx(found[1], rel=1e-9)
    assert found[0] == pytest.approx(found[2], rel=1e-9)


def test_car_is_not_changed() -> None:
    """The braced car differs in its arm alone."""
    plain, braced = front_end_of("rear rack", False).car, front_end_of("rear rack", True).car
    assert plain == replace(braced, arm=plain.arm)
