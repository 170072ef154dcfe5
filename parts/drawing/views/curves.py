"""Curves of a picture in its plane: straight lines, arcs and polylines; each drawn once, whatever the kernel did.

Hidden-line removal gives an edge once for each face that it bounds, in pieces, and hidden ones under visible
ones. Pieces on one line or circle are joined here as intervals, and what is visible is taken off what is hidden.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

Point = tuple[float, float]
Interval = tuple[float, float]

SAME = 1e-4
"""mm. Points and lines nearer than this are one: far below what a plotter resolves, far above rounding."""
SHORTEST = 2e-3
"""mm. A shorter piece is a leftover of two curves that were cut at nearly the same place."""
TURN = 2 * math.pi


@dataclass(frozen=True)
class Segment:
    """A straight line."""

    start: Point
    end: Point


@dataclass(frozen=True)
class Arc:
    """Counter-clockwise from ``start`` to ``end``, rad; a full circle when they are a turn apart."""

    centre: Point
    radius: float
    start: float
    end: float

    @property
    def closed(self) -> bool:
        """Whether it is a full circle."""
        return self.end - self.start > TURN - 1e-6

    def at(self, angle: float) -> Point:
        """The point at an angle."""
        x, y = self.centre
        return (x + self.radius * math.cos(angle), y + self.radius * math.sin(angle))


@dataclass(frozen=True)
class Polyline:
    """Any other curve, by points closer together than shows."""

    points: tuple[Point, ...]


Curve = Segment | Arc | Polyline


@dataclass(frozen=True)
class Box:
    """Smallest and largest coordinates."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Along x."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Along y."""
        return self.top - self.bottom

    def scaled(self, by: float) -> Box:
        """All coordinates times a factor."""
        return Box(self.left * by, self.bottom * by, self.right * by, self.top * by)

    def grown(self, by: float) -> Box:
        """Wider on all sides."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def meets(self, other: Box) -> bool:
        """Whether the two have an area in common."""
        across = self.left < other.right and other.left < self.right
        return across and self.bottom < other.top and other.bottom < self.top

    def joined(self, *others: Box) -> Box:
        """The box round this one and others."""
        every = (self, *others)
        return Box(
            min(b.left for b in every),
            min(b.bottom for b in every),
            max(b.right for b in every),
            max(b.top for b in every),
        )


def box_of(curves: Iterable[Curve]) -> Box:
    """The box round curves.

    Raises:
        ValueError: there are none.
    """
    points = [point for curve in curves for point in _extremes(curve)]
    if not points:
        raise ValueError("a view shows nothing")
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _extremes(curve: Curve) -> Iterable[Point]:
    if isinstance(curve, Polyline):
        return curve.points
    if isinstance(curve, Segment):
        return (curve.start, curve.end)
    quarters = range(math.ceil(curve.start / (TURN / 4)), math.floor(curve.end / (TURN / 4)) + 1)
    return (curve.at(curve.start), curve.at(curve.end), *(curve.at(q * TURN / 4) for q in quarters))


def tidy(curves: Iterable[Curve], less: Iterable[Curve] = ()) -> tuple[Curve, ...]:
    """Each curve once, joined where pieces meet, in an order that depends on nothing but where they lie.

    less: curves that are taken off where they coincide
    """
    taken = _Carriers(less)
    found: list[Curve] = []
    kept = _Carriers(curves)
    for key, (angle, offset, pieces) in kept.lines.items():
        less_here = taken.lines[key][2] if key in taken.lines else []
        for low, high in _without(_union(pieces, SAME), _union(less_here, SAME), SAME):
            if high - low > SHORTEST:
                found.append(Segment(_along(angle, offset, low), _along(angle, offset, high)))
    for key, (centre, radius, pieces) in kept.circles.items():
        near = SAME / radius
        less_here = taken.circles[key][2] if key in taken.circles else []
        left = _without(_union(pieces, near), _union(less_here, near), near)
        found += [Arc(centre, radius, a, b) for a, b in _over_zero(left) if (b - a) * radius > SHORTEST]
    found += [curve for key, curve in kept.others.items() if key not in taken.others]
    return tuple(sorted(found, key=_order))


