"""What is usual on a strut-type front end, and what could be mis-measured where a car is unusual.

Every rule compares a measure with its usual range, or the two sides with each other, or two ways of measuring
one thing. The ranges are common practice, drawn wide, without a source of their own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from solver.car import CornerPoints, Side
from solver.clearance import gap, obstacles
from solver.corner import Pose
from solver.front_end import Assembly, FrontEnd, link_points, points_of
from solver.limits import inner_lock
from solver.measures import camber_angle, caster_angle, inclination_angle, scrub_radius_and_trail, steer_angle
from solver.stock import StockUnits
from solver.sweep import TURNS
from solver.tyre import INCH, nearest_point_distance, tyre_of
from solver.vectors import Array, unit

ASYMMETRY = 8.0
"""Between a point and the other side's mirror, one coordinate, mm. An unbent car is within 3 or so."""
ROD_DIFFERENCE = 5.0
"""Between the lengths of both tie rods, mm: a few turns of the thread set the toe."""
TURN_DIFFERENCE = math.radians(2)
"""Between the locks of both turns."""
WEIGHT_DIFFERENCE = 0.15
"""Between left and right, as a share of the heavier: the driver makes 10 % or less of it."""
BUMP_TRAVEL = 25.0
"""Wheel travel up and down over which bump steer is looked at, mm."""
RACK_SKEW = math.radians(2)
"""Between the rack's direction and the line through both inner joints."""
HEIGHT_DIFFERENCE = 5.0
"""Between the wheel centre's height and the loaded radius, mm: two measurements of one thing."""
UNFLATNESS = 20.0
"""Of a panel, from its mean plane, mm."""
MOUNT_DISTANCE = 60.0
CONTACT_DISTANCE = 250.0
"""Of a stop's mount from the arm's middle line, and of its contact from the ball joint, mm."""
POINTS = tuple(name for name, kind in CornerPoints.__annotations__.items() if kind == "Vector")


@dataclass(frozen=True)
class Doubt:
    """A rule that is broken.

    suspects: places in the job file that could be to blame, likeliest first
    found, expected: in words, with units
    coordinate: of the suspect, where it is one
    """

    suspects: tuple[str, ...]
    found: str
    expected: str
    coordinate: str = ""


@dataclass(frozen=True)
class _Measure:
    """A measure and its usual range, in mm or, with ``angle``, radians; keys in ``suspects`` lack their table."""

    name: str
    value: float
    low: float
    high: float
    suspects: tuple[str, ...]
    angle: bool = False
    coordinate: str = ""


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


def doubts_about(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Every broken rule of a front end as measured, lengths told in ``units``.

    Raises:
        GeometryError: the suspension can't travel the 25 mm over which bump steer is looked at.
    """
    yield from _whole_car(front_end, units)
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        for measure in _corner_measures(front_end, assembly, pose):
            yield from _out_of_range(measure, f"car.{assembly.side}.", assembly.side, units)
    yield from _asymmetry(front_end, units)
    yield from _rack(front_end, units)
    yield from _lock(front_end)
    yield from _tyre(front_end, units)
    yield from _tie_rods(front_end, units)
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        yield from _in_the_tyre(front_end, assembly, pose, units)
    yield from _keep_clear(front_end, units)
    yield from _wheel_wells(front_end, units)
    yield from _stops(front_end, units)


def _both(*names: str) -> tuple[str, ...]:
    """Points of both sides, the right one first: it is given key by key, so that is where a slip would be."""
    return tuple(f"car.{side}.{name}" for name in names for side in TURNS[::-1])


def _given_direction(front_end: FrontEnd) -> tuple[str, ...]:
    """The rack's direction, unless it lies straight across the car, which nobody measured."""
    return () if front_end.car.rack.direction == (0.0, 1.0, 0.0) else ("rack.direction",)


def _length(value: float, units: StockUnits) -> str:
    return f"{value:.0f} mm" if units == "mm" else f"{value / INCH:.2f} in"


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.1f}°"


