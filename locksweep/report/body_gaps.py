"""How near the tyres come to the body at each pose that the page can show."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from locksweep.report.motion import Grid
from locksweep.report.numbers import plain
from solver.body.surface import Surface
from solver.body.sweep import SweepPart, WheelSweep
from solver.body.swept import Swept
from solver.car import Goal, Side
from solver.corner import Pose
from solver.front_end import Assembly, FrontEnd
from solver.vectors import Array, length

CUBE = 20.0
"""Edge in mm of the cubes by which the nearest points are looked for."""
FAR = 60.0
"""mm up to which gaps are worked out; a tyre that is farther away than that is not near."""


def far_of(goal: Goal) -> float:
    """The gap, mm, that stands for any larger one."""
    return max(FAR, goal.clearance)


def gap_record(name: str, side: Side, values: Array, far: float) -> dict[str, Any]:
    """Gaps (n, m) of one tyre, NaN where the pose doesn't exist, as the page takes them; ``far`` stands for farther."""
    near = np.minimum(values, far)
    least = np.where(np.isfinite(near), near, np.inf).min(axis=1)
    return {
        "name": name,
        "side": side,
        "gap_mm": plain(near, 1),
        "least_mm": plain(np.where(np.isfinite(least), least, np.nan), 1),
    }


def body_gaps(
    surfaces: Iterable[Surface], front_end: FrontEnd, grid: Grid, poses: dict[Side, Pose], far: float
) -> list[dict[str, Any]]:
    """From the grown tyres to each body as it was measured, uncut; of those alone that a tyre comes near to.

    What moves with a knuckle keeps its gap, and is left out as bars are that do.
    """
    found = []
    for surface in surfaces:
        if surface.fixed_to == "knuckle":
            continue
        for assembly in front_end.sides:
            if surface.fixed_to == "arm" and surface.side != assembly.side:
                continue
            values = _gaps(surface, front_end, assembly, grid, poses[assembly.side], far)
            if values is not None and np.nanmin(values, initial=np.inf) < far:
                found.append(gap_record(f"{surface.name}, uncut", assembly.side, values, far))
    return found


def _gaps(
    surface: Surface, front_end: FrontEnd, assembly: Assembly, grid: Grid, pose: Pose, far: float
) -> Array | None:
    """From the surface's points, (n, m); None where they are far from all that the tyre sweeps."""
    travels: tuple[float | None, ...] = (None,) * len(grid.travel)
    part = SweepPart(front_end, assembly, 0.0, grid.signed(front_end), grid.travel, travels, pose)
    tyre = WheelSweep(assembly.side, (part,)).tyre(surface.fixed_to)
    if not tyre.count:
        return None
    middle, radius = tyre.ball
    if length(surface.points - middle).min() > radius + far:
        return None
    values = np.full(pose.reachable.shape, np.nan)
    values[pose.reachable] = least_by_pose(surface.points, tyre)
    return values


def least_by_pose(points: Array, swept: Swept) -> Array:
    """Least distance in mm of any of the points (k, 3) in each of n poses, (n,).

    A distance changes by no more than a point moves, so a cube of points counts in a pose only if its middle is no
    farther than the nearest middle by more than both cubes' sizes.
    """
    cubes, number = np.unique(np.floor(points / CUBE), axis=0, return_inverse=True)
    middles = swept.distances((cubes + 0.5) * CUBE)
    may_be = (middles <= middles.min(axis=0) + CUBE * math.sqrt(3)).any(axis=1)
    return np.asarray(swept.distances(points[may_be[number.ravel()]]).min(axis=0))
