"""One corner: what is rigid stays rigid, which assembly it is, and where it goes over centre."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Side
from solver.corner import (
    Corner,
    Reach,
    branch_at,
    over_centre_angle,
    over_centre_rack,
    pose_corner,
    pose_with_steer,
)
from solver.front_end import Assembly, assemble
from solver.measures import steer_angle
from solver.vectors import Array, length
from tests.solver.cars import CARS, FRONT, REAR, perturbed

SIDES: tuple[Side, Side] = ("left", "right")
ROUNDING = 1e-9
"""mm. Sums and roots of lengths up to some 700 mm in double precision keep more than this."""


def assembly_of(car: Car, side: Side) -> Assembly:
    """One side of a car as measured."""
    front_end = assemble(car, Changes())
    return front_end.left if side == "left" else front_end.right


def knuckle_points(corner: Corner) -> Array:
    """Points fixed in the knuckle, shape (5, 3)."""
    return np.array(
        [
            corner.knuckle_ball,
            corner.pickup,
            corner.wheel_centre,
            corner.damper_point,
            corner.damper_point + 200 * corner.damper_direction,
        ]
    )


@settings(max_examples=60)
@given(car=perturbed(), side=st.sampled_from(SIDES))
def test_rigid(car: Car, side: Side) -> None:
    """Over the sweep the knuckle keeps its shape, tie rod and arm their lengths, the damper its line."""
    corner = assembly_of(car, side).corner
    angles, rack = np.linspace(-0.18, 0.15, 5), np.linspace(-62, 62, 21)[:, None]
    pose = pose_corner(corner, angles, rack)
    assert pose.reachable.all()
    points = knuckle_points(corner)
    moved = np.stack([pose.point(point) for point in points], axis=-2)
    for i, point in enumerate(points):
        for j, other in enumerate(points[:i]):
            expected = float(length(point - other))
            assert expected == pytest.approx(length(moved[..., i, :] - moved[..., j, :]), abs=ROUNDING)
    assert corner.tie_rod == pytest.approx(length(pose.pickup - pose.inner_joint), abs=ROUNDING)
    for end in (corner.pivot, corner.pivot + 100 * corner.pivot_axis):
        expected = float(length(corner.arm_ball - end))
        assert expected == pytest.approx(length(pose.ball_joint - end), abs=ROUNDING)
    low, high = moved[..., 3, :], moved[..., 4, :]
    aside = np.cross(corner.strut_top - low, (high - low) / 200)
    assert np.abs(aside).max() < ROUNDING
    assert pose.damper_length == pytest.approx(length(corner.strut_top - low), abs=ROUNDING)
    assert np.linalg.det(pose.rotation) == pytest.approx(1.0, abs=1e-12)


@settings(max_examples=60)
@given(car=perturbed(), side=st.sampled_from(SIDES))
def test_assembly_stays(car: Car, side: Side) -> None:
    """From one over-centre to the other it is the assembly that was measured, and steer changes one way."""
    assembly = assembly_of(car, side)
    corner = assembly.corner
    low, high = over_centre_rack(corner, assembly.ride_angle)
    rack = np.linspace(low + 1e-3, high - 1e-3, 301)
    pose = pose_corner(corner, assembly.ride_angle, rack)
    assert pose.reachable.all()
    assert np.all(corner.branch == branch_at(pose))
    turned = np.diff(np.unwrap(np.ravel(steer_angle(pose))))
    assert np.all(turned > 0) or np.all(turned < 0)


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("name", CARS)
def test_other_assembly(name: str, side: Side) -> None:
    """The other assembly fits the same lengths, is told apart, and meets the first at over-centre."""
    assembly = assembly_of(CARS[name], side)
    corner = assembly.corner
    other = replace(corner, branch=-corner.branch)
    pose = pose_corner(other, assembly.ride_angle, np.zeros(1))
    assert corner.tie_rod == pytest.approx(length(pose.pickup - pose.inner_joint)[0], abs=ROUNDING)
    assert other.branch == branch_at(pose)
    _, end = over_centre_rack(corner, assembly.ride_angle)
    poses = [pose_corner(c, assembly.ride_angle, end - 1e-10) for c in (corner, other)]
    # Near their meeting the two differ by the root of what is left: 1e-10 mm of rack leaves some 0.001 mm.
    assert poses[0].pickup == pytest.approx(poses[1].pickup, abs=0.01)


@settings(max_examples=60)
@given(car=perturbed(), side=st.sampled_from(SIDES), angle=st.floats(-0.15, 0.12))
def test_over_centre_rack(car: Car, side: Side, angle: float) -> None:
    """Reachable with finite numbers up to over-centre, where the margin vanishes; flagged and NaN beyond."""
    corner = assembly_of(car, side).corner
    for end, turn in zip(over_centre_rack(corner, angle), (-1, 1), strict=True):
        assert turn * end > 0
        # The quartic's roots keep 1e-6 mm, after which the margin falls as a root: some 0.01°.
        pose = pose_corner(corner, angle, end - turn * np.array([40.0, 10.0, 1.0, 0.1, 1e-6]))
        assert pose.reachable.all()
        assert np.isfinite(pose.rotation).all()
        assert np.isfinite(pose.pickup).all()
        margin = over_centre_angle(pose)
        assert np.all(np.diff(margin) < 0)
        assert math.degrees(margin[-1]) < 0.1
        beyond = pose_corner(corner, angle, end + turn * np.array([1e-6, 0.1, 10.0, 100.0]))
        assert {Reach.OVER_CENTRE} == set(beyond.reach.tolist())
        assert np.isnan(beyond.pickup).all()


def test_margin_falls_as_a_root() -> None:
    """Close to over-centre a quarter of the rack travel left means half of the margin, within 1 %."""
    assembly = assembly_of(REAR, "left")
    end = over_centre_rack(assembly.corner, assembly.ride_angle)[0]
    pose = pose_corner(assembly.corner, assembly.ride_angle, end + np.array([0.04, 0.01]))
    margin = over_centre_angle(pose)
    assert 2.0 == pytest.approx(margin[0] / margin[1], rel=0.01)


@settings(max_examples=60)
@given(car=perturbed(), side=st.sampled_from(SIDES), rack=st.floats(-60, 60), angle=st.floats(-0.15, 0.12))
def test_over_centre_angle(car: Car, side: Side, rack: float, angle: float) -> None:
    """Its sine is what the tie rod's lever is, and so follows from how fast the rack turns the knuckle.

    The rod keeps its length, so (rod · rack) ds = |arm| |rod| sin(margin) dδ, with arm and rod square to the
    steering axis; dδ/ds is a difference of poses.
    """
    corner = assembly_of(car, side).corner
    step = 1e-3
    before, pose, after = (pose_corner(corner, angle, rack + d) for d in (-step, 0.0, step))
    between = after.rotation @ before.rotation.T
    turned = np.linalg.norm(between - between.T) / math.sqrt(8) / (2 * step)
    arm, rod = pose.pickup - pose.ball_joint, pose.pickup - pose.inner_joint
    square = np.eye(3) - np.outer(pose.steering_axis, pose.steering_axis)
    lever = abs(rod @ corner.rack_direction) / turned
    sine = lever / np.linalg.norm(square @ arm) / np.linalg.norm(square @ rod)
    # A central difference over 2 µm: 1e-9 of curvature, and 1e-13 of rounding over 2e-5 rad.
    assert sine == pytest.approx(math.sin(float(over_centre_angle(pose))), rel=1e-6)


def test_strut_too_short() -> None:
    """A damper axis that passes the ball joint further off than the strut top is has no pose and says so."""
    corner = assembly_of(REAR, "left").corner
    reach = float(length(corner.strut_top - corner.arm_ball))
    aside = np.cross(corner.damper_direction, [0.0, 0.0, 1.0])
    aside /= np.linalg.norm(aside)
    for offset, expected in ((reach - 1.0, True), (reach + 1.0, False)):
        odd = replace(corner, damper_point=corner.knuckle_ball + offset * aside)
        pose = pose_corner(odd, 0.0, 0.0)
        steered, _ = pose_with_steer(odd, np.zeros(1), 0.0)
        assert expected == bool(pose.reach != Reach.STRUT_TOO_SHORT)
        assert expected == bool(steered.reachable[0])
        assert not pose.reachable or np.isfinite(pose.rotation).all()


def test_one_bad_pose_spoils_no_other() -> None:
    """In an array of poses those out of reach are flagged, and the others are what they are alone."""
    corner = assembly_of(FRONT, "right").corner
    rack = np.array([-300.0, 10.0, 300.0, -20.0])
    pose = pose_corner(corner, 0.02, rack)
    assert [False, True, False, True] == pose.reachable.tolist()
    for i in (1, 3):
        assert np.array_equal(pose_corner(corner, 0.02, rack[i : i + 1]).rotation[0], pose.rotation[i])


def test_shapes() -> None:
    """Arm angles and rack displacements are broadcast against each other; points have one axis more."""
    corner = assembly_of(FRONT, "left").corner
    pose = pose_corner(corner, np.zeros((4, 1)), np.zeros(3))
    assert (4, 3) == pose.reach.shape
    assert (4, 3, 3) == pose.pickup.shape == pose.spin_axis.shape
    assert (4, 3, 3, 3) == pose.rotation.shape
    assert () == pose_corner(corner, 0.0, 0.0).reach.shape


@settings(max_examples=60)
@given(car=perturbed(), side=st.sampled_from(SIDES), steer=st.floats(-0.9, 0.9), angle=st.floats(-0.15, 0.12))
def test_pose_with_steer(car: Car, side: Side, steer: float, angle: float) -> None:
    """The wheel has the wanted steer angle, and the returned tie rod holds it there with the rack centred."""
    corner = assembly_of(car, side).corner
    pose, rod = pose_with_steer(corner, np.array([angle]), steer)
    assert steer == pytest.approx(float(steer_angle(pose)[0]), abs=1e-12)
    held = pose_corner(replace(corner, tie_rod=float(rod[0]), branch=branch_at(pose)), np.array([angle]), 0.0)
    # Where arm and rod are nearly in line the rod's rounding of 1e-13 mm is magnified.
    assert pose.pickup == pytest.approx(held.pickup, abs=1e-6)
