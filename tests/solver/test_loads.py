"""Loads through a corner: equilibrium summed up anew, and virtual work from differences of poses."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from solver.car import Changes, Side
from solver.corner import Pose, pose_corner
from solver.front_end import Assembly, assemble
from solver.loads import GRAVITY, CaseLoads, load_cases, worst
from solver.measures import contact_centre, steer_angle
from solver.solution import State, state_of
from solver.tables import rows
from solver.vectors import Array
from tests.solver.cars import CARS, GOAL

CHANGED = Changes(rack_spacer=5.0, arm_extension=25.0, ball_joint_drop=12.0)

cars = pytest.mark.parametrize("name", CARS)


@cache
def state(name: str) -> State:
    """A changed car with its limits; its lock is where the load cases at lock are taken."""
    return state_of(assemble(CARS[name], CHANGED), GOAL)


def assembly_of(name: str, side: Side) -> Assembly:
    """One side of that car."""
    front_end = state(name).front_end
    return front_end.left if side == "left" else front_end.right


def pose_of(name: str, case: CaseLoads) -> tuple[Pose, float]:
    """The pose of a case, shape (1,), and its signed rack displacement in mm."""
    front_end = state(name).front_end
    rack = state(name).turn(case.side).rack if case.case.endswith("at lock") else 0.0
    signed = rack * front_end.left_sign * (1 if case.side == "left" else -1)
    assembly = assembly_of(name, case.side)
    return pose_corner(assembly.corner, np.array([assembly.ride_angle]), np.array([signed])), signed


def contact_of(name: str, pose: Pose) -> Array:
    """Where the ground's force acts, (3,)."""
    return np.asarray(contact_centre(pose, state(name).front_end.tyre.loaded_radius or 0.0)[0])


@cars
def test_cases_of_the_table(name: str) -> None:
    """Each row of the table for each side, its force as that multiple of the static load, in the wheel's heading."""
    cases = load_cases(state(name))
    assert len(cases) == 2 * len(list(rows("load_cases")))
    for case, row in zip(cases, [*rows("load_cases")] * 2, strict=True):
        static = state(name).front_end.car.corner_masses[0 if case.side == "left" else 1] * GRAVITY
        pose, _ = pose_of(name, case)
        assert row["name"] == case.case
        assert (row["wheel"] == "lock") == case.case.endswith("at lock")
        turned = float(steer_angle(pose)[0])
        inwards = -1 if case.side == "left" else 1
        ahead = np.array([math.cos(turned), math.sin(turned)])
        to_the_middle = inwards * np.array([-math.sin(turned), math.cos(turned)])
        assert float(row["vertical"]) * static == pytest.approx(case.contact[2], rel=1e-12)
        assert float(row["rearward"]) * static == pytest.approx(-case.contact[:2] @ ahead, abs=1e-6)
        assert float(row["inward"]) * static == pytest.approx(case.contact[:2] @ to_the_middle, abs=1e-6)


@cars
def test_equilibrium(name: str) -> None:
    """Forces on knuckle and strut, and their moments about the wheel centre, sum to nothing; so do the arm's."""
    for case in load_cases(state(name)):
        pose, _ = pose_of(name, case)
        inner, pickup = pose.inner_joint[0], pose.pickup[0]
        pull = case.tie_rod * (inner - pickup) / np.linalg.norm(inner - pickup)
        forces = [
            (contact_of(name, pose), case.contact),
            (pose.ball_joint[0], -case.ball_joint),
            (pose.corner.strut_top, -case.strut_top),
            (pickup, pull),
        ]
        # Of some 10 kN at up to 700 mm 1e-12 is left by the linear solver.
        assert np.zeros(3) == pytest.approx(sum(force for _, force in forces), abs=1e-7)
        about = pose.wheel_centre[0]
        moment = sum(np.cross(at - about, force) for at, force in forces)
        assert np.zeros(3) == pytest.approx(moment, abs=1e-4)
        on_arm = np.cross(pose.ball_joint[0] - pose.corner.pivot, case.ball_joint)
        assert 0.0 == pytest.approx(float(pose.corner.pivot_axis @ on_arm), abs=1e-4)
        assert case.residual < 1e-12


def carried(pose: Pose, moved: Pose, point: Array) -> Array:
    """How far a point of the knuckle, given where it is in one pose, is moved in another, (3,)."""
    in_knuckle = pose.rotation[0].T @ (point - pose.ball_joint[0])
    return np.asarray(moved.ball_joint[0] + moved.rotation[0] @ in_knuckle - point)


@cars
def test_tie_rod_by_virtual_work(name: str) -> None:
    """A rod longer by dL turns the wheel: what the ground's force does on the way is tension × dL."""
    for case in load_cases(state(name)):
        pose, rack = pose_of(name, case)
        corner = pose.corner
        angle = np.array([assembly_of(name, case.side).ride_angle])
        step = 1e-3
        work = []
        for sign in (1, -1):
            longer = replace(corner, tie_rod=corner.tie_rod + sign * step)
            moved = pose_corner(longer, angle, np.array([rack]))
            work.append(float(case.contact @ carried(pose, moved, contact_of(name, pose))))
        # Central difference over 2 µm; curvature costs 1e-8, rounding 1e-10 of some kN.
        assert case.tie_rod == pytest.approx((work[0] - work[1]) / (2 * step), rel=1e-5, abs=0.01)


