"""The least distance of many points from a solid in many poses, and the pose that causes it.

Points are put into cubes, cubes into larger ones. A distance changes by no more than a point moves, so a pose that
is farther from a cube's middle than the nearest pose by more than the cube's size is nearest to none of its points.
Two sharper bounds on that difference, one from afar and one from planes that touch the solid, leave fewer poses yet.
What is left out in this way can't change the answer; the tests hold it against all poses at all points.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.swept import Indices, Swept
from solver.vectors import Array, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

FINEST = 2.0
"""Edge of the smallest cubes, mm."""
LEVELS = 21
"""Cubes double in size so many times, to 4 km; what lies farther out shares the outermost cubes."""
FIRST = 6
"""Level at which the search begins: cubes of 128 mm."""
LEAST = 3
"""Level of the cubes, 16 mm, by which the nearest of many points is looked for."""
TOGETHER = 32
"""Cubes of the first level that are looked at in one call, so that strays with a cube each cost little."""
WORTH_TIGHTENING = 5_000
"""Distances that a cube would cost at once, from which on the bound by touching planes pays for itself."""
WORTH_SPLITTING = 24_000
"""The same, from which on eight smaller cubes are quicker."""
AT_ONCE = 400_000
"""Distances worked out in one go: a few MB, however many points and poses there are."""
ROUNDING = 1e-6
"""mm, that a distance may be off by: no pose is left out for less."""


@dataclass(frozen=True, eq=False)
class Nearest:
    """Least distances (k,) in mm, negative inside, and the number of the pose that causes each.

    evaluated: distances that had to be worked out; k × n without culling
    """

    distance: Array
    pose: Indices
    evaluated: int


def nearest(points: Array, swept: Swept) -> Nearest:
    """The nearest pose to each of the points (k, 3), which must be finite; of equal ones the first that is met."""
    if not len(points):
        return Nearest(np.empty(0), np.empty(0, np.intp), 0)
    order, codes = _sorted_into_cubes(points, swept)
    search = _Search(points[order], codes, swept)
    evaluated = search.run()
    distance, pose = np.empty(len(points)), np.empty(len(points), np.intp)
    distance[order], pose[order] = search.distance, search.pose
    return Nearest(distance, pose, evaluated)


def least(points: Array, swept: Swept) -> tuple[float, int, int]:
    """The least distance in mm of any of the points (k, 3), the number of that point, and of its pose.

    Points are put into cubes first, and only those of cubes are looked at that may hold the nearest one.
    """
    order, codes = _sorted_into_cubes(points, swept)
    starts = _new(codes, LEAST)
    ordered = points[order]
    low, high = np.minimum.reduceat(ordered, starts), np.maximum.reduceat(ordered, starts)
    radii = length(high - low) / 2
    middles = nearest((low + high) / 2, swept).distance
    kept = middles - radii <= (middles + radii).min() + ROUNDING
    sizes = np.diff(np.append(starts, len(points)))
    tried = order[np.repeat(kept, sizes)]
    found = nearest(points[tried], swept)
    best = int(found.distance.argmin())
    return float(found.distance[best]), int(tried[best]), int(found.pose[best])


@dataclass(frozen=True)
class _Cubes:
    """Cubes of one level that follow each other: where their points begin, and where the last one's end."""

    starts: Indices
    end: int
    level: int

    def part(self, begin: int, count: int) -> _Cubes:
        end = int(self.starts[begin + count]) if begin + count < len(self.starts) else self.end
        return _Cubes(self.starts[begin : begin + count], end, self.level)


