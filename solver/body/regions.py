"""Places of a body that the tyre comes too near: one worst point each, told so that it can be found with a tape."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.between import closest
from solver.body.clearance_map import SIDES, ClearanceMap
from solver.body.clusters import clusters
from solver.body.nearest import least
from solver.body.sweep import Cause, WheelSweep, ride_height_centre
from solver.body.swept import SweptRevolved
from solver.car import Side
from solver.sweep import TURNS, rack_sign
from solver.vectors import Array, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

APART = 25.0
"""Edge in mm of the cubes by which places are told apart: nearer than this they are one."""
MOST = 40
"""Places of one body that are told; a builder looks at the first few."""
SPARE = 3
"""Nearest points that are told where nothing is too near."""
TOUCH_PITCH, TOUCH_POINTS = 5.0, 3000
"""The first touch is looked for with the nearest point of every cube of this edge, mm, or of larger ones if those are
more than so many."""


@dataclass(frozen=True)
class Touch:
    """The first pose of a turn in which a place comes too near; mm and radians.

    steer: of the wheel, positive to the left; distance: there
    """

    turn: Side
    cause: Cause
    distance: float


@dataclass(frozen=True, eq=False)
class Region:
    """A place; mm and car axes.

    name: body, wheel and where it lies from that wheel, such as "inner panel, left wheel: behind, low, inboard"
    point: where the clearance is least; number: of that point in the map
    clearance: there, at the bad end of the band
    distance: there, without the band; between the grid's poses where those come nearer
    cause: the pose of least distance; touches: where it first comes too near, one for each turn in which it does
    points: numbers of all points of the place; low, high: corners of the box round them
    """

    name: str
    body: str
    side: Side
    point: Array
    number: int
    clearance: float
    distance: float
    cause: Cause | None
    touches: tuple[Touch, ...]
    points: NDArray[np.int64]
    low: Array
    high: Array


def regions(found: ClearanceMap, gap: float) -> list[Region]:
    """Places where the clearance is under ``gap`` mm, the worst first; without any the nearest points are told."""
    values = found.clearance
    result: list[Region] = []
    for index, side in enumerate(SIDES):
        near = np.flatnonzero((found.looked.wheel == index) & (values < gap))
        label = clusters(found.surface.points[near], APART)
        order = np.argsort(label, kind="stable")
        for members in np.split(near[order], np.flatnonzero(np.diff(label[order])) + 1):
            if len(members):
                result.append(_region(found, side, members, values, gap))
    result.sort(key=lambda region: region.clearance)
    return result[:MOST] or _spare(found, values, gap)


def _spare(found: ClearanceMap, values: Array, gap: float) -> list[Region]:
    """The nearest points, no two of them within 100 mm."""
    result: list[Region] = []
    left = np.arange(len(values))
    while len(left) and len(result) < SPARE:
        best = left[values[left].argmin()]
        side = SIDES[int(found.looked.wheel[best])]
        result.append(_region(found, side, np.array([best]), values, gap))
        left = left[length(found.surface.points[left] - found.surface.points[best]) > 100.0]
    return result


def _region(found: ClearanceMap, side: Side, members: NDArray[np.int64], values: Array, gap: float) -> Region:
    worst = int(members[values[members].argmin()])
    points = found.surface.points[members]
    point = found.surface.points[worst]
    sweep = found.sweeps[side]
    # What the uncertainty takes off the distance the tyre is to be nearer by.
    allowance = float(found.distance[worst] - values[worst])
    distance, cause, number = float(found.distance[worst]), found.cause(worst), int(found.looked.pose[worst])
    touches: tuple[Touch, ...] = ()
    if number >= 0:
        distance, cause = closest(point, sweep, number, found.surface.fixed_to)
        if distance - allowance < gap:
            few = _lowest_of_each_cube(points, values[members])
            touches = _touches(few, sweep, found.field.tyre(side), gap + allowance)
    return Region(
        name=f"{found.surface.name}, {side} wheel: {place_words(point, sweep)}",
        body=found.surface.name,
        side=side,
        point=point,
        number=worst,
        clearance=distance - allowance,
        distance=distance,
        cause=cause,
        touches=touches,
        points=members,
        low=points.min(axis=0),
        high=points.max(axis=0),
    )


def _lowest_of_each_cube(points: Array, values: Array) -> Array:
    order = np.argsort(values, kind="stable")
    pitch = TOUCH_PITCH
    while True:
        cubes = np.floor((points[order] - points.min(axis=0)) / pitch).astype(np.int64)
        _, first = np.unique(cubes @ [1 << 42, 1 << 21, 1], return_index=True)
        if len(first) <= TOUCH_POINTS:
            return points[order[np.sort(first)]]
        pitch *= 1.5


def _touches(points: Array, sweep: WheelSweep, tyre: SweptRevolved, gap: float) -> tuple[Touch, ...]:
    """The first pose of each turn, by rack displacement, in which any of the points is nearer than ``gap``."""
    found = []
    for turn in TURNS:
        sign = rack_sign(sweep.front_end, turn)
        out = sign * sweep.rack
        steps = np.unique(out[out >= 0])
        low, high = 0, len(steps)
        while low < high:
            middle = (low + high) // 2
            poses = np.flatnonzero((out >= 0) & (out <= steps[middle]))
            if _least(points, tyre, poses)[0] < gap:
                high = middle
            else:
                low = middle + 1
        if low < len(steps):
            poses = np.flatnonzero(out == steps[low])
            distance, pose = _least(points, tyre, poses)
            found.append(Touch(turn, sweep.cause(pose), distance))
    return tuple(found)


def _least(points: Array, tyre: SweptRevolved, poses: NDArray[np.int64]) -> tuple[float, int]:
    some = SweptRevolved(tyre.solid, tyre.centres[poses], tyre.axes[poses])
    distance, _, pose = least(points, some)
    return distance, int(poses[pose])


def place_words(point: Array, sweep: WheelSweep) -> str:
    """Where a point lies from the wheel straight ahead: ahead or behind, high or low, inboard or outboard."""
    tyre = sweep.front_end.tyre
    offset = point - ride_height_centre(sweep)
    outward = offset[1] if sweep.side == "left" else -offset[1]
    words = []
    radius, half = tyre.outside_diameter / 2, tyre.section_width / 2
    if abs(offset[0]) > 0.3 * radius:
        words.append("ahead" if offset[0] > 0 else "behind")
    if abs(offset[2]) > 0.3 * radius:
        words.append("high" if offset[2] > 0 else "low")
    if abs(outward) > 0.5 * half:
        words.append("outboard" if outward > 0 else "inboard")
    return ", ".join(words) or "beside the hub"
