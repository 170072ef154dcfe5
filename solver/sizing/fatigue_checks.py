"""Fatigue screening of the arm extension sleeve: stress ranges of the everyday cases at its weld details."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np

from solver.part import Check, Where
from solver.sizing.context import SizingContext
from solver.strength.fatigue import WeldDetail, allowed_range, life, weld_detail
from solver.strength.sections import Section
from solver.sweep import TURNS
from solver.vectors import Array

Stress = Callable[[Array, Array, Array], Array]
"""Stress from force, moment and torque, each (k,)."""


def fatigue_checks(
    context: SizingContext,
    tips: tuple[float, ...],
    rows: tuple[float, ...],
    arm: Section,
    net: Section,
    throat: Stress,
) -> tuple[Check, ...]:
    """Stress ranges of the everyday cases at the weld details, against what they bear for the events wanted."""
    values = context.vehicle.values
    cycles = values["event_cycles"] * values["events"]
    none = np.zeros(())

    def in_throat(force: Array, moment: Array) -> Array:
        return np.sign(force) * throat(force, none, none) + np.sign(moment) * throat(none, moment, none)

    details = (
        ("sleeve end", tips, arm.edge_stress),
        ("plug hole", rows, net.edge_stress),
        ("fillet throat", tips, in_throat),
    )
    return tuple(
        _fatigue_check(weld_detail(name), *_spread(context, places, stress), cycles)
        for name, places, stress in details
    )


def events_between(context: SizingContext, checks: Iterable[Check]) -> int:
    """Events after which a welded part is looked at again: a tenth of its least fatigue life, from 1 to 10."""
    lives = [
        life(weld_detail(name), check.demand)
        for check in checks
        if (name := check.name.partition("fatigue, ")[2])
    ]
    per_event = context.vehicle.values["event_cycles"]
    return int(min(max(min(lives, default=math.inf) / per_event / 10.0, 1.0), 10.0))


def _spread(
    context: SizingContext, places: tuple[float, ...], stress: Callable[[Array, Array], Array]
) -> tuple[float, Where]:
    """Greatest less least stress of the everyday cases at either edge of the arm, on one side of the car."""
    best = 0.0, Where("any")
    for side, daily in enumerate(context.everyday):
        for place in places:
            force, moment = daily.link.axial(place), daily.link.level_moment(place)
            for edge in (1.0, -1.0):
                values = stress(force, edge * moment)
                high, low = int(np.argmax(values)), int(np.argmin(values))
                spread = float(values[high] - values[low])
                if spread > best[0]:
                    names = [context.sweep.cases[int(daily.case[row])].name for row in (high, low)]
                    best = spread, Where(" to ".join(dict.fromkeys(names)), TURNS[side])
    return best


def _fatigue_check(detail: WeldDetail, spread: float, at: Where, cycles: float) -> Check:
    return Check(
        f"fatigue, {detail.name}",
        spread,
        allowed_range(detail, cycles),
        "MPa",
        "stress range of the everyday cases against (2·10⁶/N)^(1/3) Δσ_C/1.35",
        detail.source,
        f"{detail.where}: class {detail.detail_class:.0f} MPa, N = {cycles:.0f}",
        at,
        required=1.0,
    )
