"""Sizes next to the designed ones with which nothing is missed at the bad end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from solver.car import Changes, Job
from solver.errors import GeometryError
from solver.front_end import FrontEnd, assemble
from solver.stock import plate_thicknesses, step
from solver.uncertainty.bands import Band
from solver.uncertainty.outcomes import outcomes_of
from solver.uncertainty.run import Means, designed, run_cars
from solver.uncertainty.sources import Source
from solver.uncertainty.task import Plan

HOPE = 0.7
"""Share of the half band that a size must keep away from what is wanted to be worth a look: a band is narrower where
the linkage is farther from over-centre."""

FEW = 1_000
"""Cars that are looked at first."""


@dataclass(frozen=True)
class Safer:
    """Sizes in mm."""

    rack_spacer: float
    arm_extension: float


def safer_sizes(
    job: Job, changes: Changes, found: Sequence[Band], sources: Sequence[Source], samples: int, means: Means
) -> Safer | None:
    """The sizes fewest steps away from the designed ones with which every goal holds at the bad end of its band.

    None where none of those tried will do, or the job leaves nothing free.
    """
    half = {band.name: abs(band.nominal - band.bad_end) for band in found}
    for other in _tries(job, changes):
        try:
            design = assemble(job.car, other)
            # Without a look at the first limit the stop is the rack's.
            stop = design.rack_stop - design.stop_room
            plan = Plan(job.goal, (stop, stop), (job.goal.lock, job.goal.lock))
            alone = designed(design, sources, plan)
            if not all(
                outcome.wanted is None
                or (outcome.wanted - outcome.nominal) * (1 if outcome.at_most else -1)
                >= HOPE * half.get(outcome.name, 0.0)
                for outcome in outcomes_of(*alone, *alone, job.goal)
            ):
                continue
            # Most are told apart by a few cars; what those find safe is looked at in full.
            if all(
                _safe(design, sources, plan, count, means) for count in sorted({min(FEW, samples), samples})
            ):
                return Safer(other.rack_spacer, other.arm_extension)
        except GeometryError:
            continue
    return None


def _safe(design: FrontEnd, sources: Sequence[Source], plan: Plan, samples: int, means: Means) -> bool:
    found = run_cars(design, sources, plan, samples, means).bands()
    return all(band.verdict in ("safe", "no wish") for band in found)


def _tries(job: Job, changes: Changes) -> Iterator[Changes]:
    """Spacers up to three plates thicker and one thinner, arms up to five steps longer, nearest first."""
    thickest = job.car.rack.stud_engaged - job.car.rack.stud_diameter
    plates = [0.0, *(t for t in plate_thicknesses(job.shelf) if t <= thickest + 1e-9)]
    at = min(range(len(plates)), key=lambda i: abs(plates[i] - changes.rack_spacer))
    pitch = step(job.shelf)
    tries = [
        (abs(spacer - at) + steps / 2, plates[spacer], changes.arm_extension + steps * pitch)
        for spacer in ([at] if job.spacer_given else range(at - 1, at + 4))
        for steps in ([0] if job.extension_given else [0, 2, 5])
        if 0 <= spacer < len(plates) and (spacer != at or steps)
    ]
    for _, spacer, extension in sorted(tries):
        if extension <= job.goal.max_arm_extension + 1e-9 or job.extension_given:
            yield replace(changes, rack_spacer=spacer, arm_extension=extension)
