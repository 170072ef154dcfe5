"""From many values of a quantity to its band, its chance to be what was wanted, and what it depends on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.uncertainty.sources import Source
from solver.vectors import Array, Mask

COVERAGE = 0.90
"""Share of the cars whose value lies in the band; as many lie below it as above."""
ROUNDING = 1e-6
"""By how much a value may miss what is wanted and still be taken to have it; mm or rad."""


@dataclass(frozen=True, eq=False)
class Outcome:
    """One quantity over n cars; mm or radians.

    kind: what it is about; name: with side or turn, for people; angle: whether it is one
    nominal: of the car as designed; values: (n,); wanted: least or greatest value wanted, None for no wish
    most: values are cut off here, None where they aren't
    """

    kind: str
    name: str
    angle: bool
    nominal: float
    values: Array
    wanted: float | None
    at_most: bool = False
    most: float | None = None

    @property
    def good(self) -> Mask:
        """(n,) which of the cars have what is wanted."""
        if self.wanted is None:
            return np.ones(len(self.values), dtype=bool)
        if self.at_most:
            return np.asarray(self.values <= self.wanted + ROUNDING)
        return np.asarray(self.values >= self.wanted - ROUNDING)


@dataclass(frozen=True)
class Share:
    """What one error does to a quantity: by how much one standard deviation of it moves it, signed; mm or rad.

    of_variance: which part of the quantity's variance is its own, 0 to 1
    """

    source: Source
    effect: float
    of_variance: float


@dataclass(frozen=True)
class Band:
    """A quantity with its band; mm or radians.

    low, middle, high: 5, 50 and 95 % of the cars have less
    chance: share of the cars that have what is wanted, None for no wish; cars that can't be put together have not
    shares: largest first; linear: part of the variance that is explained by the errors one by one, 0 to 1
    """

    kind: str
    name: str
    angle: bool
    nominal: float
    low: float
    middle: float
    high: float
    wanted: float | None
    at_most: bool
    most: float | None
    chance: float | None
    shares: tuple[Share, ...]
    linear: float

    @property
    def bad_end(self) -> float:
        """The end of the band that decides."""
        return self.high if self.at_most else self.low

    @property
    def met(self) -> bool:
        """Whether the car as designed has what is wanted."""
        return self.wanted is None or self._reaches(self.nominal)

    @property
    def verdict(self) -> Literal["safe", "not safe", "missed", "no wish"]:
        """Decided by the band's bad end."""
        if self.wanted is None:
            return "no wish"
        if not self.met:
            return "missed"
        return "safe" if self._reaches(self.bad_end) else "not safe"

    @property
    def room(self) -> float:
        """How much better than wanted the middle of the band is; negative where it is worse."""
        assert self.wanted is not None
        return self.wanted - self.middle if self.at_most else self.middle - self.wanted

    def _reaches(self, value: float) -> bool:
        assert self.wanted is not None
        return value <= self.wanted + ROUNDING if self.at_most else value >= self.wanted - ROUNDING


def bands(
    outcomes: Sequence[Outcome], sources: Sequence[Source], normals: Array, lost: int
) -> tuple[Band, ...]:
    """The band of each quantity over the same n cars.

    normals: (n, sources) errors of the cars in standard deviations; lost: cars beside these that can't be put together
    """
    if not outcomes:
        return ()
    values = np.stack([outcome.values for outcome in outcomes], axis=1)
    ends = np.quantile(values, [(1 - COVERAGE) / 2, 0.5, (1 + COVERAGE) / 2], axis=0)
    slopes, linear = _slopes(values, normals)
    found = []
    for i, outcome in enumerate(outcomes):
        explained = float((slopes[:, i] ** 2).sum())
        shares = [
            Share(source, float(slope), float(slope**2 / explained) * float(linear[i]) if explained else 0.0)
            for source, slope in zip(sources, slopes[:, i], strict=True)
        ]
        shares.sort(key=lambda share: -abs(share.effect))
        chance = None if outcome.wanted is None else float(outcome.good.sum()) / (len(values) + lost)
        low, middle, high = (float(end) for end in ends[:, i])
        found.append(
            Band(
                outcome.kind,
                outcome.name,
                outcome.angle,
                outcome.nominal,
                low,
                middle,
                high,
                outcome.wanted,
                outcome.at_most,
                outcome.most,
                chance,
                tuple(shares),
                float(linear[i]),
            )
        )
    return tuple(found)


def _slopes(values: Array, normals: Array) -> tuple[Array, Array]:
    """Least-squares slopes (sources, k) of k quantities (n, k), and how much of each one's variance they explain."""
    kinds = values.shape[1]
    count = normals.shape[1]
    if not count or len(values) <= count + 1:
        return np.zeros((count, kinds)), np.zeros(kinds)
    off, spread = values - values.mean(axis=0), normals - normals.mean(axis=0)
    slopes = np.linalg.lstsq(spread.T @ spread, spread.T @ off, rcond=None)[0]
    variance = (off**2).mean(axis=0)
    left = ((off - spread @ slopes) ** 2).mean(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        linear = np.where(variance > 1e-16, 1 - left / variance, 0.0)
    return slopes, np.clip(linear, 0.0, 1.0)
