"""What to do where the bad end of a band misses what is wanted: what to measure again, and to what."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from solver.uncertainty.bands import Band, Share
from solver.uncertainty.sources import Source

MOST_AGAIN = 6
"""Measurements that are asked for at once."""
LEAST_SHARE = 0.3
"""A measurement can be made this many times better at most: from two millimetres to some half of one."""


@dataclass(frozen=True)
class Again:
    """Something to measure again: standard deviations as they are and as they would have to be, mm or rad."""

    source: Source
    now: float
    then: float


@dataclass(frozen=True)
class Advice:
    """For one quantity that is not safe.

    again: what to measure again so that its bad end is good enough; empty where no few measurements would do
    unlike: share of the variance that comes from taking one side as the other's mirror
    """

    band: Band
    again: tuple[Again, ...]
    unlike: float


def advice_for(found: Sequence[Band]) -> tuple[Advice, ...]:
    """Advice for every quantity that is met as designed and missed at the bad end."""
    return tuple(Advice(b, _again(b), _unlike(b.shares)) for b in found if b.verdict == "not safe")


def _again(band: Band) -> tuple[Again, ...]:
    """The fewest measurements that would do, all made better by the same factor.

    The half of the band towards its bad end shrinks like the root of the sum of squares of the effects.
    """
    half = abs(band.middle - band.bad_end)
    if band.room <= 0 or half <= 0:
        return ()
    whole = sum(share.effect**2 for share in band.shares)
    allowed = (band.room / half) ** 2 * whole
    candidates = [share for share in band.shares if share.source.again]
    taken = 0.0
    for count, share in enumerate(candidates[:MOST_AGAIN], start=1):
        taken += share.effect**2
        left = allowed - (whole - taken)
        if left > 0 and (factor := math.sqrt(left / taken)) >= LEAST_SHARE:
            chosen = [one.source for one in candidates[:count]]
            return tuple(Again(source, source.sigma, factor * source.sigma) for source in chosen)
    return ()


def _unlike(shares: Sequence[Share]) -> float:
    return sum(share.of_variance for share in shares if not share.source.again)
