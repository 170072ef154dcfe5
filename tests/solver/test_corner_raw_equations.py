"""The closed-form pose against root-finding of the raw constraints, over steering and suspension travel."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Move, Side
from solver.corner import Pose, over_centre_angle, over_centre_rack, pose_corner
from solver.front_end import Assembly, FrontEnd, assemble
from tests.solver.cars import CARS, perturbed
from tests.solver.raw_equations import Numbers, RawCorner

POINT = 1e-8
"""mm, as wanted: both ways keep 13 digits of some 700 mm, and an ill-conditioned pose costs a few of them."""
ANGLE = 1e-9
"""rad, as wanted."""

CHANGES = {
    "as measured": Changes(),
    "modified": Changes(
        rack_spacer=6.0,
        arm_extension=30.0,
        pickup_move=Move(forward=4.0, outward=-3.0, up=2.0),
        rack_shift=Move(forward=3.0, up=-2.0),
        ball_joint_drop=15.0,
        strut_top_shift=Move(forward=-6.0, outward=-8.0),
        ride_height_drop=20.0,
    ),
}


def assert_same(raw: RawCorner, unknown: Numbers, pose: Pose, index: tuple[int, ...]) -> None:
    """The pose at an index of an array of poses is the raw one."""
    corner = raw.corner
    assert pose.reachable[index]
    for point, found in [
        (corner.knuckle_ball, pose.ball_joint),
        (corner.pickup, pose.pickup),
        (corner.wheel_centre, pose.wheel_centre),
    ]:
        assert raw.knuckle(unknown, point) == pytest.approx(found[index], abs=POINT)
    between = raw.direction(unknown, np.eye(3)).T @ pose.rotation[index].T
    # The angle of a rotation is, near none, half the length of its antisymmetric part.
    apart = np.linalg.norm(between - between.T) / math.sqrt(8)
    assert apart < ANGLE
    assert raw.direction(unknown, corner.spin_axis) == pytest.approx(pose.spin_axis[index], abs=ANGLE)


def swept(front_end: FrontEnd, assembly: Assembly, racks: Numbers, travels: Numbers) -> None:
    """Walk from the measured pose out to each place of the grid, each time from the pose next to it."""
    raw = RawCorner(assembly.corner)
    radius = front_end.tyre.loaded_radius
    assert radius is not None
    pose = front_end.poses(assembly, racks, travels)
    centred = int(np.flatnonzero(racks == 0)[0])
    rows = [range(centred, len(racks)), range(centred, -1, -1)]
    ride = np.append(np.zeros(6), assembly.ride_angle)
    ride = raw.solve_standing(front_end.ground, radius, ride)
    for column, travel in enumerate(travels):
        standing = ride
        # Half the travel first: root-finding wants to be near.
        for share in (0.5, 1.0):
            standing = raw.solve_standing(front_end.ground + share * float(travel), radius, standing)
        for row in rows:
            unknown = standing[:6]
            for place in row:
                unknown = raw.solve(float(standing[6]), float(racks[place]), unknown)
                assert_same(raw, unknown, pose, (place, column))


@pytest.mark.parametrize("changes", CHANGES)
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("name", CARS)
def test_sweep(name: str, side: Side, changes: str) -> None:
    """Every pose from stop to stop and droop to bump is a root of the raw constraints, arm angle too."""
    car = CARS[name]
    front_end = assemble(car, CHANGES[changes])
    assembly = front_end.left if side == "left" else front_end.right
    stop = front_end.rack_stop
    swept(front_end, assembly, np.linspace(-stop, stop, 15), front_end.travels(5))


@settings(max_examples=60)
@given(
    car=perturbed(),
    side=st.sampled_from(("left", "right")),
    rack=st.floats(-60.0, 60.0),
    travel=st.floats(-55.0, 50.0),
)
def test_perturbed_cars(car: Car, side: Side, rack: float, travel: float) -> None:
    """The same for cars with every point moved, at any rack displacement and travel."""
    front_end = assemble(car, Changes())
    assembly = front_end.left if side == "left" else front_end.right
    swept(front_end, assembly, rack * np.linspace(0, 1, 7), np.array([travel]))


@pytest.mark.parametrize("name", CARS)
def test_standing_height(name: str) -> None:
    """The lowest point of both tyres, found in the raw pose, is on the ground at ride height."""
    front_end = assemble(CARS[name], CHANGES["modified"])
    for assembly in front_end.sides:
        raw = RawCorner(assembly.corner)
        unknown = raw.solve(assembly.ride_angle, 0.0, np.zeros(6))
        height = raw.lowest(unknown, front_end.tyre.loaded_radius or 0.0)
        # The ride angle is found to 1e-11 rad, which is 4e-9 mm at the end of the arm.
        assert front_end.ground == pytest.approx(height, abs=POINT)


@settings(max_examples=30)
@given(car=perturbed(), side=st.sampled_from(("left", "right")), turn=st.sampled_from((1, -1)))
def test_up_to_over_centre(car: Car, side: Side, turn: int) -> None:
    """The raw constraints, too, have a pose just short of over-centre and none just after."""
    front_end = assemble(car, Changes())
    assembly = front_end.left if side == "left" else front_end.right
    corner = assembly.corner
    below, above = over_centre_rack(corner, assembly.ride_angle)
    end = above if turn > 0 else below
    raw = RawCorner(corner)
    unknown = np.zeros(6)
    for share in np.linspace(0.0, 0.99, 23):
        unknown = raw.solve(assembly.ride_angle, share * end, unknown)
    pose = pose_corner(corner, assembly.ride_angle, 0.99 * end)
    # 1 % of some 100 mm short of the end, all is still well-conditioned.
    assert raw.knuckle(unknown, corner.pickup) == pytest.approx(pose.pickup, abs=1e-7)
    assert 0 < float(over_centre_angle(pose)) < math.radians(20)
    with pytest.raises(ArithmeticError, match="no pose"):
        raw.solve(assembly.ride_angle, end + turn * 1.0, unknown)
