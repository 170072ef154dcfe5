"""What holds for any front end: nothing hangs on where the origin lies, on which side is which, or on its size.

And derivatives: how steer and camber answer a small move of each point, from the differentiated constraints,
against differences of the closed form.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, CornerPoints, KeepClear, Move, Side
from solver.corner import Corner, Pose, over_centre_angle, over_centre_rack, pose_corner
from solver.front_end import FrontEnd, assemble
from solver.limits import TurnLimits, limits_of
from solver.measures import (
    camber_angle,
    caster_angle,
    contact_centre,
    inclination_angle,
    kerb_to_kerb,
    scrub_radius_and_trail,
    steer_angle,
)
from solver.vectors import Array, length, rotate
from tests.solver.cars import CARS, GOAL, mirrored, perturbed

SIDES: tuple[Side, Side] = ("left", "right")
LENGTH = 1e-8
"""mm. Arm angles are found to 1e-12 rad or better, 1e-9 mm at the wheel; an origin 2 m away costs another digit."""
ANGLE = 1e-10
"""rad; LENGTH at a lever of 100 mm."""
LIMIT = 1e-5
"""mm of rack. A limit lies where a straight line between two places meets the threshold. The gaps are minima over
samples along a bar, so rounding may pick another sample and with it another 1e-6 mm."""

CHANGED = Changes(
    rack_spacer=5.0,
    arm_extension=25.0,
    pickup_move=Move(forward=3.0, outward=-4.0, up=2.0),
    ball_joint_drop=12.0,
    strut_top_shift=Move(outward=-6.0),
    ride_height_drop=10.0,
)
RACKS = np.linspace(-60.0, 60.0, 7)
TRAVELS = np.array([-60.0, -20.0, 0.0, 50.0])


def with_points(car: Car, moved: Any) -> Car:
    """The car with each of its points replaced by ``moved`` of it."""

    def corner(points: CornerPoints) -> CornerPoints:
        new = {name: moved(value) for name, value in vars(points).items() if isinstance(value, tuple)}
        return replace(points, **new)

    def item(bar: KeepClear) -> KeepClear:
        return replace(bar, start=moved(bar.start), end=moved(bar.end))

    return replace(
        car, left=corner(car.left), right=corner(car.right), keep_clear=tuple(map(item, car.keep_clear))
    )


def measures_of(front_end: FrontEnd, side: Side) -> dict[str, tuple[Array, float]]:
    """Angles and lengths of one side over the sweep that don't name a place, each with its tolerance."""
    assembly = front_end.left if side == "left" else front_end.right
    pose = front_end.poses(assembly, RACKS, TRAVELS)
    scrub, trail = scrub_radius_and_trail(pose, front_end.tyre.loaded_radius or 0.0)
    return {
        "steer": (steer_angle(pose), ANGLE),
        "camber": (camber_angle(pose), ANGLE),
        "caster": (caster_angle(pose), ANGLE),
        "inclination": (inclination_angle(pose), ANGLE),
        "scrub": (scrub, LENGTH),
        "trail": (trail, LENGTH),
        # The margin falls as a root of the rack travel left, so close to over-centre it magnifies rounding.
        "over-centre": (over_centre_angle(pose), 1e-7),
        "damper": (pose.damper_length, LENGTH),
        "rod": (np.array(assembly.corner.tie_rod), LENGTH),
        "ride": (np.array(assembly.ride_angle), ANGLE),
    }


@settings(max_examples=40)
@given(car=perturbed(), by=st.floats(-2000.0, 2000.0), changes=st.sampled_from((Changes(), CHANGED)))
def test_shift_along_the_car(car: Car, by: float, changes: Changes) -> None:
    """A car measured from an origin further ahead or behind has the same poses, as much further along."""
    other = with_points(car, lambda p: (p[0] + by, p[1], p[2]))
    here, there = assemble(car, changes), assemble(other, changes)
    for side in SIDES:
        for name, (value, tolerance) in measures_of(here, side).items():
            found = measures_of(there, side)[name][0]
            assert value == pytest.approx(found, abs=tolerance, nan_ok=True), name
        one, two = (
            end.poses(end.left if side == "left" else end.right, RACKS, TRAVELS) for end in (here, there)
        )
        assert np.array_equal(one.reach, two.reach)
        for name in ("ball_joint", "pickup", "wheel_centre", "inner_joint"):
            expected = getattr(one, name) + np.array([by, 0.0, 0.0])
            assert expected == pytest.approx(getattr(two, name), abs=LENGTH, nan_ok=True), name


