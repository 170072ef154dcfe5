"""Points and triangles that a scan has twice: repeated corners, repeated faces, a second shell on the first.

Doubles don't change a distance. They double the cut line, and make a mesh fall apart at every edge.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.body.clusters import NEIGHBOURS, joined
from solver.body.surface import Surface, areas, edges_of
from solver.vectors import Array, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAME = 1e-3
"""mm; corners nearer than this were one before they were rounded to a file's digits."""
SHELL_GAP = 3.0
"""mm; a shell all of which lies this near to a larger one is taken for its double."""
SHELL_SHARE = 0.98
"""Share of a shell's points that must lie so near."""
COVERING_SHARE = 0.02
"""Of the largest shell's area, that a shell must have for others to be taken for its double."""


@dataclass(frozen=True)
class Doubles:
    """What was found twice: points, triangles, triangles without area, and shells with their triangles."""

    points: int = 0
    triangles: int = 0
    empty: int = 0


def without_doubles(surface: Surface) -> tuple[Surface, Doubles]:
    """The same body with each point and each triangle once, whichever way the triangle faces; none without area."""
    unique, number = _merged(surface.points)
    points = surface.points[unique]
    if not surface.is_mesh:
        return replace(surface, points=points), Doubles(len(surface.points) - len(points))
    triangles = number[surface.triangles]
    apart = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    triangles = triangles[apart]
    triangles = triangles[areas(points, triangles) > 0.0]
    empty = len(surface.triangles) - len(triangles)
    once = _first_of_each(np.sort(triangles, axis=1))
    found = Doubles(len(surface.points) - len(points), len(triangles) - len(once), empty)
    return replace(surface, points=points, triangles=triangles[once]), found


def _merged(points: Array) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First point of each place, in order, and the place's number for each point."""
    cells = np.floor(points / SAME).astype(np.int64)
    # Three 64-bit numbers mixed into one; like codes of unlike cells are told apart below.
    codes = cells[:, 0] * 73856093 ^ cells[:, 1] * 19349663 ^ cells[:, 2] * 83492791
    codes ^= (cells[:, 0] << 40) ^ (cells[:, 1] << 20)
    _, first, number = np.unique(codes, return_index=True, return_inverse=True)
    number = number.reshape(-1)
    if not np.array_equal(cells[first][number], cells):
        _, first, number = np.unique(cells, axis=0, return_index=True, return_inverse=True)
        number = number.reshape(-1)
    order = np.argsort(first, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return first[order].astype(np.int64), rank[number]


def _first_of_each(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Place of the first of equal rows, in order. Rows hold three numbers below two thousand million."""
    order = np.lexsort(rows.T)
    ordered = rows[order]
    new = (
        np.concatenate([[True], (ordered[1:] != ordered[:-1]).any(axis=1)])
        if len(rows)
        else np.empty(0, bool)
    )
    group = np.cumsum(new) - 1
    first = np.full(int(new.sum()), len(rows))
    np.minimum.at(first, group, order)
    return np.sort(first)


def shells_of(surface: Surface) -> NDArray[np.int64]:
    """Number of the shell that each triangle belongs to: triangles that share a corner are of one."""
    pairs, _, _ = edges_of(surface.triangles)
    return joined(len(surface.points), pairs)[surface.triangles[:, 0]]


def without_second_shells(surface: Surface) -> tuple[Surface, int]:
    """The mesh without shells that lie on a larger one within 3 mm, and how many those were."""
    shell = shells_of(surface)
    count = int(shell.max(initial=-1)) + 1
    if count < 2:
        return surface, 0
    size = np.bincount(shell, areas(surface.points, surface.triangles), count)
    by_shell = np.split(np.argsort(shell, kind="stable"), np.cumsum(np.bincount(shell, minlength=count))[:-1])
    kept = np.zeros(count, np.bool_)
    covered = _Cells(SHELL_GAP)
    second = 0
    for one in np.argsort(-size, kind="stable").tolist():
        triangles = surface.triangles[by_shell[one]]
        if kept.any() and covered.share(surface.points[np.unique(triangles)]) >= SHELL_SHARE:
            second += 1
            continue
        kept[one] = True
        if size[one] >= COVERING_SHARE * size.max():
            covered.add(_sampled(surface.points, triangles))
    return surface.with_triangles(surface.triangles[kept[shell]]), second


class _Cells:
    """Cubes that a surface passes through."""

    def __init__(self, pitch: float) -> None:
        self.pitch = pitch
        self.codes = np.empty(0, np.int64)

    def _codes(self, points: Array) -> NDArray[np.int64]:
        number = np.floor(points / self.pitch).astype(np.int64) + (1 << 19)
        return np.asarray((number[:, 0] << 42) | (number[:, 1] << 21) | number[:, 2])

    def add(self, points: Array) -> None:
        codes = np.unique(self._codes(points))
        offsets = [0, *((i << 42) + (j << 21) + k for i, j, k in NEIGHBOURS)]
        around = np.concatenate([codes + sign * offset for offset in offsets for sign in (1, -1)])
        self.codes = np.union1d(self.codes, around)

    def share(self, points: Array) -> float:
        """Share of the points that lie in one of the cubes or beside one."""
        return float(np.isin(self._codes(points), self.codes).mean())


def _sampled(points: Array, triangles: NDArray[np.int64]) -> Array:
    """Places all over triangles, none of them farther than 3 mm from the next."""
    a, b, c = (points[triangles[:, i]] for i in range(3))
    longest = np.maximum(np.maximum(length(b - a), length(c - b)), length(a - c))
    steps = np.minimum(np.ceil(longest / SHELL_GAP), 400).astype(np.int64)
    found = [a, b, c]
    for step in np.unique(steps[steps > 1]).tolist():
        mine = np.flatnonzero(steps == step)
        share = np.array([(i / step, j / step) for i in range(step + 1) for j in range(step + 1 - i)])
        # A few huge triangles make many places: some at a time.
        for begin in range(0, len(mine), max(1, 200_000 // len(share))):
            some = mine[begin : begin + max(1, 200_000 // len(share))]
            u, v = share[:, 0, None], share[:, 1, None]
            places = (
                a[some, None] + u * (b[some] - a[some])[:, None] + v * (c[some] - a[some])[:, None]
            ).reshape(-1, 3)
            # One place a cube is enough.
            cubes = np.floor(places / SHELL_GAP).astype(np.int64)
            found.append(places[np.unique(cubes @ [1 << 42, 1 << 21, 1], return_index=True)[1]])
    return np.concatenate(found)
