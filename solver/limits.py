"""What stops the wheel, and in which order: rack stop, teeth, over-centre margin, and the tyre's contacts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.car import Goal, Side
from solver.clearance import gap, obstacles
from solver.corner import Pose, over_centre_angle, over_centre_rack
from solver.front_end import Assembly, FrontEnd
from solver.measures import steer_angle
from solver.vectors import Array

RACK_POINTS = 45
TRAVEL_POINTS = 5
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
    front_end: FrontEnd, reach: dict[Side, float], points: int = RACK_POINTS, travels: int = TRAVEL_POINTS
) -> Sweep:
    """Both corners from straight ahead to a rack displacement of ``reach`` mm in each turn, over all travel."""
    rack = np.stack([np.linspace(0.0, reach[turn], points) for turn in TURNS])
    signed = rack * np.array([[rack_sign(front_end, turn)] for turn in TURNS])
    travel = front_end.travels(travels)
    left, right = (front_end.poses(a, signed, travel) for a in front_end.sides)
    return Sweep(rack, travel, left, right)


def inner_lock(front_end: FrontEnd, turn: Side, rack: float) -> float:
    """Steer angle in radians, positive, of the inner wheel at ride height; NaN where it can't be reached."""
    left, right = front_end.at_ride_height(np.array([rack_sign(front_end, turn) * rack]))
    return float(abs(steer_angle(left if turn == "left" else right)[0]))


def linkage_limits(front_end: FrontEnd, goal: Goal, swept: Sweep) -> list[Limit]:
    """Rack stop, rack teeth and over-centre margin of either wheel, for both turns."""
    found = []
    teeth = front_end.car.rack.tooth_travel
    for turn in TURNS:
        found.append(_at(front_end, "rack stop", turn, None, front_end.rack_stop, None))
        if teeth is not None:
            found.append(_at(front_end, "end of the rack's teeth", turn, None, teeth, None))
    for assembly in front_end.sides:
        pose = swept.pose(assembly.side)
        angle = np.where(pose.reachable, np.nan_to_num(over_centre_angle(pose)), 0.0)
        # Only a wheel whose margin shrinks with the turn can come over centre in it.
        angle = np.minimum.accumulate(angle, axis=1)
        found += _crossings(front_end, "over-centre margin", swept, assembly, angle, goal.over_centre_margin)
    return found


def contact_limits(front_end: FrontEnd, goal: Goal, swept: Sweep) -> list[Limit]:
    """Tyre within the wanted clearance of each obstacle, for either wheel and both turns."""
    tyre = front_end.tyre.grown()
    found = []
    for assembly in front_end.sides:
        pose = swept.pose(assembly.side)
        for obstacle in obstacles(front_end, assembly):
            if obstacle.fixed_to == "knuckle":
                continue
            gaps = np.nan_to_num(gap(tyre, obstacle, pose), nan=np.inf)
            name = f"tyre on {obstacle.name}"
            found += _crossings(front_end, name, swept, assembly, gaps, goal.clearance)
    return found


def limits_in_order(front_end: FrontEnd, goal: Goal, reach: float) -> dict[Side, list[Limit]]:
    """Every limit within ``reach`` mm of rack, for each turn, the first one met first."""
    swept = sweep(front_end, dict.fromkeys(TURNS, reach))
    found = linkage_limits(front_end, goal, swept) + contact_limits(front_end, goal, swept)
    return {turn: sorted((x for x in found if x.turn == turn), key=lambda x: x.rack) for turn in TURNS}


def over_centre_travel_left(front_end: FrontEnd, assembly: Assembly, rack: float) -> float:
    """Rack travel in mm from displacement ``rack`` (signed) on to over-centre, at ride height."""
    below, above = over_centre_rack(assembly.corner, assembly.ride_angle)
    return above - rack if rack > 0 else rack - below


def _crossings(
    front_end: FrontEnd, name: str, swept: Sweep, assembly: Assembly, values: Array, threshold: float
) -> list[Limit]:
    """For each turn the first rack displacement at which a value falls below its threshold, if any."""
    found = []
    for turn, rack, grid in zip(TURNS, swept.rack, values, strict=True):
        crossing = _crossing(rack, swept.travel, grid, threshold)
        if crossing is not None:
            found.append(_at(front_end, name, turn, assembly.side, *crossing))
    return found


def _crossing(rack: Array, travel: Array, values: Array, threshold: float) -> tuple[float, float] | None:
    """The first rack displacement at which a value falls below its threshold at any travel, and that travel.

    Between grid points the value is taken as linear; where it falls off to an unreachable pose the last
    reachable point counts, which is on the safe side.
    """
    below = values < threshold
    if not below.any():
        return None
    if below[0].any():
        return 0.0, float(travel[np.argmin(values[0])])
    best, best_travel = math.inf, 0.0
    for column in np.flatnonzero(below.any(axis=0)):
        row = int(below[:, column].argmax())
        before, after = values[row - 1, column], values[row, column]
        share = (before - threshold) / (before - after) if math.isfinite(before - after) else 0.0
        met = rack[row - 1] + share * (rack[row] - rack[row - 1])
        if met < best:
            best, best_travel = float(met), float(travel[column])
    return best, best_travel


def _at(
    front_end: FrontEnd, name: str, turn: Side, wheel: Side | None, rack: float, travel: float | None
) -> Limit:
    return Limit(name, turn, wheel, rack, inner_lock(front_end, turn, rack), travel)
