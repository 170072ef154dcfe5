"""From measurements to points with uncertainties, and to the names of those that do not fit.

Gauss-Newton with Marquardt's damping for the coordinates; after Baarda, the reading with the largest normalised
residual is put aside as long as it is beyond the critical value. Nothing that was put aside stays so if the
rest, in the end, agrees with it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.survey.advice import Advice, missing, most_helpful
from solver.survey.instruments import usual_sigmas
from solver.survey.measurement import Measurement, Network, SurveyError
from solver.survey.precision import (
    CRITICAL,
    LEAST_CHECKED,
    POWER,
    Precision,
    chi_square_bound,
    free_words,
    precision,
)
from solver.survey.start import best_start, first_guess, fitted, loose_points, mirrored
from solver.vectors import Array

MOST_MISFITS = 4
"""Readings put aside before the whole survey is called contradictory."""

MOST_ACCUSED = 12
"""Readings that are tried for the one to put aside."""

MOST_POINTS, MOST_MEASUREMENTS = 60, 500
"""Of one survey; a front end has 16 points, and the time goes with the cube of them."""

ALIKE = 0.7
"""Correlation of two normalised residuals from which on a slip in one reading may show up in the other."""

APART = 2.0
"""Deviations of their difference by which the larger of two such residuals must lead to be the one to blame."""


@dataclass(frozen=True)
class Misfit:
    """A measurement that the others speak against; mm or radians.

    slip: by how much it reads too much, from the others alone
    normalised: the same in standard deviations: root of what it adds to the sum of squares, with the slip's sign
    instead: others that may be wrong in its place, since nothing tells them apart
    """

    measurement: Measurement
    slip: float
    normalised: float
    instead: tuple[str, ...]


@dataclass(frozen=True)
class Undetermined:
    """A point that the measurements don't hold, and in which direction."""

    point: str
    direction: str


@dataclass(frozen=True)
class TwoPlaces:
    """A point that the measurements put as well in one place as in another, mm."""

    point: str
    place: tuple[float, float, float]
    other: tuple[float, float, float]


@dataclass(frozen=True)
class Survey:
    """Adjusted points.

    points: n names; positions: (n, 3), mm; covariance: (3 n, 3 n), mm², from the stated uncertainties
    freedom: measurements more than needed, those put aside not counted
    scatter: standard deviation of unit weight: residuals over what was stated; 1 is as stated, NaN without freedom
    loose: whether the scatter is more than chance allows though no single measurement stands out
    residuals, normalised, redundancy: of each measurement as given, (m,), those put aside included;
        measured minus adjusted, mm or radians; NaN in the other two for those put aside
    misfits: put aside, worst first
    contradictory: even without them the rest does not agree
    unchecked: names of measurements that no other checks: a slip in them goes unseen
    missing: measurements that would hold what is undetermined
    advice: what to measure next, None while something is undetermined
    """

    points: tuple[str, ...]
    positions: Array
    covariance: Array
    measurements: tuple[Measurement, ...]
    freedom: int
    scatter: float
    loose: bool
    residuals: Array
    normalised: Array
    redundancy: Array
    misfits: tuple[Misfit, ...]
    contradictory: bool
    undetermined: tuple[Undetermined, ...]
    two_places: tuple[TwoPlaces, ...]
    unchecked: tuple[str, ...]
    missing: tuple[str, ...]
    advice: Advice | None

    def sigmas(self) -> Array:
        """Standard deviations of the coordinates, (n, 3), mm; infinite for a point that is not determined."""
        sigmas = np.sqrt(np.maximum(self.covariance.diagonal(), 0.0)).reshape(-1, 3).copy()
        for item in self.undetermined:
            sigmas[self.points.index(item.point)] = math.inf
        return sigmas

    def least_slip(self) -> Array:
        """The slip of each measurement that would be found four times out of five, (m,); infinite if unchecked."""
        with np.errstate(divide="ignore", invalid="ignore"):
            sigma = np.array([item.sigma for item in self.measurements])
            share = np.where(self.redundancy > LEAST_CHECKED, self.redundancy, 0.0)
            return np.asarray(POWER * sigma / np.sqrt(share))

    @property
    def complete(self) -> bool:
        """Whether every point is determined, in one place, and every measurement fits."""
        return not (self.misfits or self.contradictory or self.undetermined or self.two_places)


def adjust(measurements: Sequence[Measurement]) -> Survey:
    """The points that agree best with all measurements.

    Args:
        measurements: at most 500 of at most 60 points, in any order

    Raises:
        SurveyError: there are none or too many. Too few to hold a point, or some that contradict each other,
            are no error here: the survey names them.
    """
    if not measurements:
        raise SurveyError("nothing was measured yet; expected heights, distances and lengths of named points")
    network = Network(measurements)
    if len(network.points) > MOST_POINTS or len(measurements) > MOST_MEASUREMENTS:
        raise SurveyError(
            f"{len(measurements)} measurements of {len(network.points)} points; expected at most "
            f"{MOST_MEASUREMENTS} of at most {MOST_POINTS}"
        )
    kept, positions = _without_slips(network, best_start(network))
    used = network.only(kept)
    precise = precision(used, positions)
    misclosures = network.misclosures(positions)
    squares = float(((misclosures / network.sigma)[kept] ** 2).sum())
    undetermined = tuple(
        Undetermined(name, words)
        for number, name in enumerate(network.points)
        if (words := free_words(precise.free, number))
    )
    too_much = bool(precise.freedom and squares > chi_square_bound(precise.freedom))
    stands_out = bool((abs(precise.normalised) > CRITICAL).any())
    sigmas = usual_sigmas()
    return Survey(
        points=network.points,
        positions=positions,
        covariance=precise.covariance,
        measurements=network.measurements,
        freedom=precise.freedom,
        scatter=math.sqrt(squares / precise.freedom) if precise.freedom else math.nan,
        loose=too_much and not stands_out,
        residuals=misclosures,
        normalised=_spread(precise.normalised, kept),
        redundancy=_spread(precise.redundancy, kept),
        misfits=_misfits(network, kept, positions),
        contradictory=stands_out,
        undetermined=undetermined,
        two_places=() if undetermined or stands_out else _two_places(used, positions, precise),
        unchecked=tuple(
            item.name
            for item, share in zip(used.measurements, precise.redundancy, strict=True)
            if share <= LEAST_CHECKED
        ),
        missing=tuple(missing(used, positions, precise, sigmas)),
        advice=None if undetermined else most_helpful(used, positions, precise, sigmas),
    )


