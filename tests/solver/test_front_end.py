"""A measured car assembled: it stands as it was measured, mirrors, and travels as it is told to."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, CornerPoints, Move
from solver.corner import Pose
from solver.errors import GeometryError, TyreSizeError
from solver.front_end import FrontEnd, assemble
from solver.measures import camber_angle, contact_centre, steer_angle
from solver.vectors import Array
from tests.solver.cars import CARS, FRONT, INCH, REAR, mirrored, perturbed

FLIP = np.array([1.0, -1.0, 1.0])
LENGTH, ANGLE = 1e-7, 1e-9
"""mm and rad. The ride angle is found to 1e-11 rad; some 700 mm of lever and the tie rod magnify that."""


def radius_of(front_end: FrontEnd) -> float:
    """Loaded radius, mm."""
    assert front_end.tyre.loaded_radius is not None
    return front_end.tyre.loaded_radius


def same_camber(car: Car, camber: float) -> Car:
    """The car with one camber on both sides, so that both wheel centres' heights mean the same radius."""
    return replace(car, left=replace(car.left, camber=camber), right=replace(car.right, camber=camber))


@settings(max_examples=60)
@given(car=perturbed(), camber=st.floats(-0.03, 0.03))
def test_stands_as_measured(car: Car, camber: float) -> None:
    """Without changes every point, camber and toe are as measured and the arm has not moved.

    That is so when both wheel centres stand as high as the tyre holds them.
    """
    car = same_camber(car, camber)
    front_end = assemble(car, Changes())
    for assembly, pose, points in zip(
        front_end.sides, front_end.at_ride_height(np.zeros(1)), (car.left, car.right), strict=True
    ):
        assert 0.0 == pytest.approx(assembly.ride_angle, abs=ANGLE)
        assert np.eye(3) == pytest.approx(pose.rotation[0], abs=ANGLE)
        assert points.wheel_centre == pytest.approx(pose.wheel_centre[0], abs=LENGTH)
        assert points.pickup == pytest.approx(pose.pickup[0], abs=LENGTH)
        assert points.ball_joint == pytest.approx(pose.ball_joint[0], abs=LENGTH)
        assert points.inner_joint == pytest.approx(pose.inner_joint[0], abs=1e-12)
        assert camber == pytest.approx(float(camber_angle(pose)[0]), abs=ANGLE)
        inwards = -1 if assembly.side == "left" else 1
        assert inwards * points.toe == pytest.approx(float(steer_angle(pose)[0]), abs=ANGLE)
        assert points.toe == assembly.toe
        assert math.dist(points.pickup, points.inner_joint) == pytest.approx(
            assembly.corner.tie_rod, abs=LENGTH
        )


@pytest.mark.parametrize("name", CARS)
def test_uneven_heights(name: str) -> None:
    """Wheel centres measured 2 mm apart make both sides stand on one radius, their mean; toe stays."""
    car = CARS[name]
    x, y, z = car.right.wheel_centre
    uneven = replace(car, right=replace(car.right, wheel_centre=(x, y, z + 2.0)))
    front_end = assemble(uneven, Changes())
    left, right = (points.wheel_centre[2] / math.cos(points.camber) for points in (uneven.left, uneven.right))
    assert (left + right) / 2 == pytest.approx(radius_of(front_end), abs=1e-9)
    for pose in front_end.at_ride_height(np.zeros(1)):
        assert 0.0 == pytest.approx(contact_centre(pose, radius_of(front_end))[0, 2], abs=LENGTH)
    assert front_end.left.ride_angle > 0 > front_end.right.ride_angle