def assert_same_limits(one: TurnLimits, other: TurnLimits, wheels: dict[Side | None, Side | None]) -> None:
    """The same limits in the same order at the same places, on the wheel that stands for the other's."""
    assert [(x.name, wheels[x.wheel]) for x in one.limits] == [(x.name, x.wheel) for x in other.limits]
    for here, there in zip(one.limits, other.limits, strict=True):
        assert here.rack == pytest.approx(there.rack, abs=LIMIT)
        # Up to a thousandth of a radian per 0.01 mm close to over-centre.
        assert here.lock == pytest.approx(there.lock, abs=1e-6)
        assert here.travel == there.travel
    assert one.safe_rack == pytest.approx(other.safe_rack, abs=LIMIT)


@settings(max_examples=8)
@given(car=perturbed(), by=st.floats(-2000.0, 2000.0))
def test_limits_and_the_origin(car: Car, by: float) -> None:
    """What stops the wheel, and where, does not depend on where along the car the origin is."""
    other = with_points(car, lambda p: (p[0] + by, p[1], p[2]))
    here, there = (limits_of(assemble(c, CHANGED), GOAL, 80.0) for c in (car, other))
    for turn in SIDES:
        assert_same_limits(here[turn], there[turn], {"left": "left", "right": "right", None: None})


@settings(max_examples=8)
@given(car=perturbed())
def test_limits_in_the_mirror(car: Car) -> None:
    """What stops a car in the left turn stops its mirror image in the right one, on the other wheel."""
    here, there = (limits_of(assemble(c, CHANGED), GOAL, 80.0) for c in (car, mirrored(car)))
    swapped: dict[Side | None, Side | None] = {"left": "right", "right": "left", None: None}
    for turn, opposite in (("left", "right"), ("right", "left")):
        assert_same_limits(here[turn], there[opposite], swapped)


@settings(max_examples=30)
@given(car=perturbed())
def test_measures_in_the_mirror(car: Car) -> None:
    """Caster, inclination, scrub radius, trail and margins are those of the other side in the mirror."""
    here, there = assemble(car, CHANGED), assemble(mirrored(car), CHANGED)
    for side, opposite in (("left", "right"), ("right", "left")):
        one, other = measures_of(here, side), measures_of(there, opposite)
        for name, (value, tolerance) in one.items():
            # The mirror moves its rack the other way and steers the other way.
            found = other[name][0]
            seen = found[::-1] if found.ndim else found
            sign = -1 if name == "steer" else 1
            assert sign * value == pytest.approx(seen, abs=tolerance, nan_ok=True), name
    for side, opposite in ((here.left, there.right), (here.right, there.left)):
        ends = over_centre_rack(side.corner, side.ride_angle)
        seen = over_centre_rack(opposite.corner, opposite.ride_angle)
        # The quartic's roots keep 1e-6 mm.
        assert (-seen[1], -seen[0]) == pytest.approx(ends, abs=1e-5)


@pytest.mark.parametrize("name", CARS)
def test_turning_circle_and_the_origin(name: str) -> None:
    """The one measure that needs the front axle's line at x = 0: moving all points is moving the rear axle."""
    car, by = CARS[name], 150.0
    moved = with_points(car, lambda p: (p[0] + by, p[1], p[2]))
    circles = []
    for one, wheelbase in ((car, car.wheelbase), (moved, car.wheelbase - by)):
        front_end = assemble(one, Changes())
        sign = front_end.left_sign
        outer = front_end.at_ride_height(np.array([50.0 * sign]))[1]
        ahead = float(contact_centre(outer, front_end.tyre.loaded_radius or 0.0)[0, 0])
        circles.append(kerb_to_kerb(float(steer_angle(outer)[0]), ahead, wheelbase, 205.0))
    # A diameter of 10 m from angles known to ANGLE.
    assert circles[0] == pytest.approx(circles[1], abs=1e-5)


