"""What a design must keep: each limit as a figure that is at least zero where it is kept."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from solver.limits import RACK_STOP, TEETH
from solver.margins import OVER_CENTRE, TYRE_ON
from solver.search.design import Space
from solver.search.outcome import Outcome, outcome_of
from solver.vectors import Array

TURN_WORDS = ("left turn", "right turn")
SIDE_WORDS = ("left", "right")
UNSOUND = -1e3
"""What is left of any limit where a design can't be assembled: worse than any design that can."""


@dataclass(frozen=True, eq=False)
class Reserve:
    """What one limit leaves, for n designs: (n,), negative where it is broken.

    name: of the limit; where: which turn or side, or nothing
    unit: "mm", "deg" or "%"; wanted: what is asked for, in that unit
    parts: (m, n) what each wheel at each travel leaves, or (1, n): the least counts. Each part is smooth where their
        least is not.
    wish: whether it is asked for beside the lock, while any other limit ends the lock where it is met
    """

    name: str
    where: str
    unit: str
    wanted: float
    parts: Array
    wish: bool = False

    @property
    def left(self) -> Array:
        """What the limit leaves, (n,)."""
        return np.asarray(self.parts.min(axis=0))


@dataclass(frozen=True, eq=False)
class Asked:
    """What a job asks of n designs, and what comes of them; lock: of both turns, over the one wanted."""

    lock: list[Reserve]
    others: list[Reserve]
    outcome: Outcome


def reserves_of(space: Space, designs: Array, racks: Array, alike: bool = False) -> Asked:
    """Lock, and everything else that the job asks, of designs (n, k) with the rack at (n, 2) mm from the centre.

    alike: as for `outcome_of`
    """
    outcome = outcome_of(space, designs, racks, alike)
    wanted = math.degrees(space.goal.lock)
    lock = [
        _plain("lock", where, "deg", wanted, np.degrees(outcome.lock[:, turn]) - wanted)
        for turn, where in enumerate(TURN_WORDS)
    ]
    others = [
        *_rack(space, outcome, racks),
        *_on_the_way(space, outcome),
        *_straight_ahead(space, outcome),
    ]
    if space.goal.ackermann is not None:
        for turn, where in enumerate(TURN_WORDS):
            others += _band("percent Ackermann", where, "%", space.goal.ackermann, outcome.ackermann[:, turn])
    asked = [*lock, *others]
    parts = np.concatenate([reserve.parts for reserve in asked])
    parts[:, ~outcome.wheels.sound] = UNSOUND
    parts = np.clip(np.where(np.isnan(parts), UNSOUND, parts), UNSOUND, -UNSOUND)
    pieces = np.split(parts, np.cumsum([len(reserve.parts) for reserve in asked])[:-1])
    asked = [replace(reserve, parts=piece) for reserve, piece in zip(asked, pieces, strict=True)]
    return Asked(asked[:2], asked[2:], outcome)


def _plain(name: str, where: str, unit: str, wanted: float, left: Array, wish: bool = False) -> Reserve:
    return Reserve(name, where, unit, wanted, left[None], wish)


def _band(
    name: str, where: str, unit: str, band: tuple[float, float], value: Array, wish: bool = True
) -> list[Reserve]:
    low, high = band
    return [
        _plain(f"{name}, at least", where, unit, low, value - low, wish),
        _plain(f"{name}, at most", where, unit, high, high - value, wish),
    ]


def _rack(space: Space, outcome: Outcome, racks: Array) -> list[Reserve]:
    stops = {RACK_STOP: outcome.rack_stop - space.base.stop_room}
    if (teeth := space.car.rack.tooth_travel) is not None:
        stops[TEETH] = np.full(len(racks), teeth)
    return [
        _plain(name, where, "mm", 0.0, stop - racks[:, turn])
        for name, stop in stops.items()
        for turn, where in enumerate(TURN_WORDS)
    ]


def _on_the_way(space: Space, outcome: Outcome) -> list[Reserve]:
    """Limits that steering to the lock may meet."""
    margin, clearance = math.degrees(space.goal.over_centre_margin), space.goal.clearance
    found = []
    for turn, where in enumerate(TURN_WORDS):
        left = np.degrees(outcome.over_centre[:, turn]).T - margin
        found.append(Reserve(OVER_CENTRE, where, "deg", margin, left))
        for bar, name in enumerate(space.bars.names):
            left = outcome.gaps[:, turn, :, bar].T - clearance
            found.append(Reserve(f"{TYRE_ON}{name}", where, "mm", clearance, left))
        for joint, room in outcome.joint_room.items():
            found.append(Reserve(joint, where, "deg", 0.0, np.degrees(room[:, turn]).T))
    return found


def _straight_ahead(space: Space, outcome: Outcome) -> list[Reserve]:
    """What the goal asks of the front end at ride height, and of its tie rods."""
    goal, found = space.goal, []
    if goal.track is not None:
        found.append(_plain("track", "", "mm", goal.track, outcome.track - goal.track, wish=True))
    for side, where in enumerate(SIDE_WORDS):
        if goal.camber is not None:
            low, high = (math.degrees(x) for x in goal.camber)
            found += _band("camber", where, "deg", (low, high), np.degrees(outcome.camber[:, side]))
        if goal.least_caster is not None:
            wanted = math.degrees(goal.least_caster)
            left = np.degrees(outcome.caster[:, side]) - wanted
            found.append(_plain("caster", where, "deg", wanted, left, wish=True))
        if goal.inclination_kept is not None:
            now, most = np.degrees(outcome.inclination[:, side]), math.degrees(goal.inclination_kept)
            was = math.degrees(space.common.measured_inclination[side])
            found += _band("steering-axis inclination", where, "deg", (was - most, was + most), now)
        if goal.bump_steer is not None:
            wanted = math.degrees(goal.bump_steer)
            # In tenths of a degree, so that it weighs as much as the others do.
            left = 10 * (wanted - np.degrees(outcome.bump_steer[:, side]))
            found.append(_plain("bump steer", where, "tenths of a degree", 10 * wanted, left, wish=True))
        if space.tie_rod is not None:
            span = space.tie_rod.shortest, space.tie_rod.longest
            found += _band("tie-rod length", where, "mm", span, outcome.tie_rod[:, side], wish=False)
    return found
