"""Points of a corner that can't be where they are said to be: most often two of them were swapped."""

from __future__ import annotations

import math
from collections.abc import Iterator

from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading
from solver.car import Side, Vector

POINTS = (
    "arm_front_pivot",
    "arm_rear_pivot",
    "ball_joint",
    "strut_top",
    "damper_point",
    "inner_joint",
    "pickup",
    "wheel_centre",
)

FARTHEST_OFF_AXLE = 25.0
"""Of a wheel centre fore or aft of the origin, mm: castor differs from side to side, but not by more."""

CLOSEST = 5.0
"""Two different joints' centres can't lie closer, mm."""

AHEAD, OUTBOARD, HIGHER = 0, 1, 2
_COMPARED = {
    AHEAD: "ahead of",
    OUTBOARD: "further outboard than",
    HIGHER: "higher than",
}

# (point, axis, other point): the first lies ahead of, further outboard or higher than the second.
_ORDER = (
    ("arm_front_pivot", AHEAD, "arm_rear_pivot"),
    ("ball_joint", OUTBOARD, "arm_front_pivot"),
    ("ball_joint", OUTBOARD, "arm_rear_pivot"),
    ("pickup", OUTBOARD, "inner_joint"),
    ("wheel_centre", OUTBOARD, "arm_front_pivot"),
    ("strut_top", HIGHER, "ball_joint"),
    ("strut_top", HIGHER, "damper_point"),
    ("strut_top", HIGHER, "wheel_centre"),
)


def corner_problems(reading: Reading) -> Iterator[Problem]:
    """Problems of both corners; a right point that is the left one's mirror is not reported again."""
    for side in ("left", "right"):
        yield from _sides_and_ground(reading, side)
        yield from _order(reading, side)
        yield from _apart(reading, side)


def side_problem(reading: Reading, path: KeyPath, point: Vector | None, side: Side) -> Iterator[Problem]:
    """A point on the wrong side of the car."""
    sign, word = (1, "positive") if side == "left" else (-1, "negative")
    if point and point[1] * sign <= 0:
        expected = f"a {word} y: y points to the left, so that it is {word} on the {side} side"
        yield Problem((*path, 1), f"y = {reading.shown(*path, 1)}", expected)


def _sides_and_ground(reading: Reading, side: Side) -> Iterator[Problem]:
    for key in POINTS:
        point, path = reading.corner_point(side, key)
        if path[1] != side or not point:
            continue
        yield from side_problem(reading, path, point, side)
        if point[2] <= 0:
            expected = "a positive z: heights are measured up from the ground"
            yield Problem((*path, 2), f"z = {reading.shown(*path, 2)}", expected)
        if key == "wheel_centre" and abs(point[0]) > FARTHEST_OFF_AXLE:
            limit = "25 mm" if reading.units == "mm" else "1 in"
            expected = f"an x within {limit} of 0: the origin is on the line through the wheel centres"
            hint = "measure every x from that line, forward positive"
            yield Problem((*path, 0), f"x = {reading.shown(*path, 0)}", expected, hint)


def _order(reading: Reading, side: Side) -> Iterator[Problem]:
    sign = 1 if side == "left" else -1
    told: set[tuple[str, int]] = set()
    for key, axis, other_key in _ORDER:
        point, path = reading.corner_point(side, key)
        other, other_path = reading.corner_point(side, other_key)
        if not point or not other or side not in (path[1], other_path[1]):
            continue
        # A point on the wrong side is reported as that, and would be as good as any to swap here.
        if axis == OUTBOARD and (point[1] * sign <= 0 or other[1] * sign <= 0):
            continue
        factor = sign if axis == OUTBOARD else 1
        if point[axis] * factor > other[axis] * factor:
            continue
        at = path if path[1] == side else other_path
        # One misplaced point is out of order with several others: once is enough.
        if (key, axis) in told:
            continue
        told.add((key, axis))
        shown = (reading.shown_coordinate(path, axis), reading.shown_coordinate(other_path, axis))
        found = f"{shown[0]}, {shown[1]}"
        expected = f"{key} {_COMPARED[axis]} {other_key}"
        yield Problem((*at, axis), found, expected, "have the two been swapped?")


def _apart(reading: Reading, side: Side) -> Iterator[Problem]:
    for key, other_key in (
        ("ball_joint", "pickup"),
        ("strut_top", "wheel_centre"),
        ("ball_joint", "wheel_centre"),
    ):
        point, path = reading.corner_point(side, key)
        other, other_path = reading.corner_point(side, other_key)
        if not point or not other or side not in (path[1], other_path[1]):
            continue
        if math.dist(point, other) < CLOSEST:
            at = path if path[1] == side else other_path
            found = f"{key} and {other_key} less than {CLOSEST:g} mm apart"
            yield Problem(at, found, "two different points", "has one been entered twice?")
