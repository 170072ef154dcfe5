"""Small holes of a scanned surface bridged, so that a cut line does not end at each of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.body.clusters import joined
from solver.body.contour import rims
from solver.body.surface import Surface, edges_of
from solver.vectors import Array, length

LARGEST = 250.0
"""mm round; a larger hole is taken for an opening of the body, such as one for a driveshaft."""


def bridged(surface: Surface) -> tuple[Surface, list[Array]]:
    """The mesh with small holes closed by triangles about their middle, and the middles of those holes.

    The longest edge of each piece is its outside and stays open, however short it is.
    """
    edges = rims(surface)
    around = [_around(surface.points[rim]) for rim in edges]
    piece = joined(len(surface.points), edges_of(surface.triangles)[0])
    outside: dict[int, float] = {}
    for rim, size in zip(edges, around, strict=True):
        one = int(piece[rim[0]])
        outside[one] = max(outside.get(one, 0.0), size)
    points, triangles = [surface.points], [surface.triangles]
    middles: list[Array] = []
    for rim, size in zip(edges, around, strict=True):
        is_hole = size < outside[int(piece[rim[0]])] and size <= LARGEST
        # A rim that touches itself is two holes at least.
        if not is_hole or len(np.unique(rim)) < max(len(rim), 3):
            continue
        middle = surface.points[rim].mean(axis=0)
        number = np.full(len(rim), len(surface.points) + len(middles))
        points.append(middle[None])
        triangles.append(np.stack([rim, np.roll(rim, -1), number], axis=1))
        middles.append(middle)
    mesh = replace(surface, points=np.vstack(points), triangles=np.concatenate(triangles).astype(np.int64))
    return mesh, middles


def _around(points: Array) -> float:
    return float(length(np.roll(points, -1, axis=0) - points).sum())