@settings(max_examples=60)
@given(
    car=perturbed(),
    extension=st.floats(0, 50),
    forward=st.floats(-10, 10),
    outward=st.floats(-10, 10),
    rack=st.floats(-60, 60),
    travel=st.floats(-50, 50),
)
def test_mirror(
    car: Car, extension: float, forward: float, outward: float, rack: float, travel: float
) -> None:
    """A car in the mirror has its poses in the mirror: left for right, and the rack moved the other way."""
    changes = Changes(
        rack_spacer=5.0,
        arm_extension=extension,
        pickup_move=Move(forward=forward, outward=outward),
        strut_top_shift=Move(outward=outward),
    )
    one, other = assemble(car, changes), assemble(mirrored(car), changes)
    assert one.left_sign == other.left_sign
    for here, there in ((one.left, other.right), (one.right, other.left)):
        assert here.corner.tie_rod == pytest.approx(there.corner.tie_rod, abs=LENGTH)
        pose, seen = (
            end.poses(side, np.array([turn * rack]), np.array([travel]))
            for end, side, turn in ((one, here, 1), (other, there, -1))
        )
        assert np.array_equal(pose.reach, seen.reach)
        for name in ("ball_joint", "pickup", "wheel_centre"):
            assert getattr(pose, name) * FLIP == pytest.approx(getattr(seen, name), abs=1e-6, nan_ok=True), (
                name
            )
        # 1 µm at a steering arm of some 100 mm.
        assert steer_angle(pose) == pytest.approx(-steer_angle(seen), abs=1e-8, nan_ok=True)
        assert camber_angle(pose) == pytest.approx(camber_angle(seen), abs=1e-8, nan_ok=True)


def test_left_turn_is_right_turn() -> None:
    """A car whose sides are alike turns left as it turns right."""
    front_end = assemble(REAR, Changes(arm_extension=20.0, rack_spacer=5.0))
    rack = np.linspace(0, 60, 13)
    left, right = front_end.at_ride_height(rack)
    mirror_left, mirror_right = front_end.at_ride_height(-rack)
    assert steer_angle(left) == pytest.approx(-steer_angle(mirror_right), abs=ANGLE)
    assert steer_angle(right) == pytest.approx(-steer_angle(mirror_left), abs=ANGLE)


@pytest.mark.parametrize(("name", "sign"), [("rear rack", -1), ("front rack", 1)])
def test_which_way_the_rack_turns(name: str, sign: int) -> None:
    """A rack behind moves to the right to turn the wheels left, one in front to the left."""
    front_end = assemble(CARS[name], Changes())
    assert sign == front_end.left_sign
    for pose in front_end.at_ride_height(np.array([30.0 * sign])):
        assert math.degrees(steer_angle(pose)[0]) > 10


@settings(max_examples=60)
@given(
    car=perturbed(),
    travel=st.lists(st.floats(-65, 55), min_size=1, max_size=5).map(np.array),
    drop=st.floats(-20, 30),
)
def test_travel(car: Car, travel: Array, drop: float) -> None:
    """A wheel travel asked for is had: the contact centre's height over the ground, rack centred."""
    front_end = assemble(car, Changes(ride_height_drop=drop))
    for assembly in front_end.sides:
        pose = front_end.poses(assembly, np.zeros(1), travel)
        height = contact_centre(pose, radius_of(front_end))[0, :, 2]
        assert travel == pytest.approx(height - front_end.ground, abs=LENGTH)
        angles = front_end.arm_angles(assembly, travel)
        # Whoever goes up further has the larger arm angle.
        assert np.all(np.diff(angles[np.argsort(travel)]) > -ANGLE)
        assert assembly.ride_angle == pytest.approx(
            float(front_end.arm_angles(assembly, np.zeros(1))[0]), abs=ANGLE
        )


@pytest.mark.parametrize("count", [2, 3, 5, 9])
def test_travels(count: int) -> None:
    """From full droop to full bump, rising, with ride height among them when the count is odd."""
    found = assemble(REAR, Changes()).travels(count)
    assert -REAR.droop_travel == found[0]
    assert REAR.bump_travel == found[-1]
    assert np.all(np.diff(found) > 0)
    assert 0.0 in found
    assert count // 2 * 2 + 1 == len(found)


