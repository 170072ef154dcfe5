"""Curves out of edges: where they lie in a plane, and what they are there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator

from parts.drawing.views.curves import SAME, TURN, Arc, Curve, Point, Polyline, Segment
from parts.kernel import BRepAdaptor, cq

SAMPLES = 24
"""Chords of a curve that is neither straight nor round."""
STRAIGHT = 1e-4
"""mm. What is no further from a line or circle is one."""


def curve_of(edge: cq.Edge, flat: Callable[[float, float, float], Point]) -> Iterator[Curve]:
    """An edge as a curve in a plane; nothing of one that is seen end on.

    flat: from a point of the edge to the plane
    """
    adaptor = BRepAdaptor.BRepAdaptor_Curve(edge.wrapped)
    first, last = adaptor.FirstParameter(), adaptor.LastParameter()

    def at(share: float) -> Point:
        point = adaptor.Value(first + (last - first) * share)
        return flat(point.X(), point.Y(), point.Z())

    if edge.geomType() == "LINE":
        points = [at(0.0), at(1.0)]
    else:
        points = [at(i / SAMPLES) for i in range(SAMPLES + 1)]
    curve = fitted(points)
    if curve is not None:
        yield curve


def fitted(points: list[Point]) -> Curve | None:
    """A straight line or an arc through points where they lie on one, else a polyline; None for a mere point.

    Edges of circles that are seen from the side come as splines that run to and fro on a line.
    """
    start = points[0]
    far = max(points, key=lambda p: math.dist(p, start))
    length = math.dist(far, start)
    if length < SAME:
        return None
    along = ((far[0] - start[0]) / length, (far[1] - start[1]) / length)
    across = [(p[0] - start[0]) * -along[1] + (p[1] - start[1]) * along[0] for p in points]
    if max(map(abs, across)) < STRAIGHT:
        places = [(p[0] - start[0]) * along[0] + (p[1] - start[1]) * along[1] for p in points]
        low, high = min(places), max(places)
        return Segment(*((start[0] + along[0] * t, start[1] + along[1] * t) for t in (low, high)))
    return _as_arc(points) or Polyline(tuple(points))


def _as_arc(points: list[Point]) -> Arc | None:
    count = len(points) - 1
    found = _circle_through(points[0], points[count // 3], points[2 * count // 3])
    if found is None:
        return None
    centre, radius = found
    if max(abs(math.dist(p, centre) - radius) for p in points) > STRAIGHT:
        return None
    angles = [math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in points]
    turned = sum((b - a + math.pi) % TURN - math.pi for a, b in itertools.pairwise(angles))
    low, high = (angles[0], angles[0] + turned) if turned > 0 else (angles[-1], angles[-1] - turned)
    return Arc(centre, radius, low, high)


def _circle_through(a: Point, b: Point, c: Point) -> tuple[Point, float] | None:
    (ax, ay), (bx, by), (cx, cy) = a, b, c
    bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
    double = 2 * (bx * cy - by * cx)
    if abs(double) < 1e-9:
        return None
    x = (cy * (bx**2 + by**2) - by * (cx**2 + cy**2)) / double
    y = (bx * (cx**2 + cy**2) - cx * (bx**2 + by**2)) / double
    return (ax + x, ay + y), math.hypot(x, y)
