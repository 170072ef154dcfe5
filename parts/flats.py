"""The flat sides of a mesh, and where in one of them a rectangle has room."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Segments = NDArray[np.float64]
"""(n, 2, 2): segment, end, x y on a sheet, mm."""

PARALLEL = 1e-4
"""rad between two triangles that may lie in one plane."""

LEVEL = 2e-3
"""mm by which a corner may stand off its plane: what single precision leaves of it."""

MOST = 24
"""Flat sides that are looked for, the largest first."""

GRID = 15
"""Places to try along either direction of a side."""


@dataclass(frozen=True, eq=False)
class Flat:
    """A flat side: its triangles (n, 3, 3), area in mm², unit normal, and middle."""

    triangles: Array
    area: float
    normal: Array
    middle: Array

    def frames(self) -> list[tuple[Array, Array]]:
        """Directions of reading, x and y: along its longest straight edge, and across."""
        ends = edge_of(self.triangles)
        ways = ends[:, 1] - ends[:, 0]
        lengths = np.linalg.norm(ways, axis=1)
        # The sides of one straight edge are summed up, whatever points the mesher put on it.
        units = np.round(ways / lengths[:, None], 4) + 0.0
        kinds, which = np.unique(units, axis=0, return_inverse=True)
        totals = np.round(np.bincount(which.ravel(), weights=lengths), 2)
        along = kinds[int(np.argmax(totals))]
        along = along - (along @ self.normal) * self.normal
        along = along / np.linalg.norm(along)
        # Whichever way the edge is walked, the words read from the positive side.
        along = along * math.copysign(1.0, along[0] + along[1] * 1e-3 + along[2] * 1e-6)
        across = np.cross(self.normal, along)
        return [(along, across), (across, -along)]

    def islands(self) -> list[Flat]:
        """The same side by the pieces that it falls into, the largest first."""
        _, number = np.unique(np.round(self.triangles.reshape(-1, 3), 6), axis=0, return_inverse=True)
        sides = number.reshape(-1, 3)
        label = np.arange(sides.max() + 1)
        while True:
            # Each corner takes the smallest label of its triangles, then that label's own, until nothing changes.
            nearer = label.copy()
            least = label[sides].min(axis=1)
            for corner in range(3):
                np.minimum.at(nearer, sides[:, corner], least)
            nearer = nearer[nearer]
            if np.array_equal(nearer, label):
                break
            label = nearer
        mine = label[sides[:, 0]]
        found = [_flat(self.triangles[mine == each], self.normal) for each in np.unique(mine)]
        return sorted(found, key=lambda flat: (-round(flat.area, 2), *np.round(flat.middle, 3)))

    def boundary(self, origin: Array, x: Array, y: Array) -> Segments:
        """Its edge in a frame."""
        found: Segments = (edge_of(self.triangles) - origin) @ np.stack([x, y]).T
        return found


def flats(corners: Array, least: float = 0.0, most: int = MOST) -> Iterator[Flat]:
    """Flat sides of a mesh (n, 3, 3), about the largest first.

    least: mm²; smaller ones are left out; most: how many are looked at
    """
    doubled = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(doubled, axis=1) / 2
    normals = doubled / np.maximum(2 * areas, 1e-12)[:, None]
    offsets = np.einsum("ij,ij->i", normals, corners.mean(axis=1))
    left = areas > 1e-9
    # By planes, roughly: else the many strips of a round side would come before a flat one in small triangles.
    steps = np.rint(np.column_stack([normals * 1e3, np.clip(offsets * 10, -(2**18), 2**18)])).astype(np.int64)
    # One whole number a plane sorts far faster than a row of four.
    planes = steps @ np.array((1 << 44, 1 << 32, 1 << 20, 1), np.int64)
    _, which = np.unique(planes, return_inverse=True)
    weights = np.round(np.bincount(which, weights=areas)[which], 3)
    order = np.lexsort((-np.round(areas, 3), -weights))
    for _ in range(most):
        remaining = order[left[order]]
        if not len(remaining):
            return
        seed = int(remaining[0])
        normal = normals[seed]
        # Few lie near to parallel; only these are held against the plane.
        near = np.flatnonzero(left & (normals @ normal > 1 - PARALLEL**2))
        near = near[np.abs(corners[near] @ normal - offsets[seed]).max(axis=1) < LEVEL]
        mine = near if seed in near else np.append(near, seed)
        left[mine] = False
        area = float(areas[mine].sum())
        if area > least:
            triangles = corners[mine]
            middle = (triangles.mean(axis=1) * areas[mine, None]).sum(axis=0) / area
            yield Flat(triangles, area, np.round(normal, 9) + 0.0, middle)


def flat_at(corners: Array, point: Array, normal: Array) -> Flat | None:
    """What of a mesh lies in a plane, facing either way along its normal; None when nothing does."""
    mine = (np.abs((corners - point) @ normal) < LEVEL).all(axis=1)
    if not mine.any():
        return None
    return _flat(corners[mine], normal)


def _flat(triangles: Array, normal: Array) -> Flat:
    doubled = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    areas = np.linalg.norm(doubled, axis=1) / 2
    middle = (triangles.mean(axis=1) * areas[:, None]).sum(axis=0) / areas.sum()
    return Flat(triangles, float(areas.sum()), normal, middle)


def edge_of(triangles: Array) -> Array:
    """The directed edges (m, 2, 3) that a set of triangles shares with others, or with nothing."""
    points, number = np.unique(np.round(triangles.reshape(-1, 3), 6), axis=0, return_inverse=True)
    corners = number.reshape(-1, 3)
    start, end = corners.ravel(), np.roll(corners, -1, axis=1).ravel()
    forward, backward = start * len(points) + end, end * len(points) + start
    alone = ~np.isin(forward, backward)
    return np.stack([points[start[alone]], points[end[alone]]], axis=1)


def spots(boundary: Segments, width: float, height: float, *, on_axis: bool = False) -> Array:
    """Middles (m, 2) of rectangles that lie inside a boundary, from a grid and from 0.

    on_axis: only those with x = 0
    """
    low, high = boundary.min(axis=(0, 1)), boundary.max(axis=(0, 1))
    if width > high[0] - low[0] or height > high[1] - low[1]:
        return np.zeros((0, 2))
    half = np.array((width, height)) / 2
    x, y = (np.linspace(low[i] + half[i], high[i] - half[i], GRID) for i in (0, 1))
    if on_axis:
        x = np.zeros(1)
    tried = np.concatenate([np.zeros((1, 2)), np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)])
    tried = tried[_contains(boundary, tried)]
    found: Array = tried[~_touches(boundary, tried, half)]
    return found


def nearest_spot(boundary: Segments, width: float, height: float) -> tuple[float, float] | None:
    """The one nearest to 0; None when there is none."""
    found = spots(boundary, width, height)
    if not len(found):
        return None
    x, y = found[int(np.argmin(np.round(np.hypot(*found.T), 6)))]
    return float(x), float(y)


def _contains(boundary: Segments, spots: Array) -> NDArray[np.bool_]:
    """Whether each point (m, 2) lies inside: a ray to the right meets an odd number of edges."""
    (x0, y0), (x1, y1) = boundary[:, 0].T, boundary[:, 1].T
    x, y = spots[:, :1], spots[:, 1:]
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        right = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    inside: NDArray[np.bool_] = (crosses & right).sum(axis=1) % 2 == 1
    return inside


def _touches(boundary: Segments, spots: Array, half: Array) -> NDArray[np.bool_]:
    """Whether a boundary segment meets the rectangle round each point (m, 2): separating axes of the two."""
    x0, y0, x1, y1 = (boundary.reshape(-1, 4).T[i] - spots[:, i % 2, None] for i in range(4))
    apart = (np.minimum(x0, x1) > half[0]) | (np.maximum(x0, x1) < -half[0])
    apart |= (np.minimum(y0, y1) > half[1]) | (np.maximum(y0, y1) < -half[1])
    across_x, across_y = x1 - x0, y1 - y0
    offset = np.abs(across_x * y0 - across_y * x0)
    apart |= offset > np.abs(across_x) * half[1] + np.abs(across_y) * half[0]
    touches: NDArray[np.bool_] = (~apart).any(axis=1)
    return touches
