"""What a design must keep: each limit as a figure that is at least zero where it is kept."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.search.design import Space
from solver.search.outcome import Outcome, outcome_of
from solver.vectors import Array

TURN_WORDS = ("left turn", "right turn")
SIDE_WORDS = ("left", "right")


@dataclass(frozen=True, eq=False)
class Reserve:
    """What one limit leaves, for n designs: (n,), negative where it is broken.

    name: of the limit; where: which turn or side, or nothing
    unit: "mm", "deg" or "%"; wanted: what is asked for, in that unit
    """

    name: str
    where: str
    unit: str
    wanted: float
    left: Array


def lock_reserves(space: Space, outcome: Outcome) -> list[Reserve]:
    """Lock of both turns over the one wanted, in degrees."""
    wanted = math.degrees(space.goal.lock)
    return [
        Reserve("lock", where, "deg", wanted, np.degrees(outcome.lock[:, turn]) - wanted)
        for turn, where in enumerate(TURN_WORDS)
    ]


def other_reserves(space: Space, outcome: Outcome, racks: Array) -> list[Reserve]:
    """Everything else that the job asks of a design; ``racks`` (n, 2) as `outcome_of` had them."""
    return [
        *_rack(space, outcome, racks),
        *_margin(space, outcome),
        *_gaps(space, outcome),
        *_joints(space, outcome),
        *_wishes(space, outcome),
    ]


def reserves_of(space: Space, designs: Array, racks: Array) -> tuple[list[Reserve], list[Reserve]]:
    """Lock, and everything else, of designs (n, k) with the rack at (n, 2)."""
    outcome = outcome_of(space, designs, racks)
    lock, others = lock_reserves(space, outcome), other_reserves(space, outcome, racks)
    for reserve in (*lock, *others):
        # A design that can't be assembled is worse than any that can.
        reserve.left[~outcome.wheels.sound] = -1e3
        np.nan_to_num(reserve.left, copy=False, nan=-1e3)
    return lock, others


def _rack(space: Space, outcome: Outcome, racks: Array) -> list[Reserve]:
    stop = outcome.rack_stop - space.base.stop_room
    found = [
        Reserve("rack travel", where, "mm", 0.0, stop - racks[:, turn])
        for turn, where in enumerate(TURN_WORDS)
    ]
    if (teeth := space.car.rack.tooth_travel) is not None:
        found += [
            Reserve("end of the rack's teeth", where, "mm", 0.0, teeth - racks[:, turn])
            for turn, where in enumerate(TURN_WORDS)
        ]
    return found


def _margin(space: Space, outcome: Outcome) -> list[Reserve]:
    wanted = math.degrees(space.goal.over_centre_margin)
    return [
        Reserve("over-centre margin", where, "deg", wanted, np.degrees(outcome.over_centre[:, turn]) - wanted)
        for turn, where in enumerate(TURN_WORDS)
    ]


def _gaps(space: Space, outcome: Outcome) -> list[Reserve]:
    wanted = space.goal.clearance
    return [
        Reserve(f"tyre on {name.strip()}", where, "mm", wanted, gap[:, turn] - wanted)
        for name, gap in outcome.gaps.items()
        for turn, where in enumerate(TURN_WORDS)
    ]


def _joints(space: Space, outcome: Outcome) -> list[Reserve]:
    return [
        Reserve(name, where, "deg", 0.0, np.degrees(left[:, turn]))
        for name, left in outcome.joints.items()
        for turn, where in enumerate(TURN_WORDS)
    ]


def _wishes(space: Space, outcome: Outcome) -> list[Reserve]:
    goal, found = space.goal, []
    if goal.track is not None:
        found.append(Reserve("track", "", "mm", goal.track, outcome.track - goal.track))
    if goal.ackermann is not None:
        for turn, where in enumerate(TURN_WORDS):
            found += _band("percent Ackermann", where, "%", goal.ackermann, outcome.ackermann[:, turn])
    for side, where in enumerate(SIDE_WORDS):
        if goal.camber is not None:
            low, high = (math.degrees(x) for x in goal.camber)
            found += _band("camber", where, "deg", (low, high), np.degrees(outcome.camber[:, side]))
        if goal.least_caster is not None:
            wanted = math.degrees(goal.least_caster)
            left = np.degrees(outcome.caster[:, side]) - wanted
            found.append(Reserve("caster", where, "deg", wanted, left))
        if goal.inclination_kept is not None:
            now, most = np.degrees(outcome.inclination[:, side]), math.degrees(goal.inclination_kept)
            was = math.degrees(space.measured_inclination[side])
            found += _band("steering-axis inclination", where, "deg", (was - most, was + most), now)
        if goal.bump_steer is not None:
            wanted = math.degrees(goal.bump_steer)
            # In tenths of a degree, so that it weighs as much as the others do.
            left = 10 * (wanted - np.degrees(outcome.bump_steer[:, side]))
            found.append(Reserve("bump steer", where, "tenths of a degree", 10 * wanted, left))
        if space.tie_rod is not None:
            span = space.tie_rod.shortest, space.tie_rod.longest
            found += _band("tie-rod length", where, "mm", span, outcome.tie_rod[:, side])
    return found


def _band(name: str, where: str, unit: str, band: tuple[float, float], value: Array) -> list[Reserve]:
    low, high = band
    return [
        Reserve(f"{name}, at least", where, unit, low, value - low),
        Reserve(f"{name}, at most", where, unit, high, high - value),
    ]