@settings(max_examples=40)
@given(car=perturbed(), scale=st.floats(0.7, 1.3), angle=st.floats(-0.15, 0.12), side=st.sampled_from(SIDES))
def test_scale(car: Car, scale: float, angle: float, side: Side) -> None:
    """A corner that is larger all round has the same angles at as much larger rack displacements."""
    front_end = assemble(car, CHANGED)
    corner = (front_end.left if side == "left" else front_end.right).corner
    lengths = (
        "pivot",
        "arm_ball",
        "strut_top",
        "inner_joint",
        "knuckle_ball",
        "damper_point",
        "pickup",
        "wheel_centre",
        "tie_rod",
    )
    larger = replace(corner, **{name: scale * getattr(corner, name) for name in lengths})
    one, other = pose_corner(corner, angle, RACKS), pose_corner(larger, angle, scale * RACKS)
    assert np.array_equal(one.reach, other.reach)
    assert one.rotation == pytest.approx(other.rotation, abs=ANGLE, nan_ok=True)
    assert scale * one.pickup == pytest.approx(other.pickup, abs=LENGTH, nan_ok=True)
    ends = np.array(over_centre_rack(corner, angle))
    # The quartic is set up over 400 mm of rack whatever the car's size, and its roots keep 1e-6 mm.
    assert scale * ends == pytest.approx(over_centre_rack(larger, angle), abs=1e-5)


@settings(max_examples=40)
@given(car=perturbed(), side=st.sampled_from(SIDES), extension=st.floats(0, 50), drop=st.floats(0, 25))
def test_changed_car_is_rigid(car: Car, side: Side, extension: float, drop: float) -> None:
    """After changes, too, the knuckle keeps its shape, rod and arm keep their lengths, the damper its line."""
    front_end = assemble(car, replace(CHANGED, arm_extension=extension, ball_joint_drop=drop))
    corner = (front_end.left if side == "left" else front_end.right).corner
    pose = pose_corner(corner, np.linspace(-0.15, 0.12, 4), RACKS[:, None])
    kept = pose.reachable
    low = corner.damper_point
    points = [corner.knuckle_ball, corner.pickup, corner.wheel_centre, low]
    moved = [pose.point(point)[kept] for point in points]
    for i in range(len(points)):
        for j in range(i):
            expected = float(length(points[i] - points[j]))
            assert expected == pytest.approx(length(moved[i] - moved[j]), abs=1e-9)
    assert corner.tie_rod == pytest.approx(length(pose.pickup - pose.inner_joint)[kept], abs=1e-9)
    for end in (corner.pivot, corner.pivot + 100 * corner.pivot_axis):
        expected = float(length(corner.arm_ball - end))
        assert expected == pytest.approx(length(pose.ball_joint - end)[kept], abs=1e-9)
    along = pose.point(low + corner.damper_direction)[kept] - moved[3]
    assert np.abs(np.cross(corner.strut_top - moved[3], along)).max() < 1e-9


FIELDS = ("inner_joint", "strut_top", "arm_ball", "knuckle_ball", "pickup", "damper_point")


def slopes(corner: Corner, pose: Pose, field: str, direction: Array) -> tuple[float, float]:
    """Slopes of steer and camber, rad/mm, when a point of the corner moves, from the differentiated constraints.

    ``direction`` is the move per mm in the measured pose, as is the field itself. Six linear equations for the
    velocity of the knuckle's ball joint and its angular velocity: the ball joint stays on the arm, the strut top
    stays on the damper's line, the rod keeps its length. No use is made of the steering axis.
    """
    still = np.zeros(3)
    moves = {name: direction if name == field else still for name in FIELDS}
    turn = pose.rotation
    ball, pickup = pose.ball_joint, pose.pickup
    low = pose.point(corner.damper_point)
    along = turn @ corner.damper_direction
    aside = np.cross(along, [1.0, 0.0, 0.0])
    square = np.array([aside, np.cross(along, aside)]) / np.linalg.norm(aside)
    rod = pickup - pose.inner_joint
    # A point of the knuckle at r from the ball joint moves by v + ω × r, and by what is moved in the knuckle.
    matrix, right = np.zeros((6, 6)), np.zeros(6)
    matrix[:3, :3] = np.eye(3)
    swing = np.cross(corner.pivot_axis, moves["arm_ball"])
    axis = corner.pivot_axis
    angle = arm_angle(corner, ball)
    right[:3] = (
        moves["arm_ball"] * math.cos(angle)
        + swing * math.sin(angle)
        + axis * (axis @ moves["arm_ball"]) * (1 - math.cos(angle))
    )
    # A ball joint moved in the knuckle moves all the rest of the knuckle the other way.
    carried = {name: turn @ (moves[name] - moves["knuckle_ball"]) for name in ("pickup", "damper_point")}
    for i, e in enumerate(square):
        # e · (top − low) = 0, and e turns with the knuckle.
        matrix[3 + i, :3] = -e
        matrix[3 + i, 3:] = np.cross(e, corner.strut_top - low) - np.cross(low - ball, e)
        right[3 + i] = e @ (carried["damper_point"] - moves["strut_top"])
    matrix[5, :3] = rod
    matrix[5, 3:] = np.cross(pickup - ball, rod)
    right[5] = rod @ (moves["inner_joint"] - carried["pickup"])
    spin = pose.spin_axis
    moved = np.cross(np.linalg.solve(matrix, right)[3:], spin)
    steer = (spin[0] * moved[1] - spin[1] * moved[0]) / (spin[0] ** 2 + spin[1] ** 2)
    return float(steer), float(-corner.side * moved[2] / math.sqrt(1 - spin[2] ** 2))


