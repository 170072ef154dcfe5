"""Tie rods are bought, not made: which of those that can be had suits a design, or what length to look for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.assembling import arrays_of
from solver.car import Changes, Job, TieRod
from solver.front_end import FrontEnd, points_of
from solver.joints import bent_joints

RACK_POINTS, TRAVEL_POINTS = 9, 5
"""At which the outer joint's angle is looked at from stop to stop and from droop to bump: it has no narrow peaks."""


@dataclass(frozen=True)
class RodChoice:
    """The tie rod that a design takes; mm.

    needed: length between joint centres on the left and right
    rod: the one chosen, None when none of those listed will do
    reason: why, or what to look for
    """

    needed: tuple[float, float]
    rod: TieRod | None
    reason: str


def drilled(changes: Changes) -> bool:
    """Whether the pickup's hole is a new one, which can be reamed to any taper."""
    move = changes.pickup_move
    return bool(move.forward or move.outward or move.up)


def usable(job: Job) -> list[TieRod]:
    """The rods listed whose taper fits the knuckle's hole, or a new one where the job lets the pickup be moved."""
    new_hole = job.pickup is not None or drilled(job.fixed)
    return [rod for rod in job.tie_rods if _suits_taper(job, rod, new_hole)]


def choice_for(job: Job, front_end: FrontEnd) -> RodChoice:
    """The tie rod for a front end, its outer joint's angle from stop to stop included."""
    left, right = (float(side.corner.tie_rod) for side in front_end.sides)
    bent = _outer_joint_angle(front_end) if any(rod.articulation for rod in job.tie_rods) else 0.0
    return choose(job, (left, right), drilled(front_end.changes), bent)


def choose(job: Job, needed: tuple[float, float], new_hole: bool, bent: float = 0.0) -> RodChoice:
    """Of the rods listed the one whose adjustment has the needed lengths nearest to its middle.

    new_hole: whether the pickup is drilled anew; bent: most that the outer joint is bent, rad
    """
    faults = {rod.name: tuple(_faults(job, rod, needed, new_hole, bent)) for rod in job.tie_rods}
    fit = [rod for rod in job.tie_rods if not faults[rod.name]]
    if fit:
        best = min(fit, key=lambda r: max(abs(length - (r.shortest + r.longest) / 2) for length in needed))
        spare = min(min(length - best.shortest, best.longest - length) for length in needed)
        said = [f"adjusts to it with {spare:.1f} mm to spare"]
        if best.articulation is not None:
            allowed = math.degrees(best.articulation)
            said.append(
                f"its outer joint bends by {math.degrees(bent):.1f}° of the {allowed:.1f}° that it allows"
            )
        marks = (best.thread and f"{best.thread} thread", best.taper and f"{best.taper} taper")
        return RodChoice(needed, best, "; ".join([*said, *filter(None, marks)]))
    low, high = min(needed), max(needed)
    span = f"{low:.0f} mm" if high - low < 1.0 else f"{low:.0f} mm and {high:.0f} mm"
    taper = f" with a {job.pickup_taper} taper" if job.pickup_taper and not new_hole else ""
    angle = f" and whose outer joint bends {math.degrees(bent):.0f}° to each side" if bent else ""
    missed = "; ".join(f"{name} {' and '.join(why)}" for name, why in faults.items())
    return RodChoice(
        needed,
        None,
        f"none of those listed will do ({missed}): look for one that adjusts to {span}{taper}{angle}",
    )


def _faults(job: Job, rod: TieRod, needed: tuple[float, float], new_hole: bool, bent: float) -> Iterator[str]:
    low, high = min(needed), max(needed)
    if not _suits_taper(job, rod, new_hole):
        yield f"has a {rod.taper} taper"
    if low < rod.shortest:
        yield f"is {rod.shortest - low:.1f} mm too long"
    if high > rod.longest:
        yield f"is {high - rod.longest:.1f} mm too short"
    if rod.articulation is not None and bent > rod.articulation:
        yield (
            f"has an outer joint that bends {math.degrees(rod.articulation):.0f}° where "
            f"{math.degrees(bent):.0f}° are needed"
        )


def _suits_taper(job: Job, rod: TieRod, new_hole: bool) -> bool:
    return new_hole or not (rod.taper and job.pickup_taper) or rod.taper == job.pickup_taper


def _outer_joint_angle(front_end: FrontEnd) -> float:
    """Most that either outer joint is bent from stop to stop over the suspension's travel, rad."""
    rack = np.linspace(-front_end.rack_stop, front_end.rack_stop, RACK_POINTS)
    travel = front_end.travels(TRAVEL_POINTS)
    angles = [
        bent_joints(
            arrays_of(points_of(front_end.car, side.side)), front_end.poses(side, rack, travel)
        ).rod_outer
        for side in front_end.sides
    ]
    return float(np.nanmax(np.stack(angles)))
