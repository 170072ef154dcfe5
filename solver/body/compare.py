"""The same body before and after a change: each place that the tyre comes too near to, then and now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.body.answer import BodyResult
from solver.body.between import closest
from solver.body.clearance_map import SIDES, ClearanceMap
from solver.body.clusters import clusters
from solver.body.regions import APART, place_words
from solver.body.sweep import Cause
from solver.car import Side
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST = 40
"""Places of one body that are told."""
AT_ONCE = 1_000_000
"""Distances between points that are worked out in one go."""


@dataclass(frozen=True, eq=False)
class Spot:
    """Where a place is nearest to the tyre; mm and car axes.

    clearance: at the bad end of the band; distance: without it; cause: None where all poses are alike
    """

    point: Array
    clearance: float
    distance: float
    cause: Cause | None


@dataclass(frozen=True, eq=False)
class Spread:
    """The part of a place that is too near after and was not before.

    share: of the place's points that are too near after; low, high: corners of the box round them, mm
    """

    share: float
    low: Array
    high: Array


@dataclass(frozen=True, eq=False)
class PlaceChange:
    """One place of a body before and after.

    body_side: on which the body was measured, None for one about the whole car; side: of the wheel
    spread: None where nothing of it is newly too near
    """

    name: str
    body: str
    body_side: Side | None
    side: Side
    before: Spot
    after: Spot
    spread: Spread | None = None

    def newly(self, gap: float) -> bool:
        """Whether the tyre keeps ``gap`` mm from it before and not after."""
        return self.after.clearance < gap <= self.before.clearance

    def no_longer(self, gap: float) -> bool:
        """Whether the tyre keeps ``gap`` mm from it after and not before."""
        return self.before.clearance < gap <= self.after.clearance


def compare_places(before: BodyResult, after: BodyResult, gap: float) -> list[PlaceChange]:
    """Places nearer than ``gap`` mm before or after, the worst first; without any the nearest point then and now.

    Points that are too near in either state and hang together are one place. In each state it is told by its own worst
    point; a place that is clear in one of them by that of the other state's points which is the nearest.
    """
    found: list[PlaceChange] = []
    maps = (before.map, after.map)
    for index, side in enumerate(SIDES):
        near = [np.flatnonzero((one.looked.wheel == index) & (one.clearance < gap)) for one in maps]
        points = [one.surface.points[chosen] for one, chosen in zip(maps, near, strict=True)]
        label = clusters(np.concatenate(points), APART)
        mine = np.split(label, [len(points[0])])
        for number in range(int(label.max(initial=-1)) + 1):
            members = [chosen[own == number] for chosen, own in zip(near, mine, strict=True)]
            found.append(_place(before, after, members, side, gap))
    if not found:
        found = [_nearest(before, after)]
    return sorted(found, key=lambda place: place.after.clearance)[:MOST]


def _place(
    before: BodyResult, after: BodyResult, members: Sequence[NDArray[np.int64]], side: Side, gap: float
) -> PlaceChange:
    first, second = members
    spots = (
        _own(before.map, first) if len(first) else _borrowed(before.map, after.map, second, side),
        _own(after.map, second) if len(second) else _borrowed(after.map, before.map, first, side),
    )
    place = _named(before.map, after.map, side, *spots)
    return replace(place, spread=_spread(before.map, after.map, second, gap))


def _spread(
    before: ClearanceMap, after: ClearanceMap, members: NDArray[np.int64], gap: float
) -> Spread | None:
    points = after.surface.points[members]
    if not len(points):
        return None
    new = before.field.clearance(_as_here(before, after, points)) >= gap
    if not new.any():
        return None
    return Spread(float(new.mean()), points[new].min(axis=0), points[new].max(axis=0))


def _nearest(before: BodyResult, after: BodyResult) -> PlaceChange:
    number = int(after.map.clearance.argmin())
    side = SIDES[int(after.map.looked.wheel[number])]
    return _named(
        before.map,
        after.map,
        side,
        _own(before.map, np.array([int(before.map.clearance.argmin())])),
        _own(after.map, np.array([number])),
    )


def _named(before: ClearanceMap, after: ClearanceMap, side: Side, old: Spot, new: Spot) -> PlaceChange:
    surface = after.surface
    worse = new if new.clearance <= old.clearance else old
    sweep = (after if worse is new else before).sweeps[side]
    return PlaceChange(
        f"{surface.name}, {side} wheel: {place_words(worse.point, sweep)}",
        surface.name,
        surface.side,
        side,
        old,
        new,
    )


def _own(found: ClearanceMap, members: NDArray[np.int64]) -> Spot:
    """The worst of some of a map's own points."""
    worst = int(members[found.clearance[members].argmin()])
    looked = found.looked
    side = SIDES[int(looked.wheel[worst])]
    allowance = float(found.distance[worst] - found.clearance[worst])
    return _spot(
        found,
        side,
        found.surface.points[worst],
        float(found.distance[worst]),
        int(looked.pose[worst]),
        allowance,
    )


def _borrowed(found: ClearanceMap, other: ClearanceMap, members: NDArray[np.int64], side: Side) -> Spot:
    """The worst, in one state, of points of the other's map."""
    points = _as_here(found, other, other.surface.points[members])
    looked = found.field.look(points)
    worst = int(looked.clearance.argmin())
    wheel = SIDES[int(looked.wheel[worst])]
    allowance = float(looked.distance[worst] - looked.clearance[worst])
    return _spot(
        found, wheel, points[worst], float(looked.distance[worst]), int(looked.pose[worst]), allowance
    )


def _as_here(here: ClearanceMap, there: ClearanceMap, points: Array) -> Array:
    """Points of one state where they are in the other: what is fixed to an arm's outer half moves with its length."""
    ours, theirs = here.field.surface.points, there.field.surface.points
    points = points.copy()
    if np.array_equal(ours, theirs):
        return points
    moved = ours - theirs
    step = max(1, AT_ONCE // len(theirs))
    for begin in range(0, len(points), step):
        some = points[begin : begin + step]
        apart = ((some[:, None] - theirs) ** 2).sum(axis=2)
        points[begin : begin + step] = some + moved[apart.argmin(axis=1)]
    return points


def _spot(
    found: ClearanceMap, side: Side, point: Array, distance: float, number: int, allowance: float
) -> Spot:
    cause = None
    if number >= 0:
        distance, cause = closest(point, found.sweeps[side], number, found.surface.fixed_to)
    return Spot(point, distance - allowance, distance, cause)