def arm_angle(corner: Corner, ball: Array) -> float:
    """The arm angle at which the ball joint is there, by its two coordinates square to the pivots' axis."""
    rest, now = corner.arm_ball - corner.pivot, ball - corner.pivot
    aside = np.cross(corner.pivot_axis, rest)
    ahead = rest - corner.pivot_axis * (corner.pivot_axis @ rest)
    return math.atan2(float(now @ aside), float(now @ ahead))


@settings(max_examples=120)
@given(
    car=perturbed(),
    side=st.sampled_from(SIDES),
    rack=st.floats(-60.0, 60.0),
    angle=st.floats(-0.15, 0.12),
    field=st.sampled_from(FIELDS),
    axis=st.sampled_from((0, 1, 2)),
)
def test_small_moves(car: Car, side: Side, rack: float, angle: float, field: str, axis: int) -> None:
    """Steer and camber answer a small move of any point as the differentiated constraints say."""
    front_end = assemble(car, Changes(ball_joint_drop=10.0, arm_extension=20.0))
    corner = (front_end.left if side == "left" else front_end.right).corner
    pose = pose_corner(corner, angle, rack)
    # Closer to over-centre the slopes grow without bound and the differences lose their meaning.
    assume(bool(pose.reachable) and float(over_centre_angle(pose)) > math.radians(15))
    direction = np.eye(3)[axis]
    step = 1e-3
    found = []
    for sign in (1, -1):
        other = replace(corner, **{field: getattr(corner, field) + sign * step * direction})
        moved = pose_corner(other, angle, rack)
        found.append((float(steer_angle(moved)), float(camber_angle(moved))))
    expected = slopes(corner, pose, field, direction)
    difference = (np.array(found[0]) - np.array(found[1])) / (2 * step)
    # Slopes are some 0.01 rad/mm. Rounding of 1e-15 rad over the step leaves 1e-12; curvature, at 15° from
    # over-centre, up to 1e-9.
    assert expected == pytest.approx(difference, abs=1e-8)


@settings(max_examples=60)
@given(
    car=perturbed(), side=st.sampled_from(SIDES), rack=st.floats(-60.0, 60.0), angle=st.floats(-0.15, 0.12)
)
def test_small_rack_and_arm(car: Car, side: Side, rack: float, angle: float) -> None:
    """The rack moves the inner joint and the arm's angle its ball joint, and steer and camber follow."""
    front_end = assemble(car, Changes())
    corner = (front_end.left if side == "left" else front_end.right).corner
    pose = pose_corner(corner, angle, rack)
    assume(bool(pose.reachable) and float(over_centre_angle(pose)) > math.radians(15))
    lift = np.cross(corner.pivot_axis, corner.arm_ball - corner.pivot)
    for field, direction, racks, angles in (
        ("inner_joint", corner.rack_direction, 1e-3 * np.array([1.0, -1.0]), np.zeros(2)),
        ("arm_ball", lift, np.zeros(2), 1e-6 * np.array([1.0, -1.0])),
    ):
        moved = pose_corner(corner, angle + angles, rack + racks)
        step = float(np.ptp(racks) + np.ptp(angles))
        for expected, values in zip(
            slopes(corner, pose, field, direction), (steer_angle(moved), camber_angle(moved)), strict=True
        ):
            # Per mm of rack as above; per radian of arm angle slopes are some 300 times larger.
            assert expected == pytest.approx(float(values[0] - values[1]) / step, rel=1e-6, abs=1e-8)


def test_arm_angle_is_read_back() -> None:
    """The helper of this file that reads the arm angle back agrees with a turn by Rodrigues' formula."""
    corner = assemble(CARS["front rack"], Changes()).right.corner
    ball = corner.pivot + rotate(corner.arm_ball - corner.pivot, corner.pivot_axis, np.array(0.11))
    assert 0.11 == pytest.approx(arm_angle(corner, ball), abs=1e-14)