class _Search:
    """Points in the order of their cubes, and what has been found for them."""

    def __init__(self, points: Array, codes: NDArray[np.uint64], swept: Swept) -> None:
        self.points, self.codes, self.swept = points, codes, swept
        self.distance = np.empty(len(points))
        self.pose = np.empty(len(points), np.intp)

    def run(self) -> int:
        """Settle all points; returns how many distances it took."""
        evaluated = 0
        every = np.arange(self.swept.count)
        first = self._cubes(0, len(self.points), FIRST)
        pending = [(first.part(i, TOGETHER), every) for i in range(0, len(first.starts), TOGETHER)]
        while pending:
            cubes, poses = pending.pop()
            step = max(1, AT_ONCE // len(poses))
            for begin in range(0, len(cubes.starts), step):
                some = cubes.part(begin, step)
                evaluated += len(some.starts) * len(poses)
                for start, end, left in self._left(some, poses):
                    cost = (end - start) * len(left)
                    if cost > WORTH_SPLITTING and some.level > 0 and len(left) > 8:
                        pending.append((self._cubes(start, end, some.level - 1), left))
                    else:
                        self._settle(start, end, left)
                        evaluated += cost
        return evaluated

    def _left(self, cubes: _Cubes, poses: Indices) -> list[tuple[int, int, Indices]]:
        """For each cube its first and last point, and the poses that may be nearest to any of its points."""
        first = int(cubes.starts[0])
        inside = self.points[first : cubes.end]
        low = np.minimum.reduceat(inside, cubes.starts - first)
        high = np.maximum.reduceat(inside, cubes.starts - first)
        middles, radii = (low + high) / 2, length(high - low) / 2
        found = self.swept.distances(middles, poses)
        least = found.min(axis=1)
        slack = ROUNDING * (1 + radii)
        kept = found <= (least + _slope(self.swept, middles, radii) * radii + slack)[:, None]
        ends = [*cubes.starts[1:].tolist(), cubes.end]
        result = []
        for i, (start, end) in enumerate(zip(cubes.starts.tolist(), ends, strict=True)):
            left = poses[kept[i]]
            if (end - start) * len(left) > WORTH_TIGHTENING:
                best = int(found[i, kept[i]].argmin())
                hull, apart = self.swept.support(middles[i], left, best)
                left = left[hull <= least[i] + _tight_band(apart, radii[i], least[i]) + slack[i]]
            result.append((start, end, left))
        return result

    def _cubes(self, start: int, end: int, level: int) -> _Cubes:
        return _Cubes(start + _new(self.codes[start:end], level), end, level)

    def _settle(self, start: int, end: int, poses: Indices) -> None:
        step = max(1, AT_ONCE // len(poses))
        for begin in range(start, end, step):
            stop = min(begin + step, end)
            found = self.swept.distances(self.points[begin:stop], poses)
            best = found.argmin(axis=1)
            self.distance[begin:stop] = found[np.arange(stop - begin), best]
            self.pose[begin:stop] = poses[best]


def _new(codes: NDArray[np.uint64], level: int) -> Indices:
    """Where a new cube of a level begins among sorted codes."""
    cubes = codes >> np.uint64(3 * level)
    return np.flatnonzero(np.concatenate([[True], cubes[1:] != cubes[:-1]]))


def _slope(swept: Swept, middles: Array, radii: Array) -> Array:
    """By how much the difference of two poses' distances may change, at most, per mm that a point moves.

    Each distance changes by up to 1, so the difference by up to 2. Seen from a place D away from the middle of a ball
    of radius R that holds the solid in all poses, the nearest places all lie within asin(R/D) of the direction to
    its middle, so that the two slopes differ by no more than 2 sin(asin(R/D)) = 2 R/D.
    """
    centre, radius = swept.ball
    least = np.maximum(length(middles - centre) - radii, radius)
    return np.asarray(2.0 * radius / least)


def _tight_band(apart: Array, radius: float, least: float) -> Array:
    """How much farther than the best pose at a cube's middle a pose's hull may be and still be nearest somewhere.

    apart: how much the slopes of each hull and of the best pose's distance differ at the middle
    radius: of the cube about its middle, mm
    least: the best pose's distance at the middle, mm

    With v the way from the middle, |v| ≤ r, and q the best pose's place nearest to the middle, that pose is no farther
    than |p − q| ≤ d + n·v + v·v/(2 d). A convex hull lies nowhere under its touching plane, and its solid is no nearer
    than the hull: d' + n'·v. The difference is at most |n − n'| r + r²/(2 d), and 2 r without any of this.
    """
    bend = radius * radius / (2.0 * least) if least > 0 else np.inf
    return np.minimum(apart * radius + bend, 2.0 * radius)


def _sorted_into_cubes(points: Array, swept: Swept) -> tuple[Indices, NDArray[np.uint64]]:
    """Order in which points of one cube, of every size, follow each other; and their codes in that order.

    A code interleaves the bits of the three cube numbers (Morton order), so that it tells a cube of twice the edge
    when its last three bits are dropped.
    """
    half = 1 << (LEVELS - 1)
    numbers = np.floor((points - swept.ball[0]) / FINEST)
    numbers = np.clip(numbers, -half, half - 1) + half
    code = np.zeros(len(points), np.uint64)
    for axis in range(3):
        code |= _spread(numbers[:, axis].astype(np.uint64)) << np.uint64(axis)
    order = np.argsort(code, kind="stable")
    return order, code[order]


def _spread(x: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """21 bits with two empty ones between each and the next."""
    for shift, mask in (
        (32, 0x1F00000000FFFF),
        (16, 0x1F0000FF0000FF),
        (8, 0x100F00F00F00F00F),
        (4, 0x10C30C30C30C30C3),
        (2, 0x1249249249249249),
    ):
        x = (x | (x << np.uint64(shift))) & np.uint64(mask)
    return x
