"""Which measurement to take next: for what is not determined yet, and for the point that is known worst."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from solver.survey.measurement import Kind, Measurement, Network, called
from solver.survey.precision import Precision
from solver.vectors import Array

SHORTEST, LONGEST = 50.0, 2500.0
"""mm between two points that a tape can be held to at a front end."""

MOST_MISSING = 6


@dataclass(frozen=True)
class Advice:
    """One measurement more.

    point: that it is meant for
    now, then: standard deviation of that point's position, all three axes together, without and with it; mm
    """

    measurement: str
    point: str
    now: float
    then: float


def candidates(network: Network, positions: Array, sigmas: Mapping[Kind, float]) -> list[Measurement]:
    """Measurements that could be taken and have not been; their values are what they would read.

    sigmas: standard deviation of each kind, mm
    """
    taken = {(item.kind, frozenset((item.point, item.origin))) for item in network.measurements}
    place = dict(zip(network.points, positions, strict=True))
    found = []
    for kind in ("height", "across", "ahead"):
        found += [Measurement(kind, point, None, 0.0, sigmas[kind]) for point in network.points]
    for one, other in combinations(network.points, 2):
        span = float(np.linalg.norm(place[one] - place[other]))
        if SHORTEST < span < LONGEST and _within_reach(one, other):
            found.append(Measurement("length", other, one, span, sigmas["length"]))
    return [item for item in found if (item.kind, frozenset((item.point, item.origin))) not in taken]


def _within_reach(one: str, other: str) -> bool:
    """Points of one side, or the same point of both: the engine stands between all others."""
    side, _, name = one.rpartition(".")
    other_side, _, other_name = other.rpartition(".")
    return not side or not other_side or side == other_side or name == other_name


def missing(
    network: Network, positions: Array, precise: Precision, sigmas: Mapping[Kind, float]
) -> list[str]:
    """Names of measurements that together would hold what nothing holds, most telling first; at most six."""
    free = precise.free
    others = candidates(network, positions, sigmas)
    if not len(free) or not others:
        return []
    rows = Network(others, network.points).jacobian(positions)
    names: list[str] = []
    while len(free) and len(names) < MOST_MISSING:
        seen = rows @ free.T
        best = int(np.argmax(np.round((seen**2).sum(axis=1), 9)))
        if seen[best] @ seen[best] < 1e-6:
            break
        names.append(others[best].name)
        # What is left free is square to what this measurement sees.
        axes = np.linalg.svd(seen[best][None, :], full_matrices=True)[2]
        free = axes[1:] @ free
    return names


def most_helpful(
    network: Network, positions: Array, precise: Precision, sigmas: Mapping[Kind, float]
) -> Advice | None:
    """The measurement that would improve the worst known point most; None if there is none left to take.

    From the update of a covariance by one observation: Q − Q a aᵀ Q / (σ² + aᵀ Q a).
    """
    others = candidates(network, positions, sigmas)
    if not others:
        return None
    Q = precise.covariance
    variance = Q.diagonal().reshape(-1, 3).sum(axis=1)
    worst = int(np.argmax(variance))
    extra = Network(others, network.points)
    rows = extra.jacobian(positions)
    seen = rows @ Q
    gain = (seen[:, 3 * worst : 3 * worst + 3] ** 2).sum(axis=1)
    gain /= extra.sigma**2 + (seen * rows).sum(axis=1)
    best = int(np.argmax(np.round(gain, 9)))
    now = float(variance[worst])
    if gain[best] < 0.01 * now:
        return None
    name = called(others[best].kind, others[best].point, others[best].origin)
    return Advice(name, network.points[worst], math.sqrt(now), math.sqrt(max(now - float(gain[best]), 0.0)))
