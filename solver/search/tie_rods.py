"""Tie rods are bought, not made: which of those that can be had suits a design, or what length to look for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.car import Job, TieRod
from solver.front_end import FrontEnd, points_of
from solver.joints import articulation
from solver.sweep import rack_sign
from solver.vectors import Array

STUD = math.radians(0.05)
"""By which a stud may lean more than its joint is said to allow: what rounding to sizes on sale makes of it."""


@dataclass(frozen=True)
class RodChoice:
    """The tie rod that a design takes; mm.

    needed: length between joint centres on the left and right
    bent: most by which an outer joint is bent, rad
    rod: the one chosen, None when none of those listed will do
    reason: why, or what to look for
    """

    needed: tuple[float, float]
    bent: float
    rod: TieRod | None
    reason: str


def suits_taper(job: Job, rod: TieRod) -> bool:
    """Whether a rod's outer stud fits the knuckle's hole. A pickup drilled anew is reamed to suit any."""
    moved = job.pickup is not None or job.fixed.pickup_move.forward or job.fixed.pickup_move.outward
    return bool(moved) or not (rod.taper and job.pickup_taper) or rod.taper == job.pickup_taper


def suits_bend(rod: TieRod, bent: float) -> bool:
    """Whether a rod's outer joint leans as far as it has to, rad; one of which that isn't known is taken to."""
    return rod.articulation is None or bent <= rod.articulation + STUD


def outer_bend(front_end: FrontEnd, racks: Array) -> float:
    """Most by which an outer tie-rod joint is bent, rad, over the suspension's travel.

    Straight ahead and with the rack at ``racks`` (2,), mm from the centre in the left and the right turn.
    """
    car = front_end.car
    travel = np.array([-car.droop_travel, 0.0, car.bump_travel])
    rack = np.array([0.0, rack_sign(front_end, "left") * racks[0], rack_sign(front_end, "right") * racks[1]])
    bent = [
        articulation(points_of(car, side.side), front_end.poses(side, rack, travel)).rod_outer
        for side in front_end.sides
    ]
    return float(np.nanmax(bent))


def choose(job: Job, needed: Array, bent: float) -> RodChoice:
    """Of the rods listed the one whose adjustment has the needed lengths (2,) nearest to its middle, and whose outer
    joint leans by ``bent`` rad."""
    lengths = float(needed[0]), float(needed[1])
    fit = [
        rod
        for rod in job.tie_rods
        if suits_taper(job, rod)
        and suits_bend(rod, bent)
        and all(rod.shortest <= length <= rod.longest for length in lengths)
    ]
    if fit:
        best = min(fit, key=lambda r: max(abs(length - (r.shortest + r.longest) / 2) for length in lengths))
        spare = min(min(length - best.shortest, best.longest - length) for length in lengths)
        said = [f"adjusts to it with {spare:.1f} mm to spare"]
        if best.articulation is not None:
            allowed = math.degrees(best.articulation)
            said.append(
                f"its outer joint leans by {math.degrees(bent):.1f}° of the {allowed:.1f}° that it allows"
            )
        marks = [f"{best.thread} thread" if best.thread else "", f"{best.taper} taper" if best.taper else ""]
        return RodChoice(lengths, bent, best, "; ".join([*said, *filter(None, marks)]))
    return RodChoice(lengths, bent, None, _what_to_look_for(job, lengths, bent))


def _what_to_look_for(job: Job, lengths: tuple[float, float], bent: float) -> str:
    low, high = min(lengths), max(lengths)
    span = f"{low:.0f} mm" if high - low < 1.0 else f"{low:.0f} mm to {high:.0f} mm"
    taper = f" with a {job.pickup_taper} taper" if job.pickup_taper else ""
    missed = []
    for rod in job.tie_rods:
        if not suits_taper(job, rod):
            missed.append(f"{rod.name} has a {rod.taper} taper")
        elif low < rod.shortest:
            missed.append(f"{rod.name} is at least {rod.shortest - low:.1f} mm too long")
        elif high <= rod.longest and rod.articulation is not None:
            allowed = math.degrees(rod.articulation)
            missed.append(f"the outer joint of {rod.name} allows {allowed:.1f}° to each side")
        else:
            missed.append(f"{rod.name} is at least {high - rod.longest:.1f} mm too short")
    return (
        f"none of those listed will do ({'; '.join(missed)}): look for one that adjusts to {span}{taper} and "
        f"whose outer joint leans by {math.degrees(bent):.1f}° to each side"
    )