def test_travel_out_of_reach() -> None:
    """A travel that the arm can't follow is refused, with side and travel named, and not handed on as NaN."""
    front_end = assemble(replace(REAR, bump_travel=600.0), Changes())
    with pytest.raises(GeometryError, match=r"left corner: .*600 mm bump"):
        front_end.poses(front_end.left, np.zeros(1), front_end.travels(3))


def moved(points: CornerPoints, **changes: Any) -> CornerPoints:
    """The points of a corner with some replaced."""
    return replace(points, **changes)


WHEEL_HIGH = (0.0, 748.0, 372.0)

REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "pivots together": (
        {"arm_front_pivot": (-40.0, 330.0, 190.0)},
        r"arm front pivot and arm rear pivot are 15\.0 mm apart, at least 20 mm",
    ),
    "ball joint on the pivots' line": (
        {"ball_joint": (200.0, 340.0, 190.0)},
        r"ball joint lies within \d+ mm of the arm's pivot axis",
    ),
    "damper point at the strut top": (
        {"damper_point": (-42.0, 548.0, 700.0)},
        r"strut top and damper point are 12\.0 mm apart",
    ),
    "strut top at the ball joint": ({"strut_top": (6.0, 690.0, 320.0)}, "strut top and ball joint are"),
    "pickup at the ball joint": ({"pickup": (0.0, 655.0, 182.0)}, "pickup and ball joint are"),
    "pickup at the inner joint": (
        {"pickup": (-98.0, 350.0, 182.0)},
        "pickup and inner tie-rod joint are",
    ),
    "arm and rod in line": ({"pickup": (-31.5, 540.0, 181.0)}, "steering arm and tie rod lie in one line"),
}


@pytest.mark.parametrize("fault", REFUSED)
def test_refused(fault: str) -> None:
    """Points that can't be a front end are refused: which side, what is wrong, what to measure again."""
    change, message = REFUSED[fault]
    car = replace(REAR, left=moved(REAR.left, **change))
    with pytest.raises(GeometryError, match=r"left corner: .*" + message) as caught:
        assemble(car, Changes())
    assert any(word in str(caught.value) for word in ("measure", "check"))


def test_wheel_centre_does_not_fit_the_tyre() -> None:
    """A wheel centre 70 mm higher than the tyre's radius is refused, with both values."""
    car = replace(
        REAR,
        left=moved(REAR.left, wheel_centre=WHEEL_HIGH),
        right=moved(REAR.right, wheel_centre=(0.0, -748.0, 372.0)),
    )
    with pytest.raises(GeometryError, match=r"372\.0 mm over the ground.*205/55R16.*315\.9 mm"):
        assemble(car, Changes())


def test_rod_that_does_not_fit() -> None:
    """A tie rod too short to reach the pickup with the rack centred is refused with its length."""
    with pytest.raises(GeometryError, match=r"tie rod of 150\.0 mm can't be fitted"):
        assemble(REAR, Changes(tie_rod_length=150.0))


def test_dropped_too_far() -> None:
    """A car dropped so far that no arm angle reaches the ground is refused."""
    with pytest.raises(GeometryError, match="no arm angle brings the tyre to the ground"):
        assemble(REAR, Changes(ride_height_drop=290.0))


def test_tyre_that_does_not_fit_the_rim() -> None:
    """A tyre of which no such rim exists is refused with both widths."""
    wheel = replace(REAR.wheel, rim_width=10.0 * INCH)
    with pytest.raises(TyreSizeError, match=r"10\.0 in rim .* 6\.5 in measuring rim of 205/55R16"):
        assemble(REAR, Changes(wheel=wheel))


def test_sides_do_not_mix() -> None:
    """Moving a point of the right side leaves the left side's poses as they were, bit for bit."""
    changed = replace(FRONT, right=replace(FRONT.right, pickup=(106.0, -684.0, 179.0)))

    def left(car: Car) -> Pose:
        return assemble(car, Changes()).at_ride_height(np.linspace(-50, 50, 5))[0]

    assert np.array_equal(left(FRONT).rotation, left(changed).rotation)
