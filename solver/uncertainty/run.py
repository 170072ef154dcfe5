"""Many cars that the measurements allow, swept and asked for every quantity."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.errors import GeometryError
from solver.front_end import FrontEnd
from solver.uncertainty.bands import Band, Outcome, bands
from solver.uncertainty.normals import even_normals
from solver.uncertainty.outcomes import outcomes_of
from solver.uncertainty.sources import Source
from solver.uncertainty.sweep import sweep_variants
from solver.uncertainty.task import Plan, Swept
from solver.uncertainty.variants import SIDES, Variants, variants_of
from solver.vectors import Array

MOST_LOST = 0.05
"""Share of the cars that may be impossible to put together before the measurements are said to be of no use."""
MOST_SAMPLES = 1_000_000

FirstLimits = tuple[tuple[str, float], ...]
"""What limits the lock first, with the share of the cars in which it does, most frequent first."""


@dataclass(frozen=True)
class Means:
    """How it is worked out: with compiled code or the NumPy form, on how many threads (None for all)."""

    compiled: bool = True
    cores: int | None = None


@dataclass(frozen=True, eq=False)
class Run:
    """Cars swept: quantities and errors of those that can be put together, and how many can't.

    chance: share of all cars that meet every goal; first_limits: of the left and the right turn
    over_centre_first: share of all cars that go over centre before the stop, in the left and the right turn
    """

    outcomes: list[Outcome]
    sources: Sequence[Source]
    normals: Array
    lost: int
    chance: float
    first_limits: tuple[FirstLimits, FirstLimits]
    over_centre_first: tuple[float, float]

    def bands(self) -> tuple[Band, ...]:
        """Of every quantity."""
        return bands(self.outcomes, self.sources, self.normals, self.lost)


def run_cars(design: FrontEnd, sources: Sequence[Source], plan: Plan, samples: int, means: Means) -> Run:
    """Sweep so many cars around a design.

    Raises:
        GeometryError: a number of samples that is none, or too many cars that can't be put together; names the error
            that is most to blame.
    """
    if not 1 <= samples <= MOST_SAMPLES:
        raise GeometryError(f"{samples} samples were asked for; expected from 1 to {MOST_SAMPLES:,}")
    normals = even_normals(samples, len(sources))
    variants = variants_of(design, sources, normals)
    swept = sweep_variants(variants, plan, compiled=means.compiled, cores=means.cores)
    lost = int((~swept.sound).sum())
    if lost > MOST_LOST * samples:
        raise GeometryError(_too_many_lost(sources, normals, swept))
    outcomes = outcomes_of(*designed(design, sources, plan), variants, swept, plan.goal)
    good = np.ones(samples - lost, dtype=bool)
    for outcome in outcomes:
        good &= outcome.good
    left, right = (_first_limits(variants, swept, plan, turn) for turn in (0, 1))
    over = (swept.margin[swept.sound] <= 0).sum(axis=0) / samples
    return Run(
        outcomes=outcomes,
        sources=sources,
        normals=normals[swept.sound],
        lost=lost,
        chance=float(good.sum()) / samples,
        first_limits=(left, right),
        over_centre_first=(float(over[0]), float(over[1])),
    )


def designed(design: FrontEnd, sources: Sequence[Source], plan: Plan) -> tuple[Variants, Swept]:
    """The design alone, without any error."""
    alone = variants_of(design, sources, np.zeros((1, len(sources))))
    return alone, sweep_variants(alone, plan, compiled=False)


def _first_limits(variants: Variants, swept: Swept, plan: Plan, turn: int) -> FirstLimits:
    other, name = plan.others[turn]
    teeth = variants.stack.car.rack.tooth_travel
    end = name if teeth is None or other < teeth else "end of the rack's teeth"
    names = ["rack stop or bracket", end, "over-centre margin"]
    most = max(len(variants.bars[side].names) for side in SIDES)
    for side in SIDES:
        own = variants.bars[side].names
        names += [f"{side} tyre on {name}" for name in (*own, *[""] * (most - len(own)))]
    counts = np.bincount(swept.limit[swept.sound, turn], minlength=len(names)) / len(variants)
    order = np.argsort(-counts, kind="stable")
    return tuple((names[i], float(counts[i])) for i in order if counts[i] > 0)


def _too_many_lost(sources: Sequence[Source], normals: Array, swept: Swept) -> str:
    lost = normals[~swept.sound]
    share = f"{100 * len(lost) / len(normals):.0f} %"
    if not sources:
        return f"{share} of the cars can't be put together although nothing is uncertain; check the points"
    # In the lost cars the culprit's error is larger than it is on the whole.
    source = sources[int(np.argmax((lost**2).mean(axis=0)))]
    size = f"{np.degrees(source.sigma):.2f}°" if source.angle else f"{source.sigma:.1f} mm"
    return (
        f"with these uncertainties {share} of the cars that the measurements allow can't be put together at all; most "
        f"to blame is this one: {source.name}, ±{size} ({source.key} in [uncertainty]). Measure it again, or correct "
        "its uncertainty"
    )
