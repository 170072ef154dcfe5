"""Lines and arcs of closed outlines as arrays, and exact distances between them."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from solver.families.base import Outline, outline_area
from solver.vectors import Array, Index, Mask

SHORT = 1e-6
"""Edges shorter than this, mm, are none."""
ROUND_OFF = 1e-9
"""Of angles in rad and of shares of an edge."""


class Edges(NamedTuple):
    """The n edges of a closed outline that runs counter-clockwise.

    start, end: (n, 2) mm; centre: (n, 2), of arcs, 0 for lines; radius: (n,), 0 for lines
    first: (n,) rad, direction from the centre to the start; sweep: (n,) rad, counter-clockwise positive, 0 for lines
    """

    start: Array
    end: Array
    centre: Array
    radius: Array
    first: Array
    sweep: Array

    @property
    def arc(self) -> Mask:
        """(n,): which are arcs."""
        return self.radius > 0


class Nearest(NamedTuple):
    """Pairs of points, one on each of two edges, at which their distance is least or stationary.

    here, there: (k, n, m, 2) mm, k kinds of pairs, n edges of one outline, m of the other
    valid: (k, n, m): whether both points lie on their edges
    """

    here: Array
    there: Array
    valid: Mask

    @property
    def size(self) -> Array:
        """(k, n, m) mm: the distance, infinite where there is no such pair."""
        return np.where(self.valid, np.hypot(*np.moveaxis(self.there - self.here, -1, 0)), np.inf)


@lru_cache(maxsize=64)
def edges_of(outline: Outline) -> Edges:
    """Edges of an outline, turned counter-clockwise if it is not."""
    if outline_area(outline) < 0:
        outline = _turned(outline)
    vertices = np.array(outline, dtype=float)
    ends = np.roll(vertices, -1, axis=0)
    keep = np.hypot(*(ends - vertices)[:, :2].T) > SHORT
    start, end, bulge = vertices[keep, :2], ends[keep, :2], vertices[keep, 2]
    curved = np.abs(bulge) > ROUND_OFF
    safe = np.where(curved, bulge, 1.0)
    chord = end - start
    # The centre lies on the chord's perpendicular, (1 − b²)/4b chords to its left.
    off = ((1 - safe**2) / (4 * safe))[:, None]
    centre = (start + end) / 2 + off * np.stack([-chord[:, 1], chord[:, 0]], axis=-1)
    centre = np.where(curved[:, None], centre, 0.0)
    out = start - centre
    return Edges(
        start,
        end,
        centre,
        np.where(curved, np.hypot(*out.T), 0.0),
        np.where(curved, np.arctan2(out[:, 1], out[:, 0]), 0.0),
        np.where(curved, 4 * np.arctan(bulge), 0.0),
    )


def some(edges: Edges, which: Mask | Index) -> Edges:
    """Those edges alone."""
    return Edges(*(part[which] for part in edges))


def may_be_near(one: Edges, other: Edges, near: float) -> Mask:
    """(n, m): False where the boxes round two edges, of an arc that round its circle, are over ``near`` mm apart."""
    boxes = []
    for edges in (one, other):
        centre, radius, arc = edges.centre, edges.radius[:, None], edges.arc[:, None]
        low = np.where(arc, centre - radius, np.minimum(edges.start, edges.end))
        high = np.where(arc, centre + radius, np.maximum(edges.start, edges.end))
        boxes.append((low, high))
    (low, high), (other_low, other_high) = boxes
    over = np.maximum(other_low[None] - high[:, None], low[:, None] - other_high[None])
    return np.asarray(over.max(-1) <= near)


def nearest(one: Edges, other: Edges) -> Nearest:
    """All pairs at which the distance of an edge of ``one`` to an edge of ``other`` is least or stationary.

    Ends against edges; feet of arcs' centres on lines; points of two arcs on the line through their centres.
    """
    n, m = len(one.start), len(other.start)
    pairs = []
    for points in (one.start, one.end):
        on = on_edge(points, other)
        pairs.append((np.broadcast_to(points[:, None], (n, m, 2)), on, np.ones((n, m), bool)))
    # An outline against itself has said all of it: either order of two edges tells the same.
    for points in () if one is other else (other.start, other.end):
        on = np.swapaxes(on_edge(points, one), 0, 1)
        pairs.append((on, np.broadcast_to(points[None], (n, m, 2)), np.ones((n, m), bool)))
    if other.arc.any():
        pairs += _line_to_arc(one, other)
    if one.arc.any() and one is not other:
        for here, there, valid in _line_to_arc(other, one):
            pairs.append((np.swapaxes(there, 0, 1), np.swapaxes(here, 0, 1), valid.T))
    if one.arc.any() and other.arc.any():
        pairs += _arc_to_arc(one, other)
    here, there, valid = (np.stack(group) for group in zip(*pairs, strict=True))
    return Nearest(here, there, valid)


def crossing(one: Edges, other: Edges) -> tuple[float, float] | None:
    """A point in mm at which two outlines cross; None if they don't."""
    for here, valid in (*_crossing_lines(one, other), *_crossing_arcs(one, other)):
        if valid.any():
            x, y = here[valid][0]
            return float(x), float(y)
    return None


def within(edges: Edges, direction: Array) -> Mask:
    """Whether directions from the centres, (..., n, 2), meet the arcs."""
    turned = np.arctan2(direction[..., 1], direction[..., 0]) - edges.first
    turned = np.mod(turned * np.sign(edges.sweep), 2 * math.pi)
    return edges.arc & ((turned <= np.abs(edges.sweep) + ROUND_OFF) | (turned >= 2 * math.pi - ROUND_OFF))