class _Carriers:
    """Curves by the line or circle that they lie on."""

    def __init__(self, curves: Iterable[Curve]) -> None:
        self.lines: dict[tuple[float, ...], tuple[float, float, list[Interval]]] = {}
        self.circles: dict[tuple[float, ...], tuple[Point, float, list[Interval]]] = {}
        self.others: dict[tuple[float, ...], Polyline] = {}
        # The longest piece on a line tells best how it runs.
        for curve in sorted(curves, key=lambda c: (-_length(c), _order(c))):
            if isinstance(curve, Segment):
                angle, offset, interval = _on_line(curve)
                # Rounded coarsely to tell lines apart, kept exactly to draw them.
                key: tuple[float, ...] = (round(angle, 4) + 0.0, round(offset, 2) + 0.0)
                self.lines.setdefault(key, (angle, offset, []))[2].append(interval)
            elif isinstance(curve, Arc):
                key = tuple(round(value, 2) + 0.0 for value in (*curve.centre, curve.radius))
                centre = (round(curve.centre[0], 6) + 0.0, round(curve.centre[1], 6) + 0.0)
                self.circles.setdefault(key, (centre, round(curve.radius, 6), []))[2].extend(
                    _on_circle(curve)
                )
            else:
                self.others.setdefault(_ends(curve), curve)


def _length(curve: Curve) -> float:
    if isinstance(curve, Segment):
        return math.dist(curve.start, curve.end)
    return curve.radius * (curve.end - curve.start) if isinstance(curve, Arc) else 0.0


def _on_line(segment: Segment) -> tuple[float, float, Interval]:
    """Direction from 0 to π and offset of the line that it lies on, and from where to where it lies there."""
    (x0, y0), (x1, y1) = segment.start, segment.end
    angle = math.atan2(y1 - y0, x1 - x0) % math.pi
    if angle > math.pi - 5e-5:
        angle -= math.pi
    c, s = math.cos(angle), math.sin(angle)
    offset = (c * (y0 + y1) - s * (x0 + x1)) / 2
    low, high = sorted((c * x0 + s * y0, c * x1 + s * y1))
    return angle, offset, (low, high)


def _along(angle: float, offset: float, at: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return (round(c * at - s * offset, 6) + 0.0, round(s * at + c * offset, 6) + 0.0)


def _on_circle(arc: Arc) -> list[Interval]:
    """Its angles within one turn from 0; two intervals when it runs over 0."""
    if arc.closed:
        return [(0.0, TURN)]
    start = arc.start % TURN
    end = start + arc.end - arc.start
    return [(start, end)] if end <= TURN else [(start, TURN), (0.0, end - TURN)]


def _over_zero(intervals: list[Interval]) -> list[Interval]:
    """Joins an arc that ends at a whole turn with the one that begins at 0."""
    if len(intervals) > 1 and intervals[0][0] < 1e-6 and intervals[-1][1] > TURN - 1e-6:
        return [*intervals[1:-1], (intervals[-1][0], intervals[0][1] + TURN)]
    return intervals


def _ends(curve: Polyline) -> tuple[float, ...]:
    """What tells a polyline from others, whichever way it runs: its ends, and its middle by its length."""
    first, last = sorted((curve.points[0], curve.points[-1]))
    total = sum(math.dist(a, b) for a, b in zip(curve.points, curve.points[1:], strict=False))
    return tuple(round(value, 2) + 0.0 for value in (*first, *last, total))


def _union(intervals: list[Interval], near: float) -> list[Interval]:
    joined: list[Interval] = []
    for low, high in sorted(intervals):
        if joined and low <= joined[-1][1] + near:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def _without(intervals: list[Interval], taken: list[Interval], near: float) -> list[Interval]:
    left = intervals
    for cut_low, cut_high in taken:
        pieces = []
        for low, high in left:
            pieces += [(low, min(high, cut_low)), (max(low, cut_high), high)]
        left = [(low, high) for low, high in pieces if high - low > near]
    return left


def _order(curve: Curve) -> tuple[str, tuple[float, ...]]:
    if isinstance(curve, Segment):
        values: tuple[float, ...] = (*curve.start, *curve.end)
    elif isinstance(curve, Arc):
        values = (*curve.centre, curve.radius, curve.start, curve.end)
    else:
        values = _ends(curve)
    return type(curve).__name__, tuple(round(value, 3) + 0.0 for value in values)
