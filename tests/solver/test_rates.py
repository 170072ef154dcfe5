"""Exact derivatives of poses, against differences of poses and against the joints that hold the knuckle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Move
from solver.corner import Corner, Pose, pose_corner
from solver.front_end import assemble
from solver.measures import camber_angle, contact_centre, steer_angle
from solver.rates import Motion, camber_rate, contact_rate, moved_by_arm, moved_by_rack, steer_rate
from solver.vectors import Array, apply, cross, dot
from tests.solver.cars import FRONT, perturbed

RADIUS = 302.0

places = {
    "car": perturbed(),
    "left": st.booleans(),
    "rack": st.floats(-60, 60),
    "swing": st.floats(-0.15, 0.15),
}


def corner_of(car: Car, left: bool) -> Corner:
    """One corner of a car with a moved pickup."""
    front_end = assemble(car, Changes(pickup_move=Move(outward=5.0)))
    return (front_end.left if left else front_end.right).corner


def compared(corner: Corner, poses: tuple[Pose, Pose, Pose], motion: Motion, step: float) -> None:
    """Compare a motion with the difference of two poses, ``step`` apart, round the middle one."""
    before, now, after = poses
    # The difference is off by its step squared over the distance to over-centre, which was kept away from.
    lengths, angles = {"rel": 1e-5, "abs": 1e-5 * 300}, {"rel": 1e-5, "abs": 1e-5}

    def slope(values: list[Array]) -> Array:
        return (values[1] - values[0]) / step

    for point in (corner.wheel_centre, corner.pickup):
        expected = slope([pose.point(point) for pose in (before, after)])
        assert expected == pytest.approx(motion.point(now.point(point)), **lengths)
    expected = slope([contact_centre(pose, RADIUS) for pose in (before, after)])
    assert expected == pytest.approx(contact_rate(motion, RADIUS), **lengths)
    expected = slope([steer_angle(pose) for pose in (before, after)])
    assert expected == pytest.approx(steer_rate(motion), **angles)
    expected = slope([camber_angle(pose) for pose in (before, after)])
    assert expected == pytest.approx(camber_rate(motion), **angles)


@settings(max_examples=60)
@given(**places)
def test_against_differences(car: Car, left: bool, rack: float, swing: float) -> None:
    """Points, contact centre, steer and camber move as the poses beside it say, for the arm and for the rack."""
    corner = corner_of(car, left)
    here = pose_corner(corner, np.array(swing), np.array(rack))
    lever = dot(cross(here.steering_axis, here.pickup - here.ball_joint), here.pickup - here.inner_joint)
    if not here.reachable or abs(lever) < 5000.0:
        return
    # A hundredth of a millimetre either way, at the ball joint or at the rack.
    for step, motion, arm, along in (
        (6e-5, moved_by_arm(here), 1.0, 0.0),
        (0.02, moved_by_rack(here), 0.0, 1.0),
    ):
        half = step / 2
        before, after = (
            pose_corner(corner, np.array(swing + s * arm), np.array(rack + s * along)) for s in (-half, half)
        )
        compared(corner, (before, here, after), motion, step)


@settings(max_examples=60)
@given(**places)
def test_joints_hold(car: Car, left: bool, rack: float, swing: float) -> None:
    """The tie rod keeps its length, and the knuckle slides along the damper at the strut top, to rounding."""
    corner = corner_of(car, left)
    here = pose_corner(corner, np.array(swing), np.array(rack))
    if not here.reachable:
        return
    for motion, inner in (
        (moved_by_arm(here), np.zeros(3)),
        (moved_by_rack(here), corner.rack_direction),
    ):
        rod = here.pickup - here.inner_joint
        size = 1 + np.linalg.norm(motion.turn)
        # Velocities of some 300 mm for a turn of 1; the products with the rod's length cancel to rounding.
        stretch = dot(motion.point(here.pickup) - inner, rod) / np.linalg.norm(rod)
        assert 0.0 == pytest.approx(float(stretch / size), abs=1e-9)
        damper = apply(here.rotation, corner.damper_direction)
        sideways = cross(motion.point(corner.strut_top), damper)
        assert np.zeros(3) == pytest.approx(sideways / size, abs=1e-9)


def test_shapes() -> None:
    """Rates have the shape of the poses, and are NaN exactly where those can't be reached."""
    corner = assemble(FRONT, Changes()).left.corner
    pose = pose_corner(corner, np.linspace(-0.1, 0.1, 3), np.linspace(-250, 250, 21)[:, None])
    assert 0 < pose.reachable.sum() < pose.reachable.size
    for motion in (moved_by_arm(pose), moved_by_rack(pose)):
        for rate in (steer_rate(motion), camber_rate(motion), contact_rate(motion, RADIUS)[..., 2]):
            assert np.array_equal(pose.reachable, np.isfinite(rate))
