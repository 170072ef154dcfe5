"""Whether points lie in closed outlines of lines and arcs."""

from __future__ import annotations

import math
from collections.abc import Iterable

from solver.families.base import Outline

Point = tuple[float, float]


def holds(outline: Outline, point: Point) -> bool:
    """Whether a point lies inside of an outline: in the polygon of its chords, or else between an arc and its chord."""
    x, y = point
    found = False
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
            found = not found
        if bulge and _in_segment((x0, y0), (x1, y1), bulge, point):
            found = not found
    return found


def owner(outlines: Iterable[Outline], points: Iterable[Point]) -> int | None:
    """The number of the first outline that holds any of the points; None where none does."""
    told = list(points)
    return next((n for n, outer in enumerate(outlines) if any(holds(outer, p) for p in told)), None)


def _in_segment(start: Point, end: Point, bulge: float, point: Point) -> bool:
    """Whether a point lies between an arc and its chord: in the circle, to the right of a chord that bulges so."""
    (x0, y0), (x1, y1), (x, y) = start, end, point
    off = (1 - bulge**2) / (4 * bulge)
    cx, cy = (x0 + x1) / 2 - off * (y1 - y0), (y0 + y1) / 2 + off * (x1 - x0)
    side = (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)
    return side * bulge < 0 and math.hypot(x - cx, y - cy) < math.hypot(x0 - cx, y0 - cy)
