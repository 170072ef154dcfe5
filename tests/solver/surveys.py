"""An invented car with known points, and what a builder would read off it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields, replace

import numpy as np

from solver.car import CornerPoints
from solver.survey import Kind, Measurement
from solver.survey.instruments import usual_sigmas
from solver.vectors import Array
from tests.solver.cars import FRONT_LEFT, REAR_LEFT

RIGHT = replace(
    REAR_LEFT.mirrored(),
    ball_joint=(9.0, -663.0, 181.0),
    strut_top=(-47.0, -552.0, 709.0),
    pickup=(-104.0, -657.0, 184.0),
)
"""Differs from the left side, as on a car that hit something once."""


def truth(left: CornerPoints = REAR_LEFT, right: CornerPoints = RIGHT) -> dict[str, Array]:
    """Points of both sides by name, mm."""
    return {
        f"{side}.{item.name}": np.array(getattr(corner, item.name))
        for side, corner in (("left", left), ("right", right))
        for item in fields(corner)
        if isinstance(getattr(corner, item.name), tuple)
    }


FRONT_RACK = truth(FRONT_LEFT, FRONT_LEFT.mirrored())

ON_ONE_SIDE = (
    ("arm_front_pivot", "arm_rear_pivot"),
    ("arm_front_pivot", "ball_joint"),
    ("arm_rear_pivot", "ball_joint"),
    ("ball_joint", "damper_point"),
    ("ball_joint", "pickup"),
    ("damper_point", "pickup"),
    ("inner_joint", "pickup"),
    ("arm_rear_pivot", "inner_joint"),
    ("arm_front_pivot", "inner_joint"),
    ("arm_front_pivot", "pickup"),
    ("wheel_centre", "pickup"),
    ("damper_point", "strut_top"),
    ("arm_front_pivot", "strut_top"),
    ("arm_rear_pivot", "strut_top"),
    ("strut_top", "inner_joint"),
    ("wheel_centre", "strut_top"),
    ("wheel_centre", "arm_front_pivot"),
    ("wheel_centre", "arm_rear_pivot"),
)


def reading(kind: Kind, points: dict[str, Array], point: str, origin: str | None = None) -> float:
    """What a perfect instrument reads, mm or radians; written anew from the definitions, point by point."""
    x, y, z = points[point] - (points[origin] if origin else np.zeros(3))
    out = -y if point.startswith("right.") else y
    flat = {"angle side": (z, x), "angle front": (z, out), "angle top": (out, x)}
    if kind in flat:
        rise, run = flat[kind]
        return math.atan(rise / abs(run))
    return float({"height": z, "across": out, "ahead": x, "length": math.sqrt(x * x + y * y + z * z)}[kind])


def measured(
    points: dict[str, Array],
    rng: np.random.Generator | None = None,
    lengths: Sequence[tuple[str, str]] = ON_ONE_SIDE,
) -> list[Measurement]:
    """Heights, distances, tape lengths and the damper's lean, with the noise of their instruments if wanted."""
    wanted: list[tuple[Kind, str, str | None]] = []
    for name in points:
        wanted += [("height", name, None), ("across", name, None), ("ahead", name, None)]
    for side in ("left", "right"):
        wanted += [("length", f"{side}.{other}", f"{side}.{one}") for one, other in lengths]
        wanted += [("angle side", f"{side}.strut_top", f"{side}.damper_point")]
        wanted += [("angle front", f"{side}.strut_top", f"{side}.damper_point")]
    names = sorted({name.partition(".")[2] for name in points})
    wanted += [("length", f"right.{name}", f"left.{name}") for name in names]
    sigmas = usual_sigmas()
    found = []
    for kind, point, origin in wanted:
        error = 0.0 if rng is None else float(rng.normal(0.0, sigmas[kind]))
        found.append(
            Measurement(kind, point, origin, reading(kind, points, point, origin) + error, sigmas[kind])
        )
    return found
