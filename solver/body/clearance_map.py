"""The clearance map: how near the swept tyre comes to each point of the body, and in which pose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.band import Band
from solver.body.nearest import nearest
from solver.body.placement import Placement
from solver.body.refine import refined
from solver.body.surface import Surface
from solver.body.sweep import Cause, WheelSweep
from solver.body.swept import SweptRevolved
from solver.car import Side
from solver.vectors import Array, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

EDGE = 5.0
"""Longest edge of a mesh where the tyre comes near, mm."""
SIDES: tuple[Side, Side] = ("left", "right")
BAND_REACH = 100.0
"""mm beyond what is of interest up to which the uncertainty is worked out; farther out it decides nothing."""


@dataclass(frozen=True, eq=False)
class Looked:
    """What was found at some points.

    distance: to the nearest tyre over the sweep, (k,), mm, negative inside of it
    clearance: the same at the bad end of the band, or the distance itself where no band is asked for
    wheel: 0 left, 1 right, the tyre that comes nearest, (k,)
    pose: number of the pose in that wheel's sweep, (k,); -1 where all poses are alike, as on the knuckle
    """

    distance: Array
    clearance: Array
    wheel: NDArray[np.int8]
    pose: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Field:
    """Clearances of any points that move with one body: from both wheels' tyres, or from that of its own side.

    placement: of the scan that the points are from, for its share of the uncertainty
    interest: mm, up to which clearances decide anything
    """

    surface: Surface
    sweeps: Mapping[Side, WheelSweep]
    interest: float
    band: Band | None = None
    placement: Placement | None = None

    @property
    def sides(self) -> tuple[Side, ...]:
        """Wheels that count: what moves with an arm or a knuckle is near its own alone."""
        own = self.surface.side
        return SIDES if own is None or self.surface.fixed_to == "body" else (own,)

    def tyre(self, side: Side) -> SweptRevolved:
        """That wheel's swept tyre as this body sees it."""
        return self.sweeps[side].tyre(self.surface.fixed_to)

    def look(self, points: Array) -> Looked:
        """Distances, clearances and their causes.

        A swept tyre whose ball is farther from a point than another tyre is not asked about that point.
        """
        distance = np.full(len(points), np.inf)
        wheel, pose = np.zeros(len(points), np.int8), np.full(len(points), -1)
        tyres = {side: self.tyre(side) for side in self.sides}
        bounds = {side: length(points - tyre.ball[0]) - tyre.ball[1] for side, tyre in tyres.items()}
        for side in sorted(tyres, key=lambda one: float(bounds[one].sum())):
            asked = np.flatnonzero(bounds[side] < distance)
            found = nearest(points[asked], tyres[side])
            better = found.distance < distance[asked]
            mine = asked[better]
            distance[mine], pose[mine] = found.distance[better], found.pose[better]
            wheel[mine] = SIDES.index(side)
        clearance = self._at_bad_end(points, distance, wheel, pose)
        if self.surface.fixed_to == "knuckle":
            pose = np.full(len(points), -1)
        return Looked(distance, clearance, wheel, pose)

    def clearance(self, points: Array) -> Array:
        """Clearances alone."""
        return self.look(points).clearance

    def _at_bad_end(
        self, points: Array, distance: Array, wheel: NDArray[np.int8], pose: NDArray[np.int64]
    ) -> Array:
        if self.band is None or self.band.factor == 0.0:
            return distance
        clearance = distance.copy()
        for index, side in enumerate(SIDES):
            near = np.flatnonzero((wheel == index) & (distance < self.interest + BAND_REACH))
            if len(near):
                spread = self.band.spread(
                    points[near], side, pose[near], self.surface.fixed_to, self.placement
                )
                clearance[near] -= self.band.factor * spread
        return clearance


@dataclass(frozen=True, eq=False)
class ClearanceMap:
    """One body against the swept tyres.

    surface: the body, its mesh refined where the tyre comes near
    looked: what was found at its points, in their order
    """

    surface: Surface
    field: Field
    looked: Looked

    @property
    def sweeps(self) -> Mapping[Side, WheelSweep]:
        """Of both wheels."""
        return self.field.sweeps

    @property
    def clearance(self) -> Array:
        """Of each point, (n,), mm."""
        return self.looked.clearance

    @property
    def distance(self) -> Array:
        """Of each point, without the band, (n,), mm."""
        return self.looked.distance

    def cause(self, point: int) -> Cause | None:
        """The pose that comes nearest to a point; None where all are alike."""
        number = int(self.looked.pose[point])
        side = SIDES[int(self.looked.wheel[point])]
        return None if number < 0 else self.sweeps[side].cause(number)


def clearance_map(
    surface: Surface,
    sweeps: Mapping[Side, WheelSweep],
    interest: float,
    *,
    edge: float = EDGE,
    band: Band | None = None,
    placement: Placement | None = None,
) -> ClearanceMap:
    """Clearances of all points; a mesh is refined wherever they may be under ``interest`` mm."""
    field = Field(surface, sweeps, interest, band, placement)
    heard: list[Looked] = []

    def value(points: Array) -> Array:
        heard.append(field.look(points))
        return heard[-1].clearance

    if surface.is_mesh:
        surface, _ = refined(surface, value, interest, edge)
    else:
        value(surface.points)
    looked = Looked(
        *(
            np.concatenate([getattr(one, name) for one in heard])
            for name in ("distance", "clearance", "wheel", "pose")
        )
    )
    return ClearanceMap(surface, field, looked)
