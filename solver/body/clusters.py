"""Points that hang together: those in cubes that touch each other, or that a triangle's edge connects."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.body.surface import NO_TRIANGLES, Triangles
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Labels = NDArray[np.int64]
else:
    Labels = np.ndarray

NEIGHBOURS = [(i, j, k) for i in (-1, 0, 1) for j in (-1, 0, 1) for k in (-1, 0, 1) if (i, j, k) > (0, 0, 0)]
"""Of a cube's 26 neighbours those 13 that are not the other side of another."""
MOST_CUBES = 1 << 20
"""Along one axis: beyond, cubes share a number, which can only join what lies a thousand kilometres out."""


def clusters(points: Array, pitch: float, triangles: Triangles = NO_TRIANGLES) -> Labels:
    """Number of the cluster that each of the points (n, 3) belongs to, from 0.

    pitch: edge of the cubes, mm: what is farther apart than twice the cube's diagonal is never joined by nearness,
        what is nearer than the edge always is
    """
    if not len(points):
        return np.empty(0, np.int64)
    number = np.floor((points - points.min(axis=0)) / pitch)
    number = np.clip(number, 0, MOST_CUBES - 3).astype(np.int64) + 1
    code = (number[:, 0] << 42) | (number[:, 1] << 21) | number[:, 2]
    cubes, cube_of = np.unique(code, return_inverse=True)
    links = [_touching(cubes)]
    if len(triangles):
        corners = cube_of[triangles]
        links += [corners[:, [0, 1]], corners[:, [1, 2]]]
    pairs = np.concatenate(links)
    label = joined(len(cubes), pairs[pairs[:, 0] != pairs[:, 1]])
    return label[cube_of]


def joined(count: int, pairs: Labels) -> Labels:
    """Number of the connected piece, from 0, of each of ``count`` things, of which pairs (m, 2) are connected."""
    label = np.arange(count)
    a, b = pairs[:, 0], pairs[:, 1]
    while len(a):
        # Each takes the least label of its neighbours, then that label's own, until nothing changes.
        before = label.copy()
        np.minimum.at(label, before[a], before[b])
        np.minimum.at(label, before[b], before[a])
        while not np.array_equal(label, label[label]):
            label = label[label]
        if np.array_equal(label, before):
            break
        apart = label[a] != label[b]
        a, b = a[apart], b[apart]
    return np.unique(label, return_inverse=True)[1].reshape(-1)


def _touching(cubes: Labels) -> Labels:
    """Pairs of cubes, by their place among the sorted codes, that share a corner at least."""
    found = []
    for i, j, k in NEIGHBOURS:
        wanted = cubes + ((i << 42) + (j << 21) + k)
        place = np.minimum(np.searchsorted(cubes, wanted), len(cubes) - 1)
        here = np.flatnonzero(cubes[place] == wanted)
        found.append(np.stack([here, place[here]], axis=1))
    return np.concatenate(found)
