"""Outlines turned and moved, and how one is laid so that the box round it is small."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from solver.families.base import Outline, outline_box

Point = tuple[float, float]


class Laid(NamedTuple):
    """A way to lay an outline: the angle it is turned by, rad, and the box round it then, mm."""

    angle: float
    across: float
    deep: float


def turned(outline: Outline, angle: float) -> Outline:
    """Counter-clockwise about the origin by ``angle`` in rad; arcs keep their bulges."""
    return tuple((*turned_point((x, y), angle), bulge) for x, y, bulge in outline)


def turned_point(point: Point, angle: float) -> Point:
    """Counter-clockwise about the origin by ``angle`` in rad; quarter turns are exact."""
    quarters = round(angle / (math.pi / 2))
    if abs(angle - quarters * math.pi / 2) < 1e-12:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarters % 4]
    else:
        c, s = math.cos(angle), math.sin(angle)
    x, y = point
    return (c * x - s * y, s * x + c * y)


def moved(outline: Outline, shift: Point) -> Outline:
    """The same elsewhere."""
    return tuple((x + shift[0], y + shift[1], bulge) for x, y, bulge in outline)


def ways_to_lay(outline: Outline) -> list[Laid]:
    """As drawn, and along each of its edges and chords; the smallest box first, as drawn before what is no smaller.

    The smallest box round a polygon lies along one of its hull's edges (Freeman and Shapira, 1975); with arcs the box
    is exact, and there may be a smaller one.
    """
    found = []
    for angle in _angles(outline):
        (left, low), (right, high) = outline_box(turned(outline, angle))
        found.append(Laid(angle, right - left, high - low))
    # To a thousandth of a mm², so that rounding does not turn what may lie as drawn.
    return sorted(found, key=lambda way: round(way.across * way.deep, 3))


def _angles(outline: Outline) -> Iterator[float]:
    known = {0.0}
    yield 0.0
    for (x0, y0, _), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        angle = -math.atan2(y1 - y0, x1 - x0) % (math.pi / 2)
        # What differs by a quarter turn has the same box.
        key = round(angle, 9) % round(math.pi / 2, 9)
        if key not in known:
            known.add(key)
            yield angle
