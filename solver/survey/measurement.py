"""One measurement of a survey, and what all of them together say about a set of points.

Sources: the observation equations and their derivatives follow from the definitions below; weighting by the
inverse standard deviation is the usual one for independent errors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solver.errors import GeometryError
from solver.vectors import Array, dot, length

Kind = Literal["height", "across", "ahead", "length", "angle side", "angle front", "angle top"]

ANGLES: tuple[Kind, ...] = ("angle side", "angle front", "angle top")

NEAREST = 1e-6
"""Points closer than this have no direction from one to the other, mm; keeps a derivative finite."""


class SurveyError(GeometryError):
    """The measurements of a survey can't give points; the message names the measurement or the point."""


@dataclass(frozen=True)
class Measurement:
    """One reading.

    kind: what was measured, see below
    point: name of the point it is of, or that it goes to; "left." and "right." in front say the side
    origin: name of the point it starts from; None for the floor, the centre line, the wheel-centre line
    value: mm or radians
    sigma: standard deviation of the reading, mm or radians
    name: what people call it; made from the rest if ""

    height: z. ahead: x. across: outwards, that is y on the left and for points without a side, −y on the right;
    with an origin each is the difference from it, outwards as seen from ``point``. length: straight from point
    to point. angle: by which the line from ``origin`` to ``point`` rises above the level, −90° to 90°, in the
    side view and in the front view; in the top view by which it turns outwards from straight ahead or straight
    back. As a gauge reads it: whether the line leans forward or back is not in the reading.
    """

    kind: Kind
    point: str
    origin: str | None
    value: float
    sigma: float
    name: str = ""

    def __post_init__(self) -> None:
        if not self.name:
            object.__setattr__(self, "name", called(self.kind, self.point, self.origin))
        if not (math.isfinite(self.value) and math.isfinite(self.sigma) and self.sigma > 0):
            raise SurveyError(
                f"{self.name}: value {self.value:g} with uncertainty {self.sigma:g}; expected a finite value and "
                "an uncertainty above 0"
            )
        if self.origin == self.point:
            raise SurveyError(
                f"{self.name}: starts and ends at the same point; expected two different points"
            )
        if self.origin is None and (self.kind == "length" or self.kind in ANGLES):
            raise SurveyError(f"{self.name}: has one point only; expected the two points it lies between")


def called(kind: Kind, point: str, origin: str | None) -> str:
    """What people call a measurement."""
    what, _, view = kind.partition(" ")
    what = f"distance {what}" if what in ("across", "ahead") else what
    seen = f" in {view} view" if view else ""
    return f"{what}{seen} of {point}" if origin is None else f"{what}{seen} from {origin} to {point}"


def outward(point: str) -> float:
    """Sign of y that points away from the centre plane at a point: −1 on the right, else 1."""
    return -1.0 if point.startswith("right.") else 1.0


def directions(kind: Kind, point: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Unit vectors along which a measurement rises and along which it runs; zero where it has none."""
    x, y, z = (1.0, 0.0, 0.0), (0.0, outward(point), 0.0), (0.0, 0.0, 1.0)
    none = (0.0, 0.0, 0.0)
    return {
        "height": (z, none),
        "across": (y, none),
        "ahead": (x, none),
        "length": (none, none),
        "angle side": (z, x),
        "angle front": (z, y),
        "angle top": (y, x),
    }[kind]


class Network:
    """Measurements as arrays: m of them between n points.

    points: names, in order of their first mention
    """

    def __init__(self, measurements: Sequence[Measurement], points: Sequence[str] = ()) -> None:
        self.measurements = tuple(measurements)
        mentioned = [name for item in measurements for name in (item.origin, item.point) if name is not None]
        self.points = tuple(dict.fromkeys([*points, *mentioned]))
        index = {name: number for number, name in enumerate(self.points)}
        self.target = np.array([index[item.point] for item in measurements], dtype=np.intp)
        self.origin = np.array(
            [-1 if item.origin is None else index[item.origin] for item in measurements], dtype=np.intp
        )
        self.between: NDArray[np.bool_] = self.origin >= 0
        pairs = np.array([directions(item.kind, item.point) for item in measurements]).reshape(-1, 2, 3)
        self.rising, self.running = pairs[:, 0], pairs[:, 1]
        self.is_length = np.array([item.kind == "length" for item in measurements], dtype=bool)
        self.is_angle = np.array([item.kind in ANGLES for item in measurements], dtype=bool)
        self.value = np.array([item.value for item in measurements], dtype=float)
        self.sigma = np.array([item.sigma for item in measurements], dtype=float)

    @property
    def direct(self) -> NDArray[np.bool_]:
        """Which measurements are linear in the coordinates, shape (m,)."""
        direct: NDArray[np.bool_] = ~(self.is_length | self.is_angle)
        return direct

    def _spans(self, positions: Array) -> Array:
        start = np.where(self.between[:, None], positions[self.origin], 0.0)
        spans: Array = positions[self.target] - start
        return spans

    def misclosures(self, positions: Array) -> Array:
        """Measured minus computed, shape (m,), mm and radians, for positions (n, 3) in mm.

        Of the two ways that a line can lean and show the same angle, the nearer one counts.
        """
        span = self._spans(positions)
        gap = self.value - np.where(self.is_length, length(span), dot(self.rising, span))
        forward, back = self._ways(span)
        angle = np.where(abs(forward) <= abs(back), forward, -back)
        misclosures: Array = np.where(self.is_angle, angle, gap)
        return misclosures

    def _ways(self, span: Array) -> Array:
        """How far a line is turned from each of the two ways that show the measured angle, shape (2, m)."""
        seen = np.arctan2(dot(self.rising, span), dot(self.running, span))
        ways = np.stack([self.value - seen, math.pi - self.value - seen])
        wrapped: Array = (ways + math.pi) % (2 * math.pi) - math.pi
        return wrapped

    def jacobian(self, positions: Array) -> Array:
        """Derivatives of the computed values by the coordinates, shape (m, 3 n), per mm.

        length: the unit vector. angle t = atan2(a, b): (b da − a db)/(a² + b²), with the sign of the way it leans.
        """
        span = self._spans(positions)
        rise, run = dot(self.rising, span)[:, None], dot(self.running, span)[:, None]
        turned = (run * self.rising - rise * self.running) / np.maximum(rise**2 + run**2, NEAREST**2)
        # The reading of a line that leans back, π − t, falls when t rises.
        forward, back = self._ways(span)
        turned *= np.where(abs(forward) <= abs(back), 1.0, -1.0)[:, None]
        straight = span / np.maximum(length(span), NEAREST)[:, None]
        slope = np.where(self.is_length[:, None], straight, self.rising)
        slope = np.where(self.is_angle[:, None], turned, slope)
        rows = np.zeros((len(self.value), len(self.points), 3))
        number = np.arange(len(self.value))
        rows[number, self.target] = slope
        rows[number[self.between], self.origin[self.between]] -= slope[self.between]
        return rows.reshape(len(self.value), 3 * len(self.points))

    def only(self, kept: NDArray[np.bool_]) -> Network:
        """The same points with some of the measurements."""
        return Network(
            [item for item, keep in zip(self.measurements, kept, strict=True) if keep], self.points
        )
