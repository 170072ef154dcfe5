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
from solver.survey.start import best_start, fitted, loose_points, mirrored
from solver.vectors import Array

MOST_MISFITS = 4
"""Readings put aside before the whole survey is called contradictory."""

MOST_POINTS, MOST_MEASUREMENTS = 100, 1000
"""Of one survey; a front end has 16 points, and the time goes with the cube of them."""

ALIKE = 0.95
"""Correlation of two normalised residuals from which on nothing tells which of the two readings is wrong."""


@dataclass(frozen=True)
class Misfit:
    """A measurement that the others speak against; mm or radians.

    slip: by how much it reads too much, from the others alone; normalised: its residual over its own deviation
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
        measurements: at most 1000 of at most 100 points, in any order

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
        normalised = abs(precision(network.only(kept), positions).normalised)
        if not len(normalised) or normalised.max() <= CRITICAL:
            break
        kept[np.flatnonzero(kept)[int(np.argmax(np.round(normalised, 9)))]] = False
        # One that is far off drags points with it, so that the way back may start elsewhere.
        used = network.only(kept)
        again = [fitted(used, positions), fitted(used, best_start(used))]
        positions = min(again, key=lambda pair: pair[1])[0]
    for number in np.flatnonzero(~kept):
        # One put aside early may have been accused by another that was found later.
        if abs(_against(network, kept, positions, int(number))[1]) <= CRITICAL:
            kept[number] = True
            positions, _ = fitted(network.only(kept), positions)
    return kept, positions


def _against(network: Network, kept: NDArray[np.bool_], positions: Array, number: int) -> tuple[float, float]:
    """How much a measurement that was put aside reads too much, and the same over its deviation."""
    alone = np.zeros(len(kept), dtype=bool)
    alone[number] = True
    one = network.only(alone)
    row = one.jacobian(positions)[0]
    variance = network.sigma[number] ** 2 + row @ precision(network.only(kept), positions).covariance @ row
    slip = float(one.misclosures(positions)[0])
    return slip, slip / math.sqrt(float(variance))


def _misfits(network: Network, kept: NDArray[np.bool_], positions: Array) -> tuple[Misfit, ...]:
    found = []
    for number in np.flatnonzero(~kept):
        slip, normalised = _against(network, kept, positions, int(number))
        # Seen from a fit in which it takes part: which others would explain it as well.
        together = kept.copy()
        together[number] = True
        precise = precision(network.only(together), positions)
        place = int(together[:number].sum())
        names = [item.name for item, keep in zip(network.measurements, together, strict=True) if keep]
        instead = tuple(
            name for other, name in enumerate(names) if other != place and precise.alike[place, other] > ALIKE
        )
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
