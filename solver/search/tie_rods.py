"""Tie rods are bought, not made: which of those that can be had suits a design, or what length to look for."""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.car import Job, TieRod
from solver.search.design import Space
from solver.vectors import Array


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


def suits_taper(job: Job, rod: TieRod) -> bool:
    """Whether a rod's outer stud fits the knuckle's hole. A pickup drilled anew is reamed to suit any."""
    moved = job.pickup is not None or job.fixed.pickup_move.forward or job.fixed.pickup_move.outward
    return bool(moved) or not (rod.taper and job.pickup_taper) or rod.taper == job.pickup_taper


def choose(job: Job, needed: Array) -> RodChoice:
    """Of the rods listed the one whose adjustment has the needed lengths (2,) nearest to its middle."""
    lengths = float(needed[0]), float(needed[1])
    fit = [
        rod
        for rod in job.tie_rods
        if suits_taper(job, rod) and all(rod.shortest <= length <= rod.longest for length in lengths)
    ]
    if fit:
        best = min(fit, key=lambda r: max(abs(length - (r.shortest + r.longest) / 2) for length in lengths))
        spare = min(min(length - best.shortest, best.longest - length) for length in lengths)
        return RodChoice(lengths, best, f"adjusts to it with {spare:.1f} mm to spare")
    return RodChoice(lengths, None, _what_to_look_for(job, lengths))


def bands(job: Job) -> list[tuple[float, float]]:
    """Adjustment of each rod listed that fits the knuckle's taper, mm."""
    return [(rod.shortest, rod.longest) for rod in job.tie_rods if suits_taper(job, rod)]


def with_rods(space: Space, band: tuple[float, float]) -> Space:
    """The designs whose tie rods lie within a band of lengths, mm."""
    return replace(space, tie_rods=band)


def _what_to_look_for(job: Job, lengths: tuple[float, float]) -> str:
    low, high = min(lengths), max(lengths)
    span = f"{low:.0f} mm" if high - low < 1.0 else f"{low:.0f} mm to {high:.0f} mm"
    taper = f" with a {job.pickup_taper} taper" if job.pickup_taper else ""
    missed = []
    for rod in job.tie_rods:
        if not suits_taper(job, rod):
            missed.append(f"{rod.name} has a {rod.taper} taper")
        elif low < rod.shortest:
            missed.append(f"{rod.name} is at least {rod.shortest - low:.1f} mm too long")
        else:
            missed.append(f"{rod.name} is at least {high - rod.longest:.1f} mm too short")
    return f"none of those listed will do ({'; '.join(missed)}): look for one that adjusts to {span}{taper}"
