"""Statics in closed form: a planar case by hand, a dense solution, and virtual work for random loads and poses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings

from solver.car import Side
from solver.corner import Corner, Pose, pose_corner
from solver.loading.statics import holding, react, react_on_pad, residual
from solver.vectors import Array
from tests.solver.loading.setting import (
    assembly,
    carried,
    forces,
    moments,
    names,
    pose_at,
    shares,
    sides,
    state,
    travels,
    turned,
)

STEP = 1e-4
"""Of the differences of poses, mm and rad × 1000: curvature costs 1e-7 of the result, rounding less."""


def planar_corner() -> Corner:
    """Everything in one plane square to the car, but for a pickup behind it: arm level, strut upright, rod across."""
    return Corner(
        side=1,
        pivot=np.array([0.0, 300.0, 200.0]),
        pivot_axis=np.array([1.0, 0.0, 0.0]),
        arm_ball=np.array([0.0, 650.0, 200.0]),
        strut_top=np.array([0.0, 650.0, 700.0]),
        inner_joint=np.array([-100.0, 300.0, 200.0]),
        rack_direction=np.array([0.0, 1.0, 0.0]),
        knuckle_ball=np.array([0.0, 650.0, 200.0]),
        damper_point=np.array([0.0, 650.0, 400.0]),
        damper_direction=np.array([0.0, 0.0, 1.0]),
        pickup=np.array([-100.0, 650.0, 200.0]),
        wheel_centre=np.array([0.0, 700.0, 300.0]),
        spin_axis=np.array([0.0, 1.0, 0.0]),
        tie_rod=np.array(350.0),
        branch=np.array(1.0),
    )


def test_planar_case_by_hand() -> None:
    """Arm level at 200, strut upright to 700, contact at (0, 700, 0), 4000 N up, 1000 N inwards, 600 N rearwards.

    About the strut (y 650): 600 × 50 to the left, so the rod, 100 behind it, pushes with 300 N outwards. About the
    ball joint: strut top × 500 = 4000 × 50 − 1000 × 200 = 0 across the car, and 600 × 200, 240 N forward, along it.
    The level arm carries nothing upwards, so the strut takes all 4000 N, and the arm what is left: 600 + 240 N
    rearwards and 1000 − 300 N inwards.
    """
    poses = [
        pose_corner(replace(planar_corner(), branch=np.array(branch)), np.zeros(1), np.zeros(1))
        for branch in (1.0, -1.0)
    ]
    # Of the two ways to put the linkage together one is the drawing.
    pose = min(poses, key=lambda each: float(np.abs(each.pickup[0] - planar_corner().pickup).max()))
    assert [-100.0, 650.0, 200.0] == pytest.approx(pose.pickup[0].tolist(), abs=1e-9)
    force = np.array([[-600.0, -1000.0, 4000.0]])
    found = react(holding(pose), force, np.cross(np.array([0.0, 50.0, -200.0]), force))
    assert -300.0 == pytest.approx(float(found.tie_rod[0]), rel=1e-12)
    assert [240.0, 0.0, 4000.0] == pytest.approx(found.strut_top[0].tolist(), abs=1e-9)
    assert [-840.0, -700.0, 0.0] == pytest.approx(found.ball_joint[0].tolist(), abs=1e-9)


def dense(pose: Pose, force: Array, moment: Array) -> Array:
    """Seven equations for seven unknowns by a linear solver: arm on knuckle, body on strut, tension of the rod."""
    ball, top, pickup = pose.ball_joint[0], pose.corner.strut_top, pose.pickup[0]
    rod = pose.inner_joint[0] - pickup
    rod = rod / np.linalg.norm(rod)
    matrix, right = np.zeros((7, 7)), np.zeros(7)
    columns = [(ball, e) for e in np.eye(3)] + [(top, e) for e in np.eye(3)] + [(pickup, rod)]
    for i, (point, unit) in enumerate(columns):
        matrix[:3, i], matrix[3:6, i] = unit, np.cross(point - ball, unit)
    right[:3], right[3:6] = -force, -moment
    matrix[6, :3] = np.cross(pose.corner.pivot_axis, ball - pose.corner.pivot)
    return np.linalg.solve(matrix, right)


@settings(deadline=None)
@given(name=names, side=sides, share=shares, travel=travels, force=forces, moment=moments)
def test_elimination_agrees_with_a_linear_solver(
    name: str, side: Side, share: float, travel: float, force: Array, moment: Array
) -> None:
    """The closed form gives what seven equations for seven unknowns give, and balances to 1e-9 of the load."""
    pose, _, _ = pose_at(state(name), side, share, travel)
    assume(pose.reachable.all())
    hold = holding(pose)
    found = react(hold, force[None], moment[None])
    solved = dense(pose, force, moment)
    size = 1.0 + np.abs(force).max() + np.abs(moment).max() / 100
    # The solver's own rounding, made larger by the little lever that the rod has near over-centre.
    assert -solved[:3] == pytest.approx(found.ball_joint[0], abs=1e-9 * size)
    assert -solved[3:6] == pytest.approx(found.strut_top[0], abs=1e-9 * size)
    assert solved[6] == pytest.approx(float(found.tie_rod[0]), abs=1e-9 * size)
    off, turning = residual(hold, force[None], moment[None], found)
    assert float(off[0]) < 1e-9 * size
    assert float(turning[0]) < 1e-9 * size * 1000


@settings(deadline=None)
@given(name=names, side=sides, share=shares, travel=travels, force=forces, moment=moments)
def test_virtual_work_of_tie_rod_and_strut(
    name: str, side: Side, share: float, travel: float, force: Array, moment: Array
) -> None:
    """Moved by a longer rod, or by the swung arm, the load does as much work as rod and strut take in.

    The poses are differences of the pose code, which knows no force. A rod longer by dL: tension × dL. The arm swung
    with the rod held: the strut's force along the damper × how much shorter it gets; the arm carries nothing about its
    pivots, and the strut's side force does no work, as its top is fixed and the tube slides along the damper.
    """
    posed, angle, rack = pose_at(state(name), side, share, travel)
    corner = posed.corner
    assume(posed.reachable.all())
    at = posed.ball_joint[0]
    found = react(holding(posed), force[None], moment[None])
    works = {}
    for key in ("rod", "arm"):
        done, shorter = [], []
        for sign in (1, -1):
            rod = corner.tie_rod + (sign * STEP if key == "rod" else 0.0)
            swung = angle + (sign * STEP / 300 if key == "arm" else 0.0)
            moved = pose_corner(replace(corner, tie_rod=rod), np.array([swung]), np.array([rack]))
            assume(moved.reachable.all())
            done.append(float(force @ carried(posed, moved, at) + moment @ turned(posed, moved)))
            shorter.append(float(moved.damper_length[0]))
        works[key] = (done[0] - done[1], shorter[1] - shorter[0])
    # Near over-centre the pose itself is known to the root of the rounding only.
    lever = abs(float(holding(posed).lever[0]))
    assume(lever > 20.0)
    size = 1.0 + np.abs(force).max() + np.abs(moment).max() / 100
    assert works["rod"][0] / (2 * STEP) == pytest.approx(float(found.tie_rod[0]), abs=2e-5 * size)
    damper = posed.rotation[0] @ corner.damper_direction
    pressed = float(found.strut_top[0] @ damper)
    assert works["arm"][0] == pytest.approx(pressed * works["arm"][1], abs=2e-5 * size * 2 * STEP)


@settings(deadline=None, max_examples=50)
@given(name=names, side=sides, force=forces, moment=moments)
def test_pad_balances_knuckle_and_arm(name: str, side: Side, force: Array, moment: Array) -> None:
    """With a pad between knuckle and arm: the knuckle is in balance, the arm about its pivots, the rod as told."""
    pose, _, _ = pose_at(state(name), side, 0.9, 0.0)
    hold = holding(pose)
    at = pose.point(np.array([-60.0, assembly(state(name).front_end, side).corner.side * 640.0, 230.0]))
    normal = np.array([[0.8, 0.6, 0.0]])
    rod = np.array([1234.0])
    found = react_on_pad(hold, force[None], moment[None], rod, at, normal)
    assume(found.pad[0] > 0)
    pushed = found.pad[0] * normal
    off, turning = residual(hold, force + pushed, moment + np.cross(at - pose.ball_joint, pushed), found)
    size = 1.0 + np.abs(force).max() + np.abs(moment).max() / 50
    assert 1234.0 == float(found.tie_rod[0])
    assert float(off[0]) < 1e-9 * size
    assert float(turning[0]) < 1e-9 * size * 1000
    pivot, axis = pose.corner.pivot, pose.corner.pivot_axis
    about = np.cross(pose.ball_joint[0] - pivot, found.ball_joint[0]) - np.cross(at[0] - pivot, pushed[0])
    assert 0.0 == pytest.approx(float(axis @ about), abs=1e-9 * size * 1000)


def test_pad_only_pushes() -> None:
    """Where the load would lift the knuckle off the pad, the pad carries nothing."""
    pose, _, _ = pose_at(state("rear rack"), "left", 0.9, 0.0)
    hold = holding(pose)
    at, normal = pose.point(np.array([-60.0, 640.0, 230.0])), np.array([[0.8, 0.6, 0.0]])
    pads = [
        float(react_on_pad(hold, np.zeros((1, 3)), sign * 1e6 * hold.axis, np.zeros(1), at, normal).pad[0])
        for sign in (1, -1)
    ]
    assert 0.0 == min(pads)
    assert max(pads) > 1e3


def test_hit_adds_no_force_to_the_ground() -> None:
    """A hit that makes the pad's force larger is borne by arm, strut and inertia about the steering axis alone."""
    pose, _, _ = pose_at(state("front rack"), "left", 0.9, 0.0)
    hold = holding(pose)
    force, moment = np.array([[-500.0, -3000.0, 4000.0]]), np.array([[8e5, -2e5, -4e5]])
    at, normal = pose.point(np.array([-60.0, 640.0, 230.0])), np.array([[0.8, 0.6, 0.0]])
    plain, hit = (react_on_pad(hold, force, moment, np.zeros(1), at, normal, f) for f in (1.0, 2.5))
    if plain.pad[0] == 0:
        normal = -normal
        plain, hit = (react_on_pad(hold, force, moment, np.zeros(1), at, normal, f) for f in (1.0, 2.5))
    assert 2.5 * plain.pad[0] == pytest.approx(float(hit.pad[0]), rel=1e-12)
    pushed = hit.pad[0] * normal
    off, turning = residual(hold, force + pushed, moment + np.cross(at - pose.ball_joint, pushed), hit)
    assert float(off[0]) < 1e-6
    # What is left over turns about the steering axis: the pad's surplus times its lever.
    surplus = (hit.pad[0] - plain.pad[0]) * float(
        hold.axis[0] @ np.cross(at[0] - pose.ball_joint[0], normal[0])
    )
    assert abs(surplus) == pytest.approx(float(turning[0]), rel=1e-6)
