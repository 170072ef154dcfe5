"""Solids in many poses, and how far points are from each of them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.body.revolved import Revolved
from solver.vectors import Array, dot, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Indices = NDArray[np.intp]
else:
    Indices = np.ndarray


class Swept(ABC):
    """A solid in n poses. Distances change by no more than the point moves, which all culling rests on."""

    @property
    @abstractmethod
    def count(self) -> int:
        """Number of poses."""

    @property
    @abstractmethod
    def ball(self) -> tuple[Array, float]:
        """Centre and radius in mm of a ball that holds the solid in every pose."""

    @abstractmethod
    def distances(self, points: Array, poses: Indices | None = None) -> Array:
        """Signed distances (k, m) in mm of points (k, 3) from the solid in the poses of these numbers, or all."""

    @abstractmethod
    def support(self, point: Array, poses: Indices, best: int) -> tuple[Array, Array]:
        """Of the convex hull of each pose of these numbers: signed distance (m,) in mm from a point (3,), and by how
        much its slope (a vector) differs from that of ``best``'s distance, a number among ``poses``."""


@dataclass(frozen=True, eq=False)
class SweptRevolved(Swept):
    """A solid of revolution with wheel centres (n, 3) in mm and unit axes (n, 3)."""

    solid: Revolved
    centres: Array
    axes: Array

    @property
    def count(self) -> int:
        return len(self.centres)

    @cached_property
    def ball(self) -> tuple[Array, float]:
        middle = (self.centres.min(axis=0) + self.centres.max(axis=0)) / 2
        return middle, float(length(self.centres - middle).max()) + self.solid.ball

    @cached_property
    def _rows(self) -> tuple[Array, Array, Array, Array]:
        """Centres about the ball's, axes, and two products of them, for the matrix form of the distance."""
        centres = self.centres - self.ball[0]
        return centres, self.axes, dot(centres, self.axes), dot(centres, centres)

    def distances(self, points: Array, poses: Indices | None = None) -> Array:
        """As `Swept.distances`: with a the axis, c the centre, along = p·a − c·a and |p − c|² = p·p − 2 p·c + c·c."""
        centres, axes, offset, square = self._rows
        if poses is not None:
            centres, axes, offset, square = centres[poses], axes[poses], offset[poses], square[poses]
        local = points - self.ball[0]
        along = local @ axes.T
        along -= offset
        radial = local @ (-2.0 * centres.T)
        radial += square
        radial += dot(local, local)[:, None]
        radial -= along * along
        np.maximum(radial, 0.0, out=radial)
        np.sqrt(radial, out=radial)
        return self.solid.section_distance(along, radial)

    def support(self, point: Array, poses: Indices, best: int) -> tuple[Array, Array]:
        """As `Swept.support`: the slope is the sum of those with along and radial in their directions."""
        axes = self.axes[poses]
        offset = point - self.centres[poses]
        along = dot(offset, axes)
        radial = np.sqrt(np.maximum(dot(offset, offset) - along**2, 0.0))
        distance, by_along, by_radial = self.solid.hull(along, radial)
        outward = (offset - along[:, None] * axes) / np.maximum(radial, 1e-9)[:, None]
        slope = by_along[:, None] * axes + by_radial[:, None] * outward
        return distance, length(slope - slope[best])


@dataclass(frozen=True, eq=False)
class SweptBar(Swept):
    """A round bar with round ends: ends (n, 3) in each pose and radius, mm."""

    starts: Array
    ends: Array
    radius: float

    @property
    def count(self) -> int:
        return len(self.starts)

    @cached_property
    def ball(self) -> tuple[Array, float]:
        both = np.concatenate([self.starts, self.ends])
        middle = (both.min(axis=0) + both.max(axis=0)) / 2
        return middle, float(length(both - middle).max()) + self.radius

    def distances(self, points: Array, poses: Indices | None = None) -> Array:
        """As `Swept.distances`: the distance to the nearest place of the segment, less the radius."""
        starts, ends = self.starts, self.ends
        if poses is not None:
            starts, ends = starts[poses], ends[poses]
        middle = self.ball[0]
        local, starts, along = points - middle, starts - middle, ends - starts
        square = dot(along, along)
        share = local @ along.T
        share -= dot(starts, along)
        # A bar without length is a ball: its share is nothing.
        share /= np.where(square > 0, square, np.inf)
        np.clip(share, 0.0, 1.0, out=share)
        # |p − s − t u|² = |p − s|² − 2 t (p − s)·u + t² u·u
        toward = local @ along.T
        toward -= dot(starts, along)
        distance = local @ (-2.0 * starts.T)
        distance += dot(starts, starts)
        distance += dot(local, local)[:, None]
        distance -= 2.0 * share * toward
        distance += share * share * square
        np.maximum(distance, 0.0, out=distance)
        np.sqrt(distance, out=distance)
        distance -= self.radius
        return distance

    def support(self, point: Array, poses: Indices, best: int) -> tuple[Array, Array]:
        """As `Swept.support`: a bar is convex itself."""
        starts, along = self.starts[poses], self.ends[poses] - self.starts[poses]
        square = dot(along, along)
        share = np.clip(dot(point - starts, along) / np.where(square > 0, square, np.inf), 0.0, 1.0)
        offset = point - starts - share[:, None] * along
        distance = length(offset)
        slope = offset / np.maximum(distance, 1e-9)[:, None]
        return distance - self.radius, length(slope - slope[best])