@cars
def test_spring_by_virtual_work(name: str) -> None:
    """The arm swung, the rack held: the ground's work goes into the strut's shortening, force × distance.

    The arm carries nothing about its pivots and the rod keeps its length, so neither does any work.
    """
    for case in load_cases(state(name)):
        pose, rack = pose_of(name, case)
        corner = pose.corner
        angle = assembly_of(name, case.side).ride_angle
        step = 1e-6
        work, length = [], []
        for sign in (1, -1):
            moved = pose_corner(corner, np.array([angle + sign * step]), np.array([rack]))
            work.append(float(case.contact @ carried(pose, moved, contact_of(name, pose))))
            length.append(float(moved.damper_length[0]))
        spring = -(work[0] - work[1]) / (length[0] - length[1])
        damper = pose.rotation[0] @ corner.damper_direction
        # Central difference over 0.7 µm at the wheel: 1e-9 of curvature, 1e-7 of rounding.
        assert spring == pytest.approx(float(case.strut_top @ damper), rel=1e-5)


@cars
def test_moment_about_the_steering_axis(name: str) -> None:
    """The moment of the ground's force about the steering axis is what tie rod and its lever hold."""
    for case in load_cases(state(name)):
        pose, _ = pose_of(name, case)
        ball, axis = pose.ball_joint[0], pose.steering_axis[0]
        inner, pickup = pose.inner_joint[0], pose.pickup[0]
        pull = case.tie_rod * (inner - pickup) / np.linalg.norm(inner - pickup)
        assert -case.about_axis == pytest.approx(float(axis @ np.cross(pickup - ball, pull)), abs=1e-4)


@cars
def test_link_between_the_pivots(name: str) -> None:
    """An arm in one piece is a cantilever: the moment is force across × distance from the ball joint."""
    car = CARS[name]
    for case in load_cases(state(name)):
        points = car.left if case.side == "left" else car.right
        pose, _ = pose_of(name, case)
        start = (np.array(points.arm_front_pivot) + np.array(points.arm_rear_pivot)) / 2
        along = pose.ball_joint[0] - start
        whole = float(np.linalg.norm(along))
        along /= whole
        across = np.linalg.norm(np.cross(along, case.ball_joint))
        assert whole == pytest.approx(case.link.length, abs=1e-9)
        assert float(case.ball_joint @ along) == pytest.approx(case.link.axial, abs=1e-6)
        for distance in (0.0, 100.0, 180.0):
            assert across * distance == pytest.approx(case.link.moment(distance), rel=1e-9)
        assert across * 180.0 == pytest.approx(case.link.largest_moment(100.0, 180.0), rel=1e-9)


@cars
def test_link_from_a_pivot(name: str) -> None:
    """An arm of link and leg: no moment is left at the link's pinned start, and all of it is in balance.

    In the plane of link and leg the leg's force is the one that leaves no moment about the link's pivot. The
    moment along the link is greatest where the leg joins and falls to nothing at both of the link's ends.
    """
    car = replace(CARS[name], arm=replace(CARS[name].arm, link_start="rear pivot", brace_offset=70.0))
    found = state_of(assemble(car, CHANGED), GOAL)
    for case in load_cases(found):
        points = car.left if case.side == "left" else car.right
        assembly = found.front_end.left if case.side == "left" else found.front_end.right
        if case.case.endswith("at lock"):
            continue
        pose = pose_corner(assembly.corner, np.array([assembly.ride_angle]), np.zeros(1))
        start, other = np.array(points.arm_rear_pivot), np.array(points.arm_front_pivot)
        outer = pose.ball_joint[0]
        along = (outer - start) / np.linalg.norm(outer - start)
        # Both pivots lie on the arm's axis, so link, leg and their joint stay in one plane with it.
        joint = outer - 70.0 * along
        leg = (other - joint) / np.linalg.norm(other - joint)
        normal = np.cross(along, leg) / np.linalg.norm(np.cross(along, leg))
        at_start = np.cross(outer - start, case.ball_joint)
        at_start = at_start + np.cross(joint - start, case.link.leg_force * leg)
        assert 0.0 == pytest.approx(float(normal @ at_start), abs=1e-3)
        inside = float(along @ (case.ball_joint + case.link.leg_force * leg))
        assert inside == pytest.approx(case.link.axial, abs=1e-5)
        assert float(along @ case.ball_joint) == pytest.approx(case.link.outer_axial, abs=1e-5)
        across = float(np.linalg.norm(np.cross(along, case.ball_joint)))
        assert across * 70.0 == pytest.approx(case.link.moment(70.0), rel=1e-9)
        assert across * 70.0 == pytest.approx(case.link.largest_moment(0.0, case.link.length), rel=1e-9)
        assert 0.0 == pytest.approx(case.link.moment(case.link.length), abs=1e-6)


def test_worst() -> None:
    """The worst case of a measure is the one that is largest, pushed or pulled."""
    cases = load_cases(state("rear rack"))
    assert max(abs(case.tie_rod) for case in cases) == abs(worst(cases, "tie_rod").tie_rod)
