"""Whether what is uncertain is small enough for the geometry to mean anything."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from solver.car import Car
from solver.errors import GeometryError
from solver.uncertainty.sources import NAMES, Source, Target
from solver.vectors import Array

LEAST_APART = (
    ("arm_front_pivot", "arm_rear_pivot", 20.0),
    ("strut_top", "damper_point", 50.0),
    ("strut_top", "ball_joint", 150.0),
    ("pickup", "ball_joint", 30.0),
    ("pickup", "inner_joint", 60.0),
    ("ball_joint", "arm_rear_pivot", 50.0),
    ("ball_joint", "arm_front_pivot", 50.0),
)
"""Points that must stay apart, mm, as `solver.assembling.check_points` wants; the arm's length in place of its lift."""

SAFE = 3.0
"""Standard deviations that must fit between two points and their least distance."""


def checked(car: Car, found: Sequence[Source]) -> Sequence[Source]:
    """The same errors, if they are small enough for the geometry.

    Raises:
        GeometryError: one is not; names the point and the key that states it.
    """
    squares: dict[Target, Array] = {}
    largest: dict[Target, tuple[float, str]] = {}
    for source in found:
        for target, axis, factor in source.moves:
            moved = factor * source.sigma
            squares.setdefault(target, np.zeros(3))[axis] += moved**2
            if abs(moved) > largest.get(target, (0.0, ""))[0]:
                largest[target] = (abs(moved), source.key)
    size = {target: float(np.sqrt(square.max())) for target, square in squares.items()}
    for side in ("left", "right"):
        points = car.left if side == "left" else car.right
        for one, other, least in LEAST_APART:
            apart = math.dist(getattr(points, one), getattr(points, other))
            a, b = size.get((side, one), 0.0), size.get((side, other), 0.0)
            if SAFE * math.hypot(a, b) > apart - least:
                worst = one if a >= b else other
                most = (apart - least) / SAFE / math.sqrt(2)
                raise GeometryError(
                    f"uncertainty of {largest[side, worst][1]}: ±{max(a, b):.1f} mm is too much for the {side} "
                    f"{NAMES[worst]}: {NAMES[one]} and {NAMES[other]} are only {apart:.0f} mm apart, and three times "
                    f"that could put one on the other; expected at most ±{most:.1f} mm. Measure it again, or correct "
                    "[uncertainty] in the job file"
                )
    stop = math.hypot(*(size.get(("rack", key), 0.0) for key in ("rack_travel", "rack_middle")))
    travel = car.rack.travel_each_side
    if SAFE * stop > travel:
        raise GeometryError(
            f"uncertainty of rack_travel and rack_middle: ±{stop:.1f} mm is too much for a rack that travels "
            f"{travel:.1f} mm each side; expected at most ±{travel / SAFE:.1f} mm"
        )
    return found
