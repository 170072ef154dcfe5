"""What a builder should find between tyre and everything near it, with the wheels against their stops.

Gaps are those of the tyre as its size says, which is what a feeler meets. The tyre that the job is reckoned with is
the largest that it may grow to, so a gap found must be the wanted clearance and that growth at least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import numpy as np

from solver.car import Side
from solver.clearance import Obstacle, gap, obstacles
from solver.corner import pose_corner
from solver.front_end import Assembly, FrontEnd
from solver.measures import steer_angle
from solver.sweep import TURNS, rack_sign
from solver.vectors import Array

HEIGHTS = 3
"""Full droop, ride height and full bump, in this order."""
ON_THE_WAY = 25
"""Rack displacements from the middle to a stop at which the least gap is looked for."""
GRID = 401


class PlaceGap(NamedTuple):
    """Gaps of one wheel to one place in one turn; mm and radians.

    expected: at the stop, at full droop, ride height and full bump; NaN where the linkage doesn't reach
    at_least: what they must be, so that the tyre keeps the wanted clearance when it has grown
    least: from the middle to the stop over these heights; steer: of this wheel there, signed; travel: its travel there
    """

    turn: Side
    wheel: Side
    place: str
    expected: tuple[float, float, float]
    at_least: tuple[float, float, float]
    least: float
    steer: float
    travel: float


def racks_at(front_end: FrontEnd, turn: Side, locks: Mapping[float, float] | None) -> tuple[float, ...]:
    """Rack displacement from the centre at the stop of a turn at droop, ride height and bump, mm, positive.

    locks: steer angles of the inner wheel by travel at which a bracket is met, rad; None where the rack's stop does it
    """
    if locks is None:
        return (front_end.rack_stop,) * HEIGHTS
    assembly = front_end.left if turn == "left" else front_end.right
    grid = np.linspace(0.0, front_end.rack_stop, GRID)
    found = []
    known = np.array(sorted(locks))
    for travel, angle in zip(_heights(front_end), _angles(front_end, assembly), strict=True):
        pose = pose_corner(assembly.corner, np.full(GRID, angle), rack_sign(front_end, turn) * grid)
        steer = np.where(pose.reachable, np.abs(steer_angle(pose)), np.inf)
        lock = float(np.interp(travel, known, [locks[each] for each in known]))
        # Up to over-centre the wheel turns further with the rack.
        rising = np.maximum.accumulate(steer)
        found.append(float(np.interp(lock, rising[np.isfinite(rising)], grid[np.isfinite(rising)])))
    return tuple(found)


def gaps_at_lock(
    front_end: FrontEnd, racks: Mapping[Side, tuple[float, ...]], clearance: float
) -> tuple[PlaceGap, ...]:
    """All places of both wheels in both turns; ``racks`` of `racks_at`, ``clearance`` wanted of the grown tyre, mm."""
    return tuple(
        _at_place(front_end, turn, assembly, place, racks[turn], clearance)
        for turn in TURNS
        for assembly in front_end.sides
        for place in obstacles(front_end, assembly)
    )


def _at_place(
    front_end: FrontEnd,
    turn: Side,
    assembly: Assembly,
    place: Obstacle,
    racks: tuple[float, ...],
    clearance: float,
) -> PlaceGap:
    travels = _heights(front_end)
    share = np.linspace(0.0, 1.0, ON_THE_WAY)[:, None]
    rack = rack_sign(front_end, turn) * share * np.array(racks)
    pose = pose_corner(assembly.corner, np.broadcast_to(_angles(front_end, assembly), rack.shape), rack)
    seen, grown = (gap(tyre, place, pose) for tyre in (front_end.tyre, front_end.tyre.grown()))
    row, column = np.unravel_index(int(np.nanargmin(seen)), seen.shape)
    return PlaceGap(
        turn,
        assembly.side,
        place.name,
        _three(seen[-1]),
        _three(clearance + seen[-1] - grown[-1]),
        float(seen[row, column]),
        float(steer_angle(pose)[row, column]),
        float(travels[column]),
    )


def _heights(front_end: FrontEnd) -> Array:
    return np.array([-front_end.car.droop_travel, 0.0, front_end.car.bump_travel])


def _angles(front_end: FrontEnd, assembly: Assembly) -> Array:
    return front_end.arm_angles(assembly, _heights(front_end))


def _three(values: Array) -> tuple[float, float, float]:
    droop, ride, bump = (float(value) for value in values)
    return droop, ride, bump


def least_of(gaps: tuple[PlaceGap, ...]) -> Iterator[PlaceGap]:
    """For each wheel the place that comes nearest in either turn."""
    for side in ("left", "right"):
        own = [each for each in gaps if each.wheel == side]
        if own:
            yield min(own, key=lambda each: each.least)