def _spread(values: Array, kept: NDArray[np.bool_]) -> Array:
    spread = np.full(len(kept), math.nan)
    spread[kept] = values
    return spread


def _without_slips(network: Network, positions: Array) -> tuple[NDArray[np.bool_], Array]:
    """Which measurements are kept, (m,), and the positions that these give."""
    kept = np.ones(len(network.value), dtype=bool)
    positions, _ = fitted(network, positions)
    while (~kept).sum() < MOST_MISFITS:
        accused = _accused(network, kept, positions)
        if not accused:
            break
        # A slip of many centimetres drags points so far that the largest residual may be another's. What is put
        # aside is therefore the one without which the rest agree best.
        ways = [fitted(network.only(_all_but(kept, number)), positions) for number in accused]
        best = int(np.argmin(np.round([cost for _, cost in ways], 6)))
        kept = _all_but(kept, accused[best])
        used = network.only(kept)
        positions = min(ways[best], fitted(used, first_guess(used)), key=lambda way: way[1])[0]
    if _accused(network, kept, positions):
        return kept, positions
    for number in map(int, np.flatnonzero(~kept)):
        # One put aside early may have been accused by another that was found later.
        if _strain(network, kept, positions, number) <= CRITICAL:
            kept[number] = True
            positions, _ = fitted(network.only(kept), positions)
    return kept, positions


def _strain(network: Network, kept: NDArray[np.bool_], positions: Array, number: int) -> float:
    """Root of what taking a measurement in adds to the sum of squares.

    For small errors that is the absolute value of its normalised residual; for large ones, where a point gives way
    along a curve, it still says how little the others agree with it.
    """
    together = kept.copy()
    together[number] = True
    _, alone = fitted(network.only(kept), positions)
    _, strained = fitted(network.only(together), positions)
    return math.sqrt(max(strained - alone, 0.0))


def _accused(network: Network, kept: NDArray[np.bool_], positions: Array) -> list[int]:
    """Measurements whose normalised residual is beyond the critical value, worst first; at most so many."""
    normalised = abs(precision(network.only(kept), positions).normalised)
    order = np.argsort(-np.round(normalised, 9), kind="stable")
    numbers = np.flatnonzero(kept)
    return [int(numbers[place]) for place in order if normalised[place] > CRITICAL][:MOST_ACCUSED]


def _all_but(kept: NDArray[np.bool_], number: int) -> NDArray[np.bool_]:
    fewer = kept.copy()
    fewer[number] = False
    return fewer


def _misfits(network: Network, kept: NDArray[np.bool_], positions: Array) -> tuple[Misfit, ...]:
    found = []
    for number in np.flatnonzero(~kept):
        slip = float(network.misclosures(positions)[number])
        normalised = math.copysign(_strain(network, kept, positions, int(number)), slip)
        # Seen from a fit in which it takes part: which others would explain it as well. The difference of two
        # normal numbers of correlation r has the variance 2 (1 − r).
        together = kept.copy()
        together[number] = True
        used = network.only(together)
        precise = precision(used, fitted(used, positions)[0])
        place = int(together[:number].sum())
        alike = precise.alike[place]
        lead = abs(precise.normalised[place]) - abs(precise.normalised)
        doubtful = (alike > ALIKE) & (lead < APART * np.sqrt(2 * np.maximum(1 - alike, 0.0)) + 1e-6)
        doubtful[place] = False
        instead = tuple(used.measurements[other].name for other in np.flatnonzero(doubtful))
        found.append(Misfit(network.measurements[number], slip, normalised, instead))
    return tuple(sorted(found, key=lambda item: -abs(item.normalised)))


def _two_places(network: Network, positions: Array, precise: Precision) -> tuple[TwoPlaces, ...]:
    """Points known by tape alone that would fit as well on the other side of what they were measured from."""
    residual = network.misclosures(positions) / network.sigma
    bound = float(residual @ residual) + CRITICAL**2
    sigma = np.sqrt(np.maximum(precise.covariance.diagonal(), 0.0)).reshape(-1, 3)
    found = []
    for point in loose_points(network):
        other, cost = fitted(network, mirrored(network, positions, point))
        apart = abs(other[point] - positions[point])
        if cost <= bound and (apart > np.maximum(6 * sigma[point], 1.0)).any():
            here, there = (tuple(float(value) for value in where[point]) for where in (positions, other))
            found.append(
                TwoPlaces(network.points[point], (here[0], here[1], here[2]), (there[0], there[1], there[2]))
            )
    return tuple(found)
