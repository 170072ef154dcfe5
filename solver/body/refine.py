"""Long edges of a mesh halved where the tyre comes near, so that no clearance hides between its corners."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from solver.body.surface import Edges, Surface, Triangles, edges_of
from solver.vectors import Array, length

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

MOST_ROUNDS = 16
"""Halvings: from a panel of 100 m to 2 mm."""
MOST_POINTS = 4_000_000


def refined(
    surface: Surface,
    value: Callable[[Array], Array],
    interest: float,
    edge: float,
) -> tuple[Surface, Array]:
    """A mesh whose edges are no longer than ``edge`` mm wherever its value may be under ``interest``, and the values.

    value: of points (k, 3), changing by no more than a point moves, as a clearance does; it is asked once a point

    No place of a triangle is farther from a corner than its longest edge over √3, so a triangle of which all corners
    are over ``interest`` by that much holds no place under it. Neighbours are split along shared edges, so that the
    mesh stays closed where it was.
    """
    values = value(surface.points)
    for _ in range(MOST_ROUNDS):
        pairs, sides, _ = edges_of(surface.triangles)
        span = length(surface.points[pairs[:, 1]] - surface.points[pairs[:, 0]])
        least = values[surface.triangles].min(axis=1, initial=np.inf)
        longest = span[sides].max(axis=1, initial=0.0)
        wanted = (least - longest / 3**0.5 < interest) & (longest > edge)
        marked = np.zeros(len(pairs), np.bool_)
        marked[sides[wanted]] = True
        marked &= span > edge
        if not marked.any() or len(surface.points) + int(marked.sum()) > MOST_POINTS:
            break
        middles = (surface.points[pairs[marked, 0]] + surface.points[pairs[marked, 1]]) / 2
        surface = _split(surface, pairs, sides, marked, middles)
        values = np.concatenate([values, value(middles)])
    return surface, values


def _split(
    surface: Surface, pairs: Edges, sides: Triangles, marked: NDArray[np.bool_], middles: Array
) -> Surface:
    """Each triangle in two, three or four at the middles of its marked edges."""
    number = np.full(len(pairs), -1, np.int64)
    number[marked] = len(surface.points) + np.arange(int(marked.sum()))
    corners, halves = surface.triangles, number[sides]
    count = (halves >= 0).sum(axis=1)
    found = [corners[count == 0]]
    for how_many in (1, 2, 3):
        mine = count == how_many
        # Turned so that marked edges come first; with two of three the unmarked one comes last.
        rank = halves[mine] >= 0
        first = rank.argmax(axis=1) if how_many == 1 else (~rank).argmax(axis=1) + 1
        turn = (
            (first[:, None] + np.arange(3)) % 3
            if how_many < 3
            else np.tile(np.arange(3), (int(mine.sum()), 1))
        )
        a, b, c = np.take_along_axis(corners[mine], turn, axis=1).T
        ab, bc, ca = np.take_along_axis(halves[mine], turn, axis=1).T
        if how_many == 1:
            found += [_rows(a, ab, c), _rows(ab, b, c)]
        elif how_many == 2:
            found += [_rows(ab, b, bc), _rows(a, ab, bc), _rows(a, bc, c)]
        else:
            found += [_rows(a, ab, ca), _rows(ab, b, bc), _rows(ca, bc, c), _rows(ab, bc, ca)]
    return replace(
        surface, points=np.vstack([surface.points, middles]), triangles=np.concatenate(found).astype(np.int64)
    )


def _rows(a: Triangles, b: Triangles, c: Triangles) -> Triangles:
    return np.stack([a, b, c], axis=1)
