"""Doubts about the car as a whole, and about the points and angles of its corners."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from solver.car import CornerPoints
from solver.corner import Pose
from solver.doubts.doubt import Doubt, Measure, both, length_text, out_of_range
from solver.front_end import Assembly, FrontEnd, link_points, points_of
from solver.measures import camber_angle, caster_angle, inclination_angle, scrub_radius_and_trail, steer_angle
from solver.stock import StockUnits
from solver.vectors import unit

ASYMMETRY = 8.0
"""Between a point and the other side's mirror, one coordinate, mm. An unbent car is within 3 or so."""
WEIGHT_DIFFERENCE = 0.15
"""Between left and right, as a share of the heavier: the driver makes 10 % or less of it."""
BUMP_TRAVEL = 25.0
"""Wheel travel up and down over which bump steer is looked at, mm."""
POINTS = tuple(name for name, kind in CornerPoints.__annotations__.items() if kind == "Vector")
_USUAL_PLACES: tuple[tuple[str, str, float, float], ...] = (
    ("arm_front_pivot", "y", 230, 430),
    ("arm_front_pivot", "z", 100, 290),
    ("arm_rear_pivot", "y", 230, 430),
    ("arm_rear_pivot", "z", 100, 290),
    ("ball_joint", "x", -40, 40),
    ("ball_joint", "z", 100, 250),
    ("strut_top", "x", -120, 40),
    ("strut_top", "y", 430, 660),
    ("strut_top", "z", 560, 850),
    ("damper_point", "x", -80, 60),
    ("damper_point", "z", 230, 550),
    ("inner_joint", "y", 220, 430),
    ("inner_joint", "z", 90, 320),
    ("pickup", "z", 90, 320),
    ("wheel_centre", "x", -25, 25),
    ("wheel_centre", "y", 600, 840),
)
"""Point, coordinate, and the range that it usually lies in on the left side, mm."""


