"""A mesh unfolded triangle by triangle: which way each faces, and a first layout in the plane."""

from __future__ import annotations

import numpy as np

from solver.body.clusters import joined
from solver.body.surface import Surface, areas, edges_of
from solver.vectors import Array, dot, length


def largest_piece(surface: Surface) -> Surface:
    """Of the pieces whose triangles hang together by edges the one with the largest area."""
    _, sides, _ = edges_of(surface.triangles)
    order = np.argsort(sides.ravel(), kind="stable")
    edge, owner = sides.ravel()[order], order // 3
    beside = edge[1:] == edge[:-1]
    label = joined(len(sides), np.stack([owner[:-1][beside], owner[1:][beside]], axis=1))
    size = np.bincount(label, areas(surface.points, surface.triangles))
    return surface.with_triangles(surface.triangles[label == size.argmax()])


class Unfolding:
    """One piece, walked over edge by edge from its middle outwards.

    facing: +1 or −1 for each triangle, by which all of them face the same way although scans have flipped ones
    steps: triangle, the one it was reached from, and the edge between, in the order of the walk
    """

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.pairs, self.sides, _ = edges_of(surface.triangles)
        self.facing = np.zeros(len(self.sides))
        self.steps: list[tuple[int, int, int]] = []
        self._walk()

    def _walk(self) -> None:
        triangles, sides = self.surface.triangles, self.sides.tolist()
        forward = (triangles < np.roll(triangles, -1, axis=1)).tolist()
        by_edge: dict[int, list[int]] = {}
        for number, row in enumerate(sides):
            for edge in row:
                by_edge.setdefault(edge, []).append(number)
        middles = self.surface.points[triangles].mean(axis=1)
        first = int(length(middles - self.surface.points.mean(axis=0)).argmin())
        self.facing[first] = 1.0
        self.steps.append((first, first, -1))
        for here, _, _ in self.steps:
            for k, edge in enumerate(sides[here]):
                for other in by_edge[edge]:
                    if not self.facing[other]:
                        alike = forward[other][sides[other].index(edge)] == forward[here][k]
                        self.facing[other] = -self.facing[here] if alike else self.facing[here]
                        self.steps.append((other, here, edge))

    def layout(self) -> Array:
        """Points in the plane, (n, 2): each triangle laid beside the one that it was reached from.

        All triangles lie with their facing side up. Without bends in two directions it is the development itself.
        """
        triangles, flat = self.surface.triangles.tolist(), np.full((len(self.surface.points), 2), np.nan)
        for here, _, edge in self.steps:
            corners = triangles[here]
            if edge < 0:
                i, j, new = corners
                flat[i] = 0.0
                flat[j] = (float(length(self.surface.points[j] - self.surface.points[i])), 0.0)
                forward = True
            else:
                i, j = self.pairs[edge].tolist()
                new = next(p for p in corners if p not in (i, j))
                forward = corners[(corners.index(i) + 1) % 3] == j
            if np.isnan(flat[new, 0]):
                side = self.facing[here] if forward else -self.facing[here]
                flat[new] = self._third(flat, i, j, new, side)
        return flat

    def _third(self, flat: Array, i: int, j: int, new: int, side: float) -> Array:
        """Where a triangle's third corner lies, on the left (+1) or right of the way from i to j."""
        points = self.surface.points
        edge, way = points[j] - points[i], points[new] - points[i]
        span = float(length(edge))
        along = float(dot(way, edge)) / span
        aside = float(np.sqrt(max(float(dot(way, way)) - along**2, 0.0)))
        u = flat[j] - flat[i]
        u = u / max(float(np.hypot(u[0], u[1])), 1e-12)
        placed: Array = flat[i] + along * u + side * aside * np.array([-u[1], u[0]])
        return placed
