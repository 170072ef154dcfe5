"""What a lock sweep of many cars is given, and what it comes to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.car import Goal, Side
from solver.uncertainty.variants import SIDES, Bars, Variants
from solver.vectors import Array, Mask

if TYPE_CHECKING:
    from numpy.typing import NDArray

TRAVELS = 5
"""Wheel travels from full droop to full bump, as in `solver.limits`."""
RIDE = TRAVELS // 2
"""Number of the travel that is none."""
TO_WANTED, TO_STOP = 10, 3
"""Rack displacements up to the wanted lock, and beyond it to the stop."""
NEAR = 30.0
"""A gap larger than the wanted one by more than this, mm, is not followed up: it is given as that much."""
NOWHERE = 1e5
"""Where a bar is put on the side that has none, mm."""
STOP, END, MARGIN, BARS = 0, 1, 2, 3
"""Numbers of the limits; those of bars follow, all of the left side before the right one's."""


@dataclass(frozen=True)
class Plan:
    """Up to where the sweeps go.

    stops: rack displacement in mm at which each turn is stopped as designed; wanted: lock up to which gaps count, rad
    others: first limit of each turn that isn't swept for, such as a joint's, with its name; it is taken as designed
    """

    goal: Goal
    stops: tuple[float, float]
    wanted: tuple[float, float]
    others: tuple[tuple[float, str], tuple[float, str]] = ((np.inf, ""), (np.inf, ""))


@dataclass(frozen=True, eq=False)
class Task:
    """n cars to be swept; left turn and left wheel first.

    stops: (n, 2) rack displacement, mm; ends: (n, 2) where its teeth end or a limit is that isn't swept for, mm
    travel: (m,) of the wheels, mm; bars: as many on both sides
    """

    variants: Variants
    plan: Plan
    stops: Array
    ends: Array
    travel: Array
    bars: dict[Side, Bars]


@dataclass(frozen=True, eq=False)
class Swept:
    """What the sweeps of n cars come to; mm and radians. Left turn and left wheel first.

    lock: (n, 2) steer of the inner wheel at ride height at the first limit of each turn
    limit: (n, 2) number of that limit
    margin: (n, 2) least over-centre margin of either wheel up to the stop, over all travel, 0 where over-centre comes
        before it
    gaps: by side (n, k) least gap between tyre and each bar up to the wanted lock of both turns, over all travel; at
        most the wanted clearance and NEAR
    sound: (n,) False where a car can't be assembled or can't travel: its numbers are 0
    """

    lock: Array
    limit: NDArray[np.int64]
    margin: Array
    gaps: dict[Side, Array]
    sound: Mask


@dataclass(frozen=True, eq=False)
class Raw:
    """The same as arrays: gaps (n, 2, k), and angles of the arms, (n, m) of each side, NaN where there is none."""

    lock: Array
    limit: NDArray[np.int64]
    margin: Array
    gaps: Array
    angles: tuple[Array, Array]


def task_of(variants: Variants, plan: Plan) -> Task:
    """Cars and plan put together."""
    car, half = variants.stack.car, RIDE + 1
    droop, bump = np.linspace(-car.droop_travel, 0, half)[:-1], np.linspace(0, car.bump_travel, half)
    return Task(
        variants=variants,
        plan=plan,
        stops=np.maximum(np.array(plan.stops) + variants.stop_error, 0.0),
        ends=np.minimum(variants.teeth, [rack for rack, _ in plan.others]),
        travel=np.concatenate([droop, bump]),
        bars={side: _padded(variants.bars, side) for side in SIDES},
    )


def to_wanted() -> Array:
    """Shares of the way to the wanted lock, closer together towards it, where a wheel turns faster with the rack."""
    even = np.linspace(0.0, 1.0, TO_WANTED)
    return np.asarray(even * (1.6 - 0.6 * even))


def to_stop() -> Array:
    """Shares of the way from there to the stop."""
    return np.linspace(0.0, 1.0, TO_STOP + 1)[1:]


def _padded(bars: dict[Side, Bars], side: Side) -> Bars:
    own = bars[side]
    more = max(len(bars[one].names) for one in SIDES) - len(own.names)
    count = len(own.radius)
    return Bars(
        own.names,
        np.concatenate([own.ends, np.full((count, more, 6), NOWHERE)], axis=1),
        np.concatenate([own.radius, np.zeros((count, more))], axis=1),
        np.concatenate([own.in_arm, np.zeros(more, bool)]),
    )