def whole_car(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Track against wheelbase, travel, and the weights of both sides."""
    car = front_end.car
    ratio = front_end.track / car.wheelbase
    if not 0.5 <= ratio <= 0.7:
        track, wheelbase = length_text(front_end.track, units), length_text(car.wheelbase, units)
        found = f"a track of {track} on a wheelbase of {wheelbase}"
        suspects = ("car.wheelbase", "car.left.wheel_centre", "car.right.wheel_centre")
        yield Doubt(suspects, found, "a track of 0.5 to 0.7 wheelbases")
    for name in ("bump_travel", "droop_travel"):
        words = name.replace("_", " ")
        measure = Measure(words, getattr(car, name), 20.0, 150.0, (name,))
        yield from out_of_range(measure, "car.", "", units)
    left, right = car.corner_masses
    if abs(left - right) > WEIGHT_DIFFERENCE * max(left, right):
        found = f"{left:.0f} kg left, {right:.0f} kg right"
        expected = f"left and right within {100 * WEIGHT_DIFFERENCE:.0f} % of each other"
        yield Doubt(("car.corner_masses",), found, expected)


def corner_measures(front_end: FrontEnd, assembly: Assembly, pose: Pose) -> Iterator[Measure]:
    """Every measure of one corner as it stands at ride height, with its usual range."""
    corner, points = assembly.corner, points_of(front_end.car, assembly.side)
    sign, rad = corner.side, math.radians
    ball, centre, top = (np.array(p) for p in (points.ball_joint, points.wheel_centre, points.strut_top))
    front, rear = np.array(points.arm_front_pivot), np.array(points.arm_rear_pivot)
    pivots = ("arm_front_pivot", "arm_rear_pivot")

    for name, axis, low, high in _USUAL_PLACES:
        value = getattr(points, name)["xyz".index(axis)]
        if axis == "y":
            value, words = sign * value, f"distance of {name} from the centre plane"
        else:
            words = f"{axis} of {name}"
        yield Measure(words, value, low, high, (name,), coordinate=axis)
    inboard = float((centre - ball) @ corner.spin_axis) * sign
    suspects: tuple[str, ...] = ("ball_joint", "wheel_centre")
    yield Measure("ball joint inside of the wheel's centre plane", inboard, 20, 110, suspects)
    yield Measure("ball joint below the wheel centre", centre[2] - ball[2], 50, 200, suspects)

    suspects = ("strut_top", "ball_joint")
    yield Measure("caster", float(caster_angle(pose)[0]), 0, rad(12), suspects, angle=True)
    inclination = float(inclination_angle(pose)[0])
    yield Measure("steering-axis inclination", inclination, rad(6), rad(20), suspects, angle=True)
    suspects = ("strut_top", "ball_joint", "wheel_centre")
    scrub, trail = scrub_radius_and_trail(pose, front_end.loaded_radius)
    yield Measure("scrub radius", float(scrub[0]), -40, 80, suspects)
    yield Measure("mechanical trail", float(trail[0]), 0, 60, suspects)
    yield Measure("toe", assembly.toe, rad(-0.75), rad(0.75), ("toe",), angle=True)
    yield Measure("camber", float(camber_angle(pose)[0]), rad(-4), rad(1.5), ("camber",), angle=True)

    suspects = ("damper_point", "strut_top", "ball_joint")
    offset = ball - corner.damper_point
    past = float(np.linalg.norm(offset - corner.damper_direction * (offset @ corner.damper_direction)))
    yield Measure("from the damper's axis to the ball joint", past, 0, 80, suspects)
    lean = math.acos(min(1.0, float(unit(top - ball) @ corner.damper_direction)))
    yield Measure("between the damper's axis and the steering axis", lean, 0, rad(7), suspects, angle=True)

    skew = math.atan2(abs(front[1] - rear[1]), abs(front[0] - rear[0]))
    yield Measure("between the arm's pivot axis and straight ahead", skew, 0, rad(35), pivots, angle=True)
    level = float(np.hypot(*(np.cross(unit(front - rear), ball - rear)[[0, 2]])))
    yield Measure("from the arm's pivot axis to the ball joint", level, 220, 480, (*pivots, "ball_joint"))
    start, link = link_points(front_end.car, points)
    name = "front pivot" if np.allclose(start, front) else "rear pivot"
    first = pivots if name == "front pivot" else pivots[::-1]
    slope = math.asin(link[2])
    yield Measure("slope of the arm's link", slope, rad(-12), rad(12), (*first, "ball_joint"), angle=True)

    arm = np.array(points.pickup) - ball
    axis = pose.steering_axis[0]
    lever = float(np.linalg.norm(arm - axis * (arm @ axis)))
    yield Measure("from the steering axis to the pickup", lever, 60, 190, ("pickup", "ball_joint"))
    rod = unit(np.array(points.pickup) - np.array(points.inner_joint))
    suspects = ("inner_joint", "pickup")
    slope = math.asin(rod[2])
    yield Measure("slope of the tie rod", slope, rad(-12), rad(12), suspects, angle=True)
    sweep = math.atan2(rod[0], sign * rod[1])
    suspects = ("pickup", "inner_joint")
    yield Measure("sweep of the tie rod, seen from above", sweep, rad(-20), rad(20), suspects, angle=True)
    yield Measure(
        f"bump steer over {BUMP_TRAVEL:.0f} mm of travel",
        _bump_steer(front_end, assembly),
        0,
        rad(1.5),
        ("inner_joint", "pickup", *first, "ball_joint"),
        angle=True,
    )


def _bump_steer(front_end: FrontEnd, assembly: Assembly) -> float:
    """Greatest change of toe in radians over the travel up and down, as far as there is any."""
    car = front_end.car
    travel = np.array([-min(BUMP_TRAVEL, car.droop_travel), 0.0, min(BUMP_TRAVEL, car.bump_travel)])
    steer = steer_angle(front_end.poses(assembly, np.zeros(1), travel))[0]
    return float(np.max(np.abs(steer - steer[1])))


def asymmetry(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Points of which one coordinate isn't the mirror of the other side's."""
    car = front_end.car
    mirrored = car.left.mirrored()
    for name in POINTS:
        suspects = both(name)
        here, there = getattr(car.right, name), getattr(mirrored, name)
        for axis, at_right, at_left in zip("xyz", here, there, strict=True):
            if abs(at_right - at_left) > ASYMMETRY:
                is_y = axis == "y"
                found = (
                    f"{axis} = {length_text(at_right, units)} on the right, "
                    f"{length_text(-at_left if is_y else at_left, units)} on the left"
                )
                expected = f"{axis} the same within {length_text(ASYMMETRY, units)}"
                if is_y:
                    expected += ", but for its sign"
                yield Doubt(suspects, found, expected, axis)
