"""What stops the wheel, and in which order: rack stop, teeth, over-centre margin, and the tyre's contacts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.car import Goal, Side
from solver.clearance import gap, obstacles
from solver.corner import Pose, over_centre_angle, over_centre_rack
from solver.front_end import Assembly, FrontEnd
from solver.measures import steer_angle
from solver.vectors import Array

RACK_POINTS = 27
TRAVEL_POINTS = 5
RACK_STOP = "rack stop"
OVER_CENTRE = "over-centre margin"
TYRE_ON = "tyre on "
BEYOND_STOP = 14.0
"""How far past the rack's stop the sweep goes, mm, to tell which limit would come next."""


@dataclass(frozen=True)
class Limit:
    """One limit of one turn.

    name: of what is met
    turn: the direction of the turn
    wheel: which wheel meets it
    rack: rack displacement from the centre at which it is met, mm, positive
    lock: steer angle of the inner wheel at ride height then, rad
    travel: wheel travel at which it is met first, mm
    """

    name: str
    turn: Side
    wheel: Side | None
    rack: float
    lock: float
    travel: float | None


@dataclass(frozen=True)
class Sweep:
    """Poses of both corners over rack × travel for both turns, left turn first.

    rack: (2, n) displacements from the centre for each turn, mm, positive
    travel: (m,) wheel travels, mm
    left, right: poses of shape (2, n, m)
    """

    rack: Array
    travel: Array
    left: Pose
    right: Pose

    def pose(self, side: Side) -> Pose:
        """Poses of one side, shape (2, n, m)."""
        return self.left if side == "left" else self.right


TURNS: tuple[Side, Side] = ("left", "right")


def rack_sign(front_end: FrontEnd, turn: Side) -> int:
    """Sign of the rack's displacement that turns the wheels to the left or right."""
    return front_end.left_sign if turn == "left" else -front_end.left_sign


def sweep(
    front_end: FrontEnd,
    reach: dict[Side, float],
    points: int = RACK_POINTS,
    travels: int = TRAVEL_POINTS,
    start: float = 0.0,
) -> Sweep:
    """Both corners to a rack displacement of ``reach`` mm in each turn, over all travel.

    start: share of the way at which the sweep begins, 0 for straight ahead
    """
    rack = np.stack([np.linspace(start * reach[turn], reach[turn], points) for turn in TURNS])
    signed = rack * np.array([[rack_sign(front_end, turn)] for turn in TURNS])
    travel = front_end.travels(travels)
    left, right = (front_end.poses(a, signed, travel) for a in front_end.sides)
    return Sweep(rack, travel, left, right)


def inner_lock(front_end: FrontEnd, turn: Side, rack: float) -> float:
    """Steer angle in radians, positive, of the inner wheel at ride height; NaN where it can't be reached."""
    return float(abs(steer_angle(front_end.inner_wheel(turn, np.array([rack])))[0]))


@dataclass(frozen=True)
class TurnLimits:
    """What limits one turn.

    limits: the first one met first, over all travel
    travel: (m,) wheel travels, mm
    safe_rack: (m,) rack displacement at each travel up to which margin and clearances hold, mm; infinite where
        nothing is met in the sweep. The rack's own stop and teeth are left aside.
    """

    limits: tuple[Limit, ...]
    travel: Array
    safe_rack: Array


def limits_of(front_end: FrontEnd, goal: Goal, reach: float) -> dict[Side, TurnLimits]:
    """Every limit within ``reach`` mm of rack, for each turn.

    A limit that would come only after over-centre is left out: the wheel never gets there.
    """
    swept = sweep(front_end, dict.fromkeys(TURNS, reach))
    found: dict[Side, list[Limit]] = {turn: [] for turn in TURNS}
    safe = {turn: np.full(len(swept.travel), np.inf) for turn in TURNS}
    for turn in TURNS:
        found[turn].append(_at(front_end, RACK_STOP, turn, None, front_end.rack_stop, None))
        if (teeth := front_end.car.rack.tooth_travel) is not None:
            found[turn].append(_at(front_end, "end of the rack's teeth", turn, None, teeth, None))
    for name, assembly, values, threshold in _margins(front_end, goal, swept):
        for turn, rack, grid in zip(TURNS, swept.rack, values, strict=True):
            met = _crossings(rack, grid, threshold)
            safe[turn] = np.minimum(safe[turn], met)
            if np.isfinite(met.min()):
                at = int(met.argmin())
                travel = float(swept.travel[at])
                found[turn].append(_at(front_end, name, turn, assembly.side, float(met[at]), travel))
    return {
        turn: TurnLimits(
            tuple(sorted((x for x in found[turn] if math.isfinite(x.lock)), key=lambda x: x.rack)),
            swept.travel,
            safe[turn],
        )
        for turn in TURNS
    }


def _margins(front_end: FrontEnd, goal: Goal, swept: Sweep) -> Iterator[tuple[str, Assembly, Array, float]]:
    """Each quantity that must not fall below a threshold, over the sweep: name, wheel, values, threshold."""
    tyre = front_end.tyre.grown()
    for assembly in front_end.sides:
        pose = swept.pose(assembly.side)
        angle = np.where(pose.reachable, np.nan_to_num(over_centre_angle(pose)), 0.0)
        # Only a wheel whose margin shrinks with the turn can come over centre in it.
        angle = np.minimum.accumulate(angle, axis=1)
        yield OVER_CENTRE, assembly, angle, goal.over_centre_margin
        for obstacle in obstacles(front_end, assembly):
            if obstacle.fixed_to != "knuckle":
                gaps = np.nan_to_num(gap(tyre, obstacle, pose), nan=np.inf)
                yield f"{TYRE_ON}{obstacle.name}", assembly, gaps, goal.clearance


def over_centre_travel_left(front_end: FrontEnd, assembly: Assembly, rack: float) -> float:
    """Rack travel in mm from displacement ``rack`` (signed) on to over-centre, at ride height."""
    below, above = over_centre_rack(assembly.corner, assembly.ride_angle)
    return above - rack if rack > 0 else rack - below


def _crossings(rack: Array, values: Array, threshold: float) -> Array:
    """For each travel the first rack displacement at which a value (n, m) falls below its threshold, else inf.

    Between grid points the value is taken as linear; where it falls off to an unreachable pose the last
    reachable point counts, which is on the safe side.
    """
    below = values < threshold
    met = np.full(values.shape[1], np.inf)
    for column in np.flatnonzero(below.any(axis=0)):
        row = int(below[:, column].argmax())
        if row == 0:
            met[column] = 0.0
            continue
        before, after = values[row - 1, column], values[row, column]
        share = (before - threshold) / (before - after) if math.isfinite(before - after) else 0.0
        met[column] = rack[row - 1] + share * (rack[row] - rack[row - 1])
    return met


def _at(
    front_end: FrontEnd, name: str, turn: Side, wheel: Side | None, rack: float, travel: float | None
) -> Limit:
    return Limit(name, turn, wheel, rack, inner_lock(front_end, turn, rack), travel)
