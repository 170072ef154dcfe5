"""The swept tyre as a surface to look at: how far out any pose's tyre reaches in each direction from one centre.

It is a picture. Seen from the centre a tyre that has a farther one behind it is covered by that, and the disc inside
the tyre is taken as full. What is told about clearances comes from `solver.body`, never from here.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from locksweep.report.motion import Grid
from locksweep.report.numbers import plain
from solver.car import Side
from solver.corner import Pose
from solver.front_end import FrontEnd
from solver.tyre import Tyre
from solver.vectors import Array, dot

ROUND, UP = 48, 27
"""Directions about the vertical, and from straight down to straight up."""
RACKS, TRAVELS = 11, 3
STEPS = 14
"""Inwards along each direction: what is left then is under a millimetre but where a ray grazes."""


def swept_tyres(front_end: FrontEnd, grid: Grid, poses: dict[Side, Pose]) -> list[dict[str, Any]]:
    """Each wheel's, as vertices and triangles in the body's axes; mm."""
    tyre = front_end.tyre.grown()
    return [{"side": side, **_surface(tyre, pose, grid)} for side, pose in poses.items()]


def reach(tyre: Tyre, centres: Array, axes: Array, middle: Array, directions: Array) -> Array:
    """How far the tyres about ``centres`` (k, 3) reach from ``middle`` along unit ``directions`` (d, 3); (d,), mm.

    From outside of all of them inwards, by the distance that is left to the nearest at each step (sphere tracing,
    Hart, 1996): a step never passes a surface.
    """
    radius, half = tyre.outside_diameter / 2, tyre.section_width / 2
    rounding = tyre.shoulder_radius
    start = float(np.sqrt(((centres - middle) ** 2).sum(axis=-1)).max()) + radius + half
    out = np.full(len(directions), start)
    for _ in range(STEPS):
        points = middle + out[:, None] * directions
        offset = points[:, None] - centres
        along = dot(offset, axes)
        across = np.sqrt(np.maximum(dot(offset, offset) - along**2, 0.0))
        x, y = np.abs(along) - half + rounding, across - radius + rounding
        gap = np.hypot(np.maximum(x, 0), np.maximum(y, 0)) + np.minimum(np.maximum(x, y), 0) - rounding
        out = np.maximum(out - np.maximum(gap.min(axis=1), 0.0), 0.0)
    return out


def _surface(tyre: Tyre, pose: Pose, grid: Grid) -> dict[str, Any]:
    racks = np.unique(np.linspace(0, len(grid.turned) - 1, RACKS).round().astype(int))
    travels = np.unique(np.linspace(0, len(grid.travel) - 1, TRAVELS).round().astype(int))
    chosen = np.ix_(racks, travels)
    there = pose.reachable[chosen]
    centres, axes = pose.wheel_centre[chosen][there], pose.spin_axis[chosen][there]
    middle = centres.mean(axis=0)
    around = np.linspace(0, 2 * np.pi, ROUND, endpoint=False)
    polar = np.linspace(0, np.pi, UP)[1:-1]
    ring = np.stack([np.cos(around), np.sin(around), np.zeros(ROUND)], axis=-1)
    body = np.sin(polar)[:, None, None] * ring - np.cos(polar)[:, None, None] * np.array([0.0, 0.0, 1.0])
    directions = np.concatenate([[[0.0, 0.0, -1.0]], body.reshape(-1, 3), [[0.0, 0.0, 1.0]]])
    points = middle + reach(tyre, centres, axes, middle, directions)[:, None] * directions
    return {"vertices_mm": plain(points.ravel(), 1), "triangles": _ball(UP - 2, ROUND)}


def _ball(rings: int, around: int) -> list[int]:
    """Triangles of a ball of rings between two poles, outwards; numbers of points, three by three."""
    found: list[tuple[int, int, int]] = []
    last = rings * around + 1
    for j in range(around):
        k = (j + 1) % around
        found.append((0, 1 + k, 1 + j))
        for i in range(rings - 1):
            a, b, c, d = (1 + row * around + column for row in (i, i + 1) for column in (j, k))
            found += [(a, b, c), (b, d, c)]
        top = 1 + (rings - 1) * around
        found.append((top + j, top + k, last))
    return [number for triangle in found for number in triangle]