def unit(vectors: Array) -> Array:
    """Vectors (..., 2) of length 1; those without length stay."""
    size = np.hypot(vectors[..., 0], vectors[..., 1])[..., None]
    return np.asarray(vectors / np.where(size > 0, size, 1.0))


def cross(one: Array, other: Array) -> Array:
    """Of vectors (..., 2)."""
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def _turned(outline: Outline) -> Outline:
    """The other way round; a bulge belongs to the edge behind its vertex."""
    backwards = outline[::-1]
    return tuple(
        (x, y, -after[2]) for (x, y, _), after in zip(backwards, backwards[1:] + backwards[:1], strict=True)
    )


def on_edge(points: Array, edges: Edges) -> Array:
    """(n, m, 2): the point of each edge that is nearest to each of (n, 2) points."""
    along = edges.end - edges.start
    away = points[:, None] - edges.start
    share = np.clip((away * along).sum(-1) / (along**2).sum(-1), 0.0, 1.0)
    straight = edges.start + share[..., None] * along
    if not edges.arc.any():
        return np.asarray(straight)
    out = points[:, None] - edges.centre
    out = np.where((np.abs(out).sum(-1) > 0)[..., None], out, edges.start - edges.centre)
    curved = edges.centre + edges.radius[:, None] * unit(out)
    to_start, to_end = (np.hypot(*np.moveaxis(points[:, None] - e, -1, 0)) for e in (edges.start, edges.end))
    ends = np.where((to_start <= to_end)[..., None], edges.start, edges.end)
    curved = np.where(within(edges, out)[..., None], curved, ends)
    return np.where(edges.arc[:, None], curved, straight)


def _line_to_arc(lines: Edges, arcs: Edges) -> list[tuple[Array, Array, Mask]]:
    """From the feet of the centres on the lines to both sides of the arcs."""
    along = lines.end - lines.start
    away = arcs.centre[None] - lines.start[:, None]
    share = (away * along[:, None]).sum(-1) / (along**2).sum(-1)[:, None]
    foot = lines.start[:, None] + share[..., None] * along[:, None]
    on_line = (share >= -ROUND_OFF) & (share <= 1 + ROUND_OFF) & ~lines.arc[:, None]
    out = foot - arcs.centre
    # Through the centre itself the perpendicular still has a direction.
    square = unit(np.stack([-along[:, 1], along[:, 0]], axis=-1))[:, None]
    out = np.where((np.hypot(out[..., 0], out[..., 1]) > SHORT)[..., None], unit(out), square)
    return [
        (foot, arcs.centre + way * arcs.radius[:, None] * out, on_line & within(arcs, way * out))
        for way in (1, -1)
    ]


def _arc_to_arc(one: Edges, other: Edges) -> list[tuple[Array, Array, Mask]]:
    """On the line through both centres; arcs of one centre have no such line, and their ends say it all."""
    apart = other.centre[None] - one.centre[:, None]
    line = unit(apart)
    real = np.hypot(apart[..., 0], apart[..., 1]) > SHORT
    found = []
    for way in (1, -1):
        on_one = np.swapaxes(within(one, np.swapaxes(way * line, 0, 1)), 0, 1)
        here = one.centre[:, None] + way * one.radius[:, None, None] * line
        for back in (1, -1):
            there = other.centre + back * other.radius[:, None] * line
            found.append((here, there, on_one & within(other, back * line) & real))
    return found


def _crossing_lines(one: Edges, other: Edges) -> list[tuple[Array, Mask]]:
    u, v = (one.end - one.start)[:, None], (other.end - other.start)[None]
    away = other.start[None] - one.start[:, None]
    turn = cross(u, v)
    safe = np.where(turn == 0, 1.0, turn)
    s, t = cross(away, v) / safe, cross(away, u) / safe
    straight = ~one.arc[:, None] & ~other.arc[None]
    valid = straight & (turn != 0) & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    return [(one.start[:, None] + s[..., None] * u, valid)]


def _crossing_arcs(one: Edges, other: Edges) -> list[tuple[Array, Mask]]:
    found = []
    for lines, arcs in ((one, other), (other, one)):
        if not arcs.arc.any():
            continue
        along = lines.end - lines.start
        size = np.hypot(*along.T)
        way = (along / size[:, None])[:, None]
        away = arcs.centre[None] - lines.start[:, None]
        foot, off = (away * way).sum(-1), cross(way, away)
        half = np.sqrt(np.maximum(arcs.radius**2 - off**2, 0.0))
        meets = ~lines.arc[:, None] & (np.abs(off) <= arcs.radius)
        for sign in (1, -1):
            at = foot + sign * half
            point = lines.start[:, None] + at[..., None] * way
            on = meets & (at >= 0) & (at <= size[:, None]) & within(arcs, point - arcs.centre)
            found.append((point, on))
    if one.arc.any() and other.arc.any():
        apart = other.centre[None] - one.centre[:, None]
        gap = np.hypot(apart[..., 0], apart[..., 1])
        safe = np.where(gap > 0, gap, 1.0)
        r, q = one.radius[:, None], other.radius[None]
        along = (gap**2 + r**2 - q**2) / (2 * safe)
        square = r**2 - along**2
        half = np.sqrt(np.maximum(square, 0.0))
        way = apart / safe[..., None]
        normal = np.stack([-way[..., 1], way[..., 0]], axis=-1)
        for sign in (1, -1):
            out = along[..., None] * way + sign * half[..., None] * normal
            on_one = np.swapaxes(within(one, np.swapaxes(out, 0, 1)), 0, 1)
            on = (gap > 0) & (square >= 0) & on_one & within(other, out - apart)
            found.append((one.centre[:, None] + out, on))
    return found
