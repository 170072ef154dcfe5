"""What stops the wheel, and in which order: rack stop, teeth, over-centre margin, joints, and the tyre's contacts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.car import Goal, Side
from solver.corner import over_centre_rack, pose_corner
from solver.front_end import Assembly, FrontEnd
from solver.margins import OVER_CENTRE, PAST_OVER_CENTRE, TOLD, Margin, Unit, margins_of, over_centre_margin
from solver.measures import steer_angle
from solver.roots import bracketed_root
from solver.sweep import TURNS, Sweep, rack_sign, sweep
from solver.vectors import Array

RACK_STOP = "rack stop"
TEETH = "end of the rack's teeth"
REFINING_STEPS = 4
"""Of false position from the two places between which the over-centre margin is met, some 4 mm apart."""
SHORT_OF_OVER_CENTRE = 1e-6
"""Of rack travel, mm, that a pose keeps from over-centre itself, where rounding decides whether it can be reached."""
BEYOND_STOP = 14.0
"""How far past the rack's stop the sweep goes, mm, to tell which limit would come next."""


@dataclass(frozen=True)
class Limit:
    """One limit of one turn, as if it were the only one.

    name: of what is met
    turn: the direction of the turn
    wheel: which wheel meets it
    rack: rack displacement from the centre at which it is met, mm, positive
    lock: steer angle of the inner wheel at ride height then, rad
    travel: wheel travel at which it is met first, mm
    counts: whether it ends the lock; a panel that is cut away doesn't, nor what steering can't change
    """

    name: str
    turn: Side
    wheel: Side | None
    rack: float
    lock: float
    travel: float | None
    counts: bool = True


@dataclass(frozen=True)
class Gain:
    """What moving the first limit of a turn brings until the second one is met.

    lock: gained, rad; amount: by which the first one has to give way, in its unit: millimetres of rack travel or of
    gap, or radians of margin or joint angle; next_name: of the second one
    """

    name: str
    lock: float
    amount: float
    unit: Unit
    next_name: str


@dataclass(frozen=True)
class Unmet:
    """What isn't met within the sweep, with the least that is left of it over its threshold, in its unit.

    Lengths over `solver.margins.TOLD` are told as that.
    """

    name: str
    wheel: Side
    left: float
    unit: Unit


def inner_lock(front_end: FrontEnd, turn: Side, rack: float) -> float:
    """Steer angle in radians, positive, of the inner wheel at ride height; NaN where it can't be reached."""
    return float(abs(steer_angle(front_end.inner_wheel(turn, np.array([rack])))[0]))


@dataclass(frozen=True, eq=False)
class TurnLimits:
    """What limits one turn.

    limits: those that end the lock, each by itself, the first one met first, over all travel
    aside: those that don't
    gain: what moving the first one brings; None where no second one lies within the sweep
    unmet: what isn't met within the sweep
    travel: (m,) wheel travels, mm
    safe_rack: (m,) rack displacement at each travel up to which margin and clearances hold, mm; infinite where
        nothing is met in the sweep. The rack's own stop and teeth are left aside.
    """

    limits: tuple[Limit, ...]
    aside: tuple[Limit, ...]
    gain: Gain | None
    unmet: tuple[Unmet, ...]
    travel: Array
    safe_rack: Array


def limits_of(front_end: FrontEnd, goal: Goal, reach: float) -> dict[Side, TurnLimits]:
    """Every limit within ``reach`` mm of rack, for each turn.

    A limit that would come only after over-centre is left out: the wheel never gets there.
    """
    swept = sweep(front_end, dict.fromkeys(TURNS, reach))
    margins = list(margins_of(front_end, goal, {side: swept.pose(side) for side in TURNS}))
    return {turn: _turn_limits(front_end, swept, margins, i, turn) for i, turn in enumerate(TURNS)}


