"""Least distances between round bars, and from round bars to solids of revolution, each in its own pose."""

from __future__ import annotations

import numpy as np

from solver.body.revolved import Revolved
from solver.vectors import Array, dot, length

TOLERANCE = 0.05
"""mm by which a distance to a solid of revolution may be too large; it is never too small."""
FEWEST_STEPS = 8


def bar_to_solid(
    solid: Revolved, starts: Array, ends: Array, centres: Array, axes: Array
) -> tuple[float, int, Array]:
    """Least signed distance in mm of n segments from a solid of revolution, each in its own pose: the distance, which
    of the segments has it, and the place on that (3,).

    ``starts``, ``ends``, ``centres`` and unit ``axes`` have the shape (n, 3). The distance changes by no more than the
    place moves, so a stretch of a segment whose middle is farther than the best place known by more than half the
    stretch can be left out; the others are halved and looked at again until they are short enough.
    """
    span = length(ends - starts)
    steps = FEWEST_STEPS
    row = np.repeat(np.arange(len(starts)), steps)
    middle = np.tile((np.arange(steps) + 0.5) / steps, len(starts))
    half = np.full(len(row), 0.5 / steps)
    best, which, at = np.inf, 0, 0.0
    while len(row):
        places = starts[row] + middle[:, None] * (ends[row] - starts[row])
        found = solid.distance(places, centres[row], axes[row])
        least = int(found.argmin())
        if found[least] < best:
            best, which, at = float(found[least]), int(row[least]), float(middle[least])
        reach = half * span[row]
        left = (found - reach < best) & (reach > TOLERANCE)
        row, middle, half = row[left], middle[left], half[left]
        middle = np.stack([middle - half / 2, middle + half / 2], axis=1).ravel()
        row, half = np.repeat(row, 2), np.repeat(half / 2, 2)
    return best, which, np.asarray(starts[which] + at * (ends[which] - starts[which]))


def bar_to_bar(starts: Array, ends: Array, other_starts: Array, other_ends: Array) -> tuple[Array, Array]:
    """Least distance (n,) in mm between the middle lines of two bars, and the place on the first (n, 3).

    Two segments are nearest where both feet of their common perpendicular lie inside, else at an end of one of them
    and the foot on the other: the least of the five.
    """
    u, v, w = ends - starts, other_ends - other_starts, starts - other_starts
    uu, vv, uv, uw, vw = dot(u, u), dot(v, v), dot(u, v), dot(u, w), dot(v, w)
    double = uu * vv - uv**2
    with np.errstate(divide="ignore", invalid="ignore"):
        s, t = (uv * vw - vv * uw) / double, (uu * vw - uv * uw) / double
        inside = (double > 1e-9 * uu * vv) & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    tried = [(np.where(inside, s, 0.0), np.where(inside, t, 0.0))]
    tried += [(_foot(starts, u, uu, other_starts + end * v), np.full(len(u), end)) for end in (0.0, 1.0)]
    tried += [(np.full(len(u), end), _foot(other_starts, v, vv, starts + end * u)) for end in (0.0, 1.0)]
    shares = np.stack([first for first, _ in tried])
    far = np.stack([length(w + s[:, None] * u - t[:, None] * v) for s, t in tried])
    best = far.argmin(axis=0)
    rows = np.arange(len(u))
    return far[best, rows], starts + shares[best, rows][:, None] * u


def _foot(start: Array, along: Array, square: Array, point: Array) -> Array:
    """Share of a segment at which it is nearest to a point."""
    share = dot(point - start, along) / np.where(square > 0, square, np.inf)
    return np.asarray(np.clip(share, 0.0, 1.0))
