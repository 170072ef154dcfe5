"""A piece of the body as points, and triangles between them where it has any."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.car import FixedTo, Side
from solver.vectors import Array, cross, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Triangles = NDArray[np.int64]
    Edges = NDArray[np.int64]
else:
    Triangles = Edges = np.ndarray

NO_TRIANGLES: Triangles = np.empty((0, 3), np.int64)


@dataclass(frozen=True, eq=False)
class Surface:
    """One body; mm and car axes, as measured.

    name: as the builder calls it
    points: (n, 3), all finite; triangles: (m, 3) numbers of points, none for a point cloud
    fixed_to: what it moves with
    side: the corner whose arm or knuckle it moves with, or near which it lies; None for a body about the whole car
    """

    name: str
    points: Array
    triangles: Triangles
    fixed_to: FixedTo = "body"
    side: Side | None = None

    @property
    def is_mesh(self) -> bool:
        """Whether it has triangles."""
        return len(self.triangles) > 0

    def only(self, kept: NDArray[np.bool_]) -> Surface:
        """With the points for which ``kept`` is true, and the triangles that have all of theirs."""
        if kept.all():
            return self
        number = np.cumsum(kept) - 1
        whole = kept[self.triangles].all(axis=1)
        return replace(self, points=self.points[kept], triangles=number[self.triangles[whole]])

    def with_triangles(self, triangles: Triangles) -> Surface:
        """With these triangles alone, and the points that they use."""
        used = np.zeros(len(self.points), np.bool_)
        used[triangles] = True
        number = np.cumsum(used) - 1
        return replace(self, points=self.points[used], triangles=number[triangles])

    def mirrored(self) -> Surface:
        """The same on the other side of the car; triangles keep their outside."""
        side: Side | None = {"left": "right", "right": "left"}.get(self.side or "")  # type: ignore[assignment]
        return replace(
            self, points=self.points * [1.0, -1.0, 1.0], triangles=self.triangles[:, ::-1], side=side
        )


def areas(points: Array, triangles: Triangles) -> Array:
    """Area of each triangle, mm²."""
    a, b, c = (points[triangles[:, i]] for i in range(3))
    return np.asarray(length(cross(b - a, c - a)) / 2)


def edges_of(triangles: Triangles) -> tuple[Edges, Triangles, Edges]:
    """Edges as pairs of points, smaller number first, (e, 2); the edges of each triangle (m, 3); and how many
    triangles each has, (e,). Edge i of a triangle goes from its corner i to the next."""
    if not len(triangles):
        return np.empty((0, 2), np.int64), NO_TRIANGLES, np.empty(0, np.int64)
    ends = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=-1).reshape(-1, 2)
    ends = np.sort(ends, axis=1)
    codes = (ends[:, 0] << 32) | ends[:, 1]
    unique, number, count = np.unique(codes, return_inverse=True, return_counts=True)
    pairs = np.stack([unique >> 32, unique & 0xFFFFFFFF], axis=1)
    return pairs, number.reshape(-1, 3).astype(np.int64), count.astype(np.int64)


def box_surface(
    name: str, corner: Array, ends: Array, fixed_to: FixedTo = "body", side: Side | None = None
) -> Surface:
    """A box from one corner (3,) and the ends (3, 3) of the three edges that leave it: twelve triangles."""
    along = ends - corner
    steps = np.array([[i, j, k] for i in (0, 1) for j in (0, 1) for k in (0, 1)], float)
    points = corner + steps @ along
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))], np.int64)
    if np.linalg.det(along) < 0:
        triangles = triangles[:, ::-1]
    return Surface(name, points, triangles, fixed_to, side)


def panel_surface(name: str, outline: Array, fixed_to: FixedTo = "body", side: Side | None = None) -> Surface:
    """A nearly flat panel from points round its edge, (k, 3), in order: a fan about its middle.

    The middle is that of the outline, so an outline that is no star about it would be covered twice in places; points
    measured round a panel with a tape make none.
    """
    middle = outline.mean(axis=0)
    count = len(outline)
    here = np.arange(count)
    triangles = np.stack([here, np.roll(here, -1), np.full(count, count)], axis=1)
    return Surface(name, np.vstack([outline, middle]), triangles.astype(np.int64), fixed_to, side)
