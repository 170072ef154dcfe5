"""A mesh made coarse: its points shared out among some of them, each share made one. Smooths a scanner's noise too."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from solver.body.clusters import joined
from solver.body.surface import Surface, areas, edges_of
from solver.vectors import Array, cross, dot, length

if TYPE_CHECKING:
    from numpy.typing import NDArray


AT_ONCE = 400_000
"""Pairs of point and triangle that are looked at together."""


def coarsened(surface: Surface, most: int, finest: float) -> Surface:
    """With at most about ``most`` points, some ``finest`` mm apart or more.

    Every point belongs to the seed that is nearest along the mesh's edges; each seed's points become their mean, and
    a triangle whose corners belong to three seeds becomes a triangle between those. A share is connected, so what
    comes out hangs together as the mesh does.
    """
    area = float(areas(surface.points, surface.triangles).sum())
    # Seeds are 0.8 of the pitch apart at least, which leaves each about the pitch's square.
    pitch = max(finest, float(np.sqrt(area / most)))
    owner = _nearest_seed(surface, _seeds(surface.points, pitch))
    count = np.bincount(owner)
    points = np.stack([np.bincount(owner, surface.points[:, i]) / count for i in range(3)], axis=1)
    triangles = owner[surface.triangles]
    triangles = triangles[(triangles != np.roll(triangles, 1, axis=1)).all(axis=1)]
    _, first = np.unique(np.sort(triangles, axis=1), axis=0, return_index=True)
    triangles = triangles[np.sort(first)]
    triangles = triangles[areas(points, triangles) > 1e-9]
    return replace(surface, points=points, triangles=triangles).with_triangles(triangles)


def _seeds(points: Array, pitch: float) -> NDArray[np.int64]:
    """Numbers of points that lie 0.8 of the pitch apart at least, such that none is far from all of them.

    Points are tried cube by cube; those taken so far are looked up by cubes of that distance.
    """
    low, least = points.min(axis=0), 0.8 * pitch
    cubes = np.floor((points - low) / (0.5 * pitch)).astype(np.int64)
    _, tried = np.unique(cubes @ [1 << 42, 1 << 21, 1], return_index=True)
    taken: dict[tuple[int, int, int], list[list[float]]] = {}
    seeds = []
    for number, place in zip(tried.tolist(), (points[tried] - low).tolist(), strict=True):
        x, y, z = place
        i, j, k = int(x / least), int(y / least), int(z / least)
        near = (
            (x - a) ** 2 + (y - b) ** 2 + (z - c) ** 2 < least**2
            for u in (i - 1, i, i + 1)
            for v in (j - 1, j, j + 1)
            for w in (k - 1, k, k + 1)
            for a, b, c in taken.get((u, v, w), ())
        )
        if not any(near):
            seeds.append(number)
            taken.setdefault((i, j, k), []).append(place)
    return np.array(seeds)


def _nearest_seed(surface: Surface, seeds: NDArray[np.int64]) -> NDArray[np.int64]:
    """Which of the seeds is nearest to each point along edges; pieces without a seed belong to seeds of their own."""
    pairs, _, _ = edges_of(surface.triangles)
    span = length(surface.points[pairs[:, 1]] - surface.points[pairs[:, 0]])
    start, end = np.concatenate([pairs, pairs[:, ::-1]]).T
    span = np.concatenate([span, span])
    far, owner = np.full(len(surface.points), np.inf), np.full(len(surface.points), -1, np.int64)
    far[seeds], owner[seeds] = 0.0, np.arange(len(seeds))
    while True:
        found = far[start] + span
        nearer = np.flatnonzero(found < far[end])
        if not len(nearer):
            break
        np.minimum.at(far, end[nearer], found[nearer])
        winner = nearer[found[nearer] == far[end[nearer]]]
        owner[end[winner]] = owner[start[winner]]
    alone = owner < 0
    owner[alone] = len(seeds) + joined(len(surface.points), pairs)[alone]
    return np.unique(owner, return_inverse=True)[1].reshape(-1)


def nearest_on(surface: Surface, points: Array) -> tuple[NDArray[np.int64], Array]:
    """For each of the points (k, 3) the triangle of a mesh that is nearest, (k,), and how far it is, mm.

    The nearest place lies inside, where the shares of the plane's foot are all positive, else on one of three edges.
    """
    corners = surface.points[surface.triangles]
    middles = corners.mean(axis=1)
    reach = length(corners - middles[:, None]).max(axis=1)
    which, far = [np.empty(0, np.int64)], [np.empty(0)]
    step = max(1, AT_ONCE // max(len(middles), 1))
    for begin in range(0, len(points), step):
        some = points[begin : begin + step]
        to_middle = length(some[:, None] - middles)
        # A triangle is no farther than its middle, and no nearer than that by more than its corners are from it.
        point, triangle = np.nonzero(to_middle - reach <= to_middle.min(axis=1)[:, None])
        a, b, c = np.moveaxis(corners[triangle], 1, 0)
        square = _square_distances(some[point], a, b, c)
        order = np.lexsort((square, point))
        first = order[np.searchsorted(point[order], np.arange(len(some)))]
        which.append(triangle[first])
        far.append(np.sqrt(square[first]))
    return np.concatenate(which), np.concatenate(far)


def shares_in(surface: Surface, triangle: NDArray[np.int64], points: Array) -> Array:
    """Shares (k, 3) of the corners of a triangle each, by number, at the foot of points (k, 3) on its plane."""
    a, b, c = (surface.points[surface.triangles[triangle, i]] for i in range(3))
    return _shares(points, a, b, c)


def _shares(p: Array, a: Array, b: Array, c: Array) -> Array:
    u, v, w = b - a, c - a, p - a
    normal = cross(u, v)
    square = dot(normal, normal)
    share_b, share_c = dot(cross(w, v), normal) / square, dot(cross(u, w), normal) / square
    return np.stack([1 - share_b - share_c, share_b, share_c], axis=-1)


def _square_distances(p: Array, a: Array, b: Array, c: Array) -> Array:
    """Squares of the distances of points from triangles, broadcast, mm²."""
    share = _shares(p, a, b, c)
    offset = share[..., :1] * a + share[..., 1:2] * b + share[..., 2:] * c - p
    least = np.where((share >= 0).all(axis=-1), dot(offset, offset), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        along = end - start
        t = np.clip(dot(p - start, along) / dot(along, along), 0.0, 1.0)
        offset = p - start - t[..., None] * along
        least = np.minimum(least, dot(offset, offset))
    return least
