"""Least widths of closed outlines: between two of them, and of one from side to side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from solver.cutting.edges import Edges, cross, crossing, edges_of, may_be_near, nearest, some, unit
from solver.families.base import Outline, outline_box
from solver.vectors import Array, Index, Mask

TAPER = math.radians(15)
"""Two edges are opposite sides of a slot or a web when the line between their nearest points is off the square of
either by no more than this; sides that are further from parallel make a corner. Our own choice."""


OPPOSITE = 4
"""Edges that an outline has at least when two of them don't touch."""


class Width(NamedTuple):
    """A least width, mm, and the middle of where it is."""

    size: float
    at: tuple[float, float]


def between(one: Outline, other: Outline) -> Width:
    """Least distance of two outlines; 0 where they cross."""
    return from_each((one,), other)[0]


def from_each(holes: Sequence[Outline], other: Outline, near: float = math.inf) -> list[Width]:
    """Least distance of each of several outlines to one other; 0 where they cross.

    near: distances over this, mm, may come out larger than they are
    """
    each, theirs = [edges_of(hole) for hole in holes], edges_of(other)
    mine = Edges(*(np.concatenate(part) for part in zip(*each, strict=True)))
    close = np.asarray(may_be_near(mine, theirs, near).any(axis=0))
    if not close.any():
        return [Width(math.inf, (0.0, 0.0))] * len(holes)
    theirs = some(theirs, close)
    found = nearest(mine, theirs)
    size, first, widths = found.size, 0, []
    any_met = crossing(mine, theirs) is not None
    for edges in each:
        own = slice(first, first := first + len(edges.start))
        width = _least(size[:, own], found.here[:, own], found.there[:, own])
        met = crossing(edges, theirs) if any_met else None
        widths.append(width if met is None else Width(0.0, met))
    return widths


def across(outline: Outline) -> Width:
    """Least width of what an outline encloses: a hole's diameter, a slot's width, a neck.

    The lesser of its least passage and of its least extent square to any edge or chord, which for straight edges is
    the width of its convex hull.
    """
    shape, corner = _shape(outline)
    return _moved(_across(shape), corner)


@lru_cache(maxsize=64)
def _across(outline: Outline) -> Width:
    (low_x, low_y), (high_x, high_y) = outline_box(outline)
    extent = Width(
        min(_extents(outline), default=min(high_x - low_x, high_y - low_y)),
        ((low_x + high_x) / 2, (low_y + high_y) / 2),
    )
    narrow = _passages(outline, math.inf).inside
    return extent if narrow is None or narrow.size >= extent.size - 1e-9 else narrow


class Passages(NamedTuple):
    """The narrowest places between two opposite sides of one outline: through what it encloses, and through what lies
    outside; None where no two sides face one another."""

    inside: Width | None
    outside: Width | None


def passages(outline: Outline, near: float = math.inf) -> Passages:
    """The narrowest places of an outline; those wider than ``near`` mm are not looked for."""
    shape, corner = _shape(outline)
    inside, outside = _passages(shape, near)
    return Passages(inside and _moved(inside, corner), outside and _moved(outside, corner))


def _shape(outline: Outline) -> tuple[Outline, tuple[float, float]]:
    """An outline with its first corner at the origin, and that corner: slots alike are worked out once."""
    x0, y0, _ = outline[0]
    return tuple((round(x - x0, 9), round(y - y0, 9), bulge) for x, y, bulge in outline), (x0, y0)


def _moved(width: Width, by: tuple[float, float]) -> Width:
    return Width(width.size, (width.at[0] + by[0], width.at[1] + by[1]))


@lru_cache(maxsize=64)
def _passages(outline: Outline, near: float) -> Passages:
    edges = edges_of(outline)
    count = len(edges.start)
    if count < OPPOSITE:
        return Passages(None, None)
    step = np.abs(np.subtract.outer(np.arange(count), np.arange(count)))
    # Whatever touches is a corner.
    apart = (step > 1) & (step < count - 1) & may_be_near(edges, edges, near)
    (close,) = np.nonzero(apart.any(axis=0))
    if not len(close):
        return Passages(None, None)
    few = some(edges, close)
    found = nearest(few, few)
    size = found.size
    _, one, other = places = np.nonzero((size > 1e-9) & (size <= near) & apart[np.ix_(close, close)])
    here, there, size = found.here[places], found.there[places], size[places]
    one, other, way = close[one], close[other], unit(there - here)
    widths = []
    for side in (1.0, -1.0):
        facing = _square(edges, one, here, way, side) & _square(edges, other, there, -way, side)
        widths.append(_least(size[facing], here[facing], there[facing]) if facing.any() else None)
    return Passages(*widths)


def _square(edges: Edges, which: Index, points: Array, way: Array, side: float) -> Mask:
    """Whether directions (n, 2) at points of edges, ``which``, are square to them but for `TAPER`.

    At a corner that sticks out into the passage any direction between the normals of its two edges is square.
    """
    normal = _normals(edges, which, points, side)
    found = (normal * way).sum(-1) >= math.cos(TAPER) - 1e-12
    for ends, shift in ((edges.start, -1), (edges.end, 1)):
        at_end = np.hypot(*(points - ends[which]).T) < 1e-9
        neighbour = _normals(edges, (which + shift) % len(edges.start), ends[which], side)
        # In the order of the outline, and seen in the sense in which a corner into the passage turns.
        before, after = (neighbour, normal) if shift == -1 else (normal, neighbour)
        between_both = (-side * cross(before, way) >= -1e-9) & (-side * cross(way, after) >= -1e-9)
        sticks_out = -side * cross(before, after) > 1e-9
        found = found | (at_end & sticks_out & between_both & (((before + after) * way).sum(-1) > 0))
    return np.asarray(found)


def _normals(edges: Edges, which: Index, points: Array, side: float) -> Array:
    """At points (n, 2) of edges, towards the passage."""
    along = unit(edges.end[which] - edges.start[which])
    straight = np.stack([-along[:, 1], along[:, 0]], axis=-1)
    turned = np.sign(edges.sweep[which])[:, None] * unit(edges.centre[which] - points)
    return np.asarray(side * np.where(edges.arc[which][:, None], turned, straight))


def _extents(outline: Outline) -> list[float]:
    """Of the outline square to each of its edges and chords, mm."""
    found = []
    for (x0, y0, _), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        size = math.hypot(x1 - x0, y1 - y0)
        if size > 1e-6:
            c, s = (x1 - x0) / size, (y1 - y0) / size
            (_, low), (_, high) = outline_box(tuple((c * x + s * y, c * y - s * x, b) for x, y, b in outline))
            found.append(high - low)
    return found


def _least(size: Array, here: Array, there: Array) -> Width:
    place = np.unravel_index(np.argmin(size), size.shape)
    x, y = (here[place] + there[place]) / 2
    return Width(float(size[place]), (float(x), float(y)))