def _turn_limits(front_end: FrontEnd, swept: Sweep, margins: list[Margin], i: int, turn: Side) -> TurnLimits:
    met = [(margin, _met(front_end, swept, margin, i, turn)) for margin in margins]
    safe = np.full(len(swept.travel), np.inf)
    found: list[tuple[str, Side | None, float, float | None, bool]] = [
        (RACK_STOP, None, front_end.rack_stop, None, True)
    ]
    if (teeth := front_end.car.rack.tooth_travel) is not None:
        found.append((TEETH, None, teeth, None, True))
    unmet = []
    for margin, racks in met:
        if margin.counts:
            safe = np.minimum(safe, racks)
        if np.isfinite(racks.min()):
            at = int(racks.argmin())
            found.append((margin.name, margin.side, float(racks[at]), float(swept.travel[at]), margin.counts))
        elif np.isfinite(margin.values[i]).any():
            left = float(margin.values[i].min()) - margin.threshold
            left = min(left, TOLD) if margin.unit == "mm" else left
            unmet.append(Unmet(margin.name, margin.side, left, margin.unit))
    racks = np.array([rack for _, _, rack, _, _ in found])
    locks = np.abs(steer_angle(front_end.inner_wheel(turn, racks))).tolist()
    each = [
        Limit(name, turn, wheel, rack, lock, travel, counts)
        for (name, wheel, rack, travel, counts), lock in zip(found, locks, strict=True)
        if math.isfinite(lock)
    ]
    each.sort(key=lambda limit: limit.rack)
    limits = tuple(limit for limit in each if limit.counts)
    aside = tuple(limit for limit in each if not limit.counts)
    return TurnLimits(
        limits, aside, _gain(swept.rack[i], margins, i, limits), tuple(unmet), swept.travel, safe
    )


def _met(front_end: FrontEnd, swept: Sweep, margin: Margin, i: int, turn: Side) -> Array:
    """Rack displacement at which a margin is met at each travel (m,), infinite where it isn't."""
    racks = _crossings(swept.rack[i], margin.values[i], margin.threshold)
    columns = np.flatnonzero(np.isfinite(racks) & (racks > 0))
    if margin.name != OVER_CENTRE or not columns.size:
        return racks
    # Towards over-centre the angle falls ever faster, too fast for a straight line between two places.
    assembly = front_end.left if margin.side == "left" else front_end.right
    angles = front_end.arm_angles(assembly, swept.travel)[columns]
    sign = rack_sign(front_end, turn)

    def over(rack: Array) -> Array:
        return over_centre_margin(pose_corner(assembly.corner, angles, sign * rack)) - margin.threshold

    row = np.searchsorted(swept.rack[i], racks[columns])
    low, high = swept.rack[i][row - 1], swept.rack[i][row]
    found = bracketed_root(over, low, high, steps=REFINING_STEPS)
    # With next to no margin wanted, the place may lie a hair past over-centre, where the wheel has no angle to tell.
    for past in np.flatnonzero(over(found) <= PAST_OVER_CENTRE - margin.threshold):
        below, above = over_centre_rack(assembly.corner, float(angles[past]))
        found[past] = max(low[past], (above if sign > 0 else -below) - SHORT_OF_OVER_CENTRE)
    racks[columns] = np.where(np.isfinite(found), found, racks[columns])
    return racks


def _gain(rack: Array, margins: list[Margin], i: int, limits: tuple[Limit, ...]) -> Gain | None:
    """What moving the first limit brings, to where the second one is met."""
    if len(limits) < 2:
        return None
    first, second = limits[:2]
    lock = second.lock - first.lock
    if first.wheel is None:
        return Gain(first.name, lock, second.rack - first.rack, "mm", second.name)
    margin = next(m for m in margins if (m.name, m.side) == (first.name, first.wheel))
    # At the second limit's rack, at the worst of all travels; up to there it only falls.
    there = min(float(np.interp(second.rack, rack, column)) for column in margin.values[i].T)
    return Gain(first.name, lock, margin.threshold - there, margin.unit, second.name)


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