def _out_of_range(measure: _Measure, table: str, place: str, units: StockUnits) -> Iterator[Doubt]:
    # A measure that is no number is out of range too.
    if measure.low <= measure.value <= measure.high:
        return
    value, low, high = (
        _degrees(x) if measure.angle else _length(x, units)
        for x in (measure.value, measure.low, measure.high)
    )
    suspects = tuple(key if "." in key else table + key for key in measure.suspects)
    found = f"{place}: {measure.name} {value}" if place else f"{measure.name} {value}"
    yield Doubt(suspects, found, f"{measure.name}: {low} to {high}", measure.coordinate)


def _whole_car(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    car = front_end.car
    ratio = front_end.track / car.wheelbase
    if not 0.5 <= ratio <= 0.7:
        found = (
            f"a track of {_length(front_end.track, units)} on a wheelbase of {_length(car.wheelbase, units)}"
        )
        suspects = ("car.wheelbase", "car.left.wheel_centre", "car.right.wheel_centre")
        yield Doubt(suspects, found, "a track of 0.5 to 0.7 wheelbases")
    for name in ("bump_travel", "droop_travel"):
        words = name.replace("_", " ")
        measure = _Measure(words, getattr(car, name), 20.0, 150.0, (name,))
        yield from _out_of_range(measure, "car.", "", units)
    left, right = car.corner_masses
    if abs(left - right) > WEIGHT_DIFFERENCE * max(left, right):
        found = f"{left:.0f} kg left, {right:.0f} kg right"
        expected = f"left and right within {100 * WEIGHT_DIFFERENCE:.0f} % of each other"
        yield Doubt(("car.corner_masses",), found, expected)


def _corner_measures(front_end: FrontEnd, assembly: Assembly, pose: Pose) -> Iterator[_Measure]:
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
        yield _Measure(words, value, low, high, (name,), coordinate=axis)
    inboard = float((centre - ball) @ corner.spin_axis) * sign
    suspects: tuple[str, ...] = ("ball_joint", "wheel_centre")
    yield _Measure("ball joint inside of the wheel's centre plane", inboard, 20, 110, suspects)
    yield _Measure("ball joint below the wheel centre", centre[2] - ball[2], 50, 200, suspects)

    suspects = ("strut_top", "ball_joint")
    yield _Measure("caster", float(caster_angle(pose)[0]), 0, rad(12), suspects, angle=True)
    inclination = float(inclination_angle(pose)[0])
    yield _Measure("steering-axis inclination", inclination, rad(6), rad(20), suspects, angle=True)
    suspects = ("strut_top", "ball_joint", "wheel_centre")
    scrub, trail = scrub_radius_and_trail(pose, front_end.loaded_radius)
    yield _Measure("scrub radius", float(scrub[0]), -40, 80, suspects)
    yield _Measure("mechanical trail", float(trail[0]), 0, 60, suspects)
    yield _Measure("toe", assembly.toe, rad(-0.75), rad(0.75), ("toe",), angle=True)
    yield _Measure("camber", float(camber_angle(pose)[0]), rad(-4), rad(1.5), ("camber",), angle=True)

    suspects = ("damper_point", "strut_top", "ball_joint")
    offset = ball - corner.damper_point
    past = float(np.linalg.norm(offset - corner.damper_direction * (offset @ corner.damper_direction)))
    yield _Measure("from the damper's axis to the ball joint", past, 0, 80, suspects)
    lean = math.acos(min(1.0, float(unit(top - ball) @ corner.damper_direction)))
    yield _Measure("between the damper's axis and the steering axis", lean, 0, rad(7), suspects, angle=True)

    skew = math.atan2(abs(front[1] - rear[1]), abs(front[0] - rear[0]))
    yield _Measure("between the arm's pivot axis and straight ahead", skew, 0, rad(35), pivots, angle=True)
    level = float(np.hypot(*(np.cross(unit(front - rear), ball - rear)[[0, 2]])))
    yield _Measure("from the arm's pivot axis to the ball joint", level, 220, 480, (*pivots, "ball_joint"))
    start, link = link_points(front_end.car, points)
    name = "front pivot" if np.allclose(start, front) else "rear pivot"
    first = pivots if name == "front pivot" else pivots[::-1]
    slope = math.asin(link[2])
    yield _Measure("slope of the arm's link", slope, rad(-12), rad(12), (*first, "ball_joint"), angle=True)

    arm = np.array(points.pickup) - ball
    axis = pose.steering_axis[0]
    lever = float(np.linalg.norm(arm - axis * (arm @ axis)))
    yield _Measure("from the steering axis to the pickup", lever, 60, 190, ("pickup", "ball_joint"))
    rod = unit(np.array(points.pickup) - np.array(points.inner_joint))
    suspects = ("inner_joint", "pickup")
    slope = math.asin(rod[2])
    yield _Measure("slope of the tie rod", slope, rad(-12), rad(12), suspects, angle=True)
    sweep = math.atan2(rod[0], sign * rod[1])
    suspects = ("pickup", "inner_joint")
    yield _Measure("sweep of the tie rod, seen from above", sweep, rad(-20), rad(20), suspects, angle=True)
    yield _Measure(
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


def _asymmetry(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    car = front_end.car
    mirrored = car.left.mirrored()
    for name in POINTS:
        suspects = _both(name)
        here, there = getattr(car.right, name), getattr(mirrored, name)
        for axis, at_right, at_left in zip("xyz", here, there, strict=True):
            if abs(at_right - at_left) > ASYMMETRY:
                is_y = axis == "y"
                found = (
                    f"{axis} = {_length(at_right, units)} on the right, "
                    f"{_length(-at_left if is_y else at_left, units)} on the left"
                )
                expected = f"{axis} the same within {_length(ASYMMETRY, units)}"
                if is_y:
                    expected += ", but for its sign"
                yield Doubt(suspects, found, expected, axis)


def _rack(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    car = front_end.car
    rack = car.rack
    between = unit(np.array(car.left.inner_joint) - np.array(car.right.inner_joint))
    skew = math.acos(min(1.0, abs(float(between @ np.array(rack.direction)))))
    if skew > RACK_SKEW:
        suspects: tuple[str, ...] = (*_given_direction(front_end), *_both("inner_joint"))
        found = f"{_degrees(skew)} between the rack's direction and the line through both inner joints"
        yield Doubt(suspects, found, f"no more than {_degrees(RACK_SKEW)}")
    measure = _Measure("rack travel per turn", rack.travel_per_turn, 30, 70, ("travel_per_turn",))
    yield from _out_of_range(measure, "rack.", "", units)
    turns = 2 * rack.travel_each_side / rack.travel_per_turn
    if not 2.0 <= turns <= 4.5:
        found = f"{turns:.1f} turns of the steering wheel from stop to stop"
        yield Doubt(("rack.travel_each_side", "rack.travel_per_turn"), found, "2.0 to 4.5 turns")
    if rack.end_diameter > rack.housing_bore:
        found = f"rack's end {rack.end_diameter:.1f} mm, housing's bore {rack.housing_bore:.1f} mm"
        suspects = ("rack.end_diameter", "rack.housing_bore")
        yield Doubt(suspects, found, "a bore that the rack's end goes into")
    if rack.tooth_travel is not None and rack.tooth_travel < rack.travel_each_side:
        teeth, stop = _length(rack.tooth_travel, units), _length(rack.travel_each_side, units)
        found = f"teeth for {teeth} of travel, a stop at {stop}"
        yield Doubt(("rack.tooth_travel", "rack.travel_each_side"), found, "teeth that reach to the stop")


def _lock(front_end: FrontEnd) -> Iterator[Doubt]:
    locks = {turn: inner_lock(front_end, turn, front_end.car.rack.travel_each_side) for turn in TURNS}
    usual = "the inner wheel at 28° to 50° at the rack's stop"
    for turn, lock in locks.items():
        if math.isfinite(lock) and math.radians(28) <= lock <= math.radians(50):
            continue
        suspects: tuple[str, ...] = (f"car.{turn}.pickup", "rack.travel_each_side", f"car.{turn}.inner_joint")
        reached = f"{_degrees(lock)} of lock" if math.isfinite(lock) else "past over-centre"
        yield Doubt(suspects, f"{turn} turn: {reached} at the rack's stop", usual)
    difference = abs(locks["left"] - locks["right"])
    if difference > TURN_DIFFERENCE:
        suspects = (*_given_direction(front_end), *_both("inner_joint", "pickup"))
        found = f"{_degrees(locks['left'])} of lock to the left, {_degrees(locks['right'])} to the right"
        yield Doubt(suspects, found, f"both the same within {_degrees(TURN_DIFFERENCE)}")


def _tyre(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    wheel = front_end.car.wheel
    nominal = tyre_of(replace(wheel, outside_diameter=None, section_width=None))
    for name, share in (("outside_diameter", 0.04), ("section_width", 0.08)):
        size = getattr(nominal, name)
        given = getattr(wheel, name) or size
        if abs(given - size) > share * size:
            found = f"{name.replace('_', ' ')} {_length(given, units)}"
            expected = f"about {_length(size, units)}, as {wheel.tyre} says"
            yield Doubt((f"wheel.{name}", "wheel.tyre"), found, expected)
    half = front_end.tyre.outside_diameter / 2
    tyre_keys = (
        ("wheel.tyre",) if wheel.outside_diameter is None else ("wheel.outside_diameter", "wheel.tyre")
    )
    if wheel.loaded_radius is not None:
        pressed = _Measure(
            "the tyre pressed in by", half - wheel.loaded_radius, 3, 35, ("wheel.loaded_radius", *tyre_keys)
        )
        yield from _out_of_range(pressed, "", "", units)
    for side in TURNS:
        key, height = f"car.{side}.wheel_centre", points_of(front_end.car, side).wheel_centre[2]
        pressed = _Measure("the tyre pressed in by", half - height, 3, 35, (key, *tyre_keys))
        yield from _out_of_range(pressed, "", side, units)
        radius = wheel.loaded_radius
        if radius is not None and abs(height - radius) > HEIGHT_DIFFERENCE:
            found = (
                f"{side}: wheel centre at {_length(height, units)}, loaded radius {_length(radius, units)}"
            )
            expected = f"the same within {_length(HEIGHT_DIFFERENCE, units)}"
            yield Doubt((key, "wheel.loaded_radius"), found, expected)


def _tie_rods(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    left, right = (float(assembly.corner.tie_rod) for assembly in front_end.sides)
    if abs(left - right) > ROD_DIFFERENCE:
        suspects = _both("inner_joint", "pickup")
        found = f"tie rods of {_length(left, units)} left and {_length(right, units)} right"
        yield Doubt(suspects, found, f"the same length within {_length(ROD_DIFFERENCE, units)}")
    if front_end.car.tie_rod_range is None:
        return
    shortest, longest = front_end.car.tie_rod_range
    for side, rod in zip(TURNS, (left, right), strict=True):
        if not shortest <= rod <= longest:
            suspects = ("tie_rod", f"car.{side}.inner_joint", f"car.{side}.pickup")
            found = f"{side}: {_length(rod, units)} between the points of the tie rod on the car"
            expected = (
                f"within the {_length(shortest, units)} to {_length(longest, units)} of the rods at hand"
            )
            yield Doubt(suspects, found, expected)


def _in_the_tyre(front_end: FrontEnd, assembly: Assembly, pose: Pose, units: StockUnits) -> Iterator[Doubt]:
    """What the tyre would already cut into with the wheels straight ahead."""
    side = assembly.side
    at_corner: dict[str, tuple[str, ...]] = {
        "strut tube": (f"car.{side}.damper_point", "strut.tube_diameter", f"car.{side}.wheel_centre"),
        "lower arm": ("arm.clear_radius", f"car.{side}.wheel_centre"),
    }
    for obstacle in obstacles(front_end, assembly):
        overlap = -float(gap(front_end.tyre, obstacle, pose)[0])
        if overlap > 0:
            suspects = at_corner.get(obstacle.name, (f'keep_clear "{obstacle.name}"',))
            found = f"{side}: the {obstacle.name} {_length(overlap, units)} inside of the tyre"
            yield Doubt(suspects, found, "clear of the tyre that the car was measured on, straight ahead")


def _keep_clear(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    for item in front_end.car.keep_clear:
        middle = (item.start[1] + item.end[1]) / 2
        yield from _beyond_the_wheel(front_end, item.side, middle, f'keep_clear "{item.name}"', units)


def _beyond_the_wheel(
    front_end: FrontEnd, side: Side, y: float, key: str, units: StockUnits
) -> Iterator[Doubt]:
    """What lies on the other side of the car, or outside of the wheel's outer face."""
    sign = 1 if side == "left" else -1
    outer_face = abs(points_of(front_end.car, side).wheel_centre[1]) + front_end.tyre.section_width / 2
    if not 0 <= sign * y <= outer_face:
        found = f"{side}: its middle at y = {_length(y, units)}"
        expected = (
            f"between the centre plane and the tyre's outer face at {_length(sign * outer_face, units)}"
        )
        yield Doubt((key,), found, expected)


def _wheel_wells(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    for well in front_end.car.wheel_wells:
        key = f'wheel_well "{well.name}"'
        points = np.array(well.panel)
        middle = points.mean(axis=0)
        axes = np.linalg.svd(points - middle)[2]
        off = float(np.max(np.abs((points - middle) @ axes[2])))
        if off > UNFLATNESS:
            found = f"{well.side}: a point {_length(off, units)} off the panel's mean plane"
            yield Doubt((key,), found, f"a panel that is flat within {_length(UNFLATNESS, units)}")
        if _crosses_itself((points - middle) @ axes[:2].T):
            found = f"{well.side}: the panel's outline crosses itself"
            yield Doubt((key,), found, "points in their order round the panel's edge")
        yield from _beyond_the_wheel(front_end, well.side, float(middle[1]), key, units)
        overlap = -_gap_to_panel(front_end, well.side, points)
        if overlap > 0:
            found = f"{well.side}: the panel {_length(overlap, units)} inside of the tyre"
            yield Doubt((key,), found, "clear of the tyre that the car was measured on, straight ahead")


def _crosses_itself(outline: Array) -> bool:
    """Whether two edges of a closed plane outline (n, 2) cross."""
    start, end = outline, np.roll(outline, -1, axis=0)

    def turn(a: Array, b: Array, c: Array) -> Array:
        u, v = b - a, c - a
        return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])

    p, q, r, s = start[:, None], end[:, None], start[None], end[None]
    # Neighbours share a vertex, for which one of the products is 0.
    crossing = (turn(p, q, r) * turn(p, q, s) < 0) & (turn(r, s, p) * turn(r, s, q) < 0)
    return bool(crossing.any())


def _gap_to_panel(front_end: FrontEnd, side: Side, points: Array) -> float:
    """From the tyre to the panel's edges and to the lines from its middle to its corners, mm."""
    pose = front_end.at_ride_height(np.zeros(1))[0 if side == "left" else 1]
    middle = np.broadcast_to(points.mean(axis=0), points.shape)
    start, end = np.concatenate([points, middle]), np.concatenate([np.roll(points, -1, axis=0), points])
    return float(nearest_point_distance(front_end.tyre, start, end, pose.wheel_centre, pose.spin_axis).min())


def _stops(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    for stop in front_end.car.stop_mounts:
        points = points_of(front_end.car, stop.side)
        ball = np.array(points.ball_joint)
        start, link = link_points(front_end.car, points)
        along = float((np.array(stop.mount) - start) @ link)
        nearest = start + link * min(max(along, 0.0), float((ball - start) @ link))
        off = float(np.linalg.norm(np.array(stop.mount) - nearest))
        if off > MOUNT_DISTANCE:
            found = f"{stop.side}: the mount {_length(off, units)} away from the arm's middle line"
            yield Doubt(("stop.mount",), found, f"no more than {_length(MOUNT_DISTANCE, units)}")
        reach = float(np.linalg.norm(np.array(stop.contact) - ball))
        if reach > CONTACT_DISTANCE:
            found = f"{stop.side}: the contact {_length(reach, units)} away from the ball joint"
            yield Doubt(("stop.contact",), found, f"no more than {_length(CONTACT_DISTANCE, units)}")
