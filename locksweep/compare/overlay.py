"""Old and new outlines over one another: flat patterns, or the telling view of a part that is not cut from plate."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np

from locksweep.compare.parts import PartChange
from locksweep.compare.reuse import moved_by
from locksweep.note.shapes import Drawing, Line, Shape, Words
from locksweep.note.svg import stacked
from solver.families.base import FlatPattern, Outline
from solver.part import Part, Placement
from solver.vectors import Array

WIDTH, TALLEST = 180.0, 120.0
"""Of one picture, mm."""
EDGE = 6.0
SCALES = (2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.1, 0.05)
"""Of drawings (ISO 5455) and the halves between, largest first."""
STEP = math.radians(6.0)
"""Angle between two points of an arc."""
SMALL = 2.6
OLD, NEW = 0.55, 0.0
"""Greys."""
PARALLEL = 0.02
"""Most that two axes of unit length may differ and be drawn in one view."""


def overlay_svg(changes: Iterable[PartChange]) -> str | None:
    """One picture for every part whose outline changed, as one SVG file; None where there is none."""
    pictures = [(f"{change.name}: {_told(change)}", drawn) for change in changes for drawn in _drawn(change)]
    return stacked(pictures) if pictures else None


def _told(change: PartChange) -> str:
    assert change.before is not None
    flat = change.before.dimensions.flat_pattern() is not None
    return "flat pattern, old and new" if flat else "outline, old and new"


def _drawn(change: PartChange) -> Iterator[Drawing]:
    if change.before is None or change.after is None:
        return
    old, new = (part.dimensions.silhouette() for part in (change.before, change.after))
    if old is None or new is None:
        return
    shift = _shift(change.before, change.after)
    before = [line + shift for line in _lines(old)]
    after = _lines(new)
    if _same(before, after):
        return
    points = np.concatenate([*before, *after])
    low, size = points.min(axis=0), np.ptp(points, axis=0)
    room = (WIDTH - 2 * EDGE, TALLEST - 3 * EDGE)
    scale = next((s for s in SCALES if (s * size <= room).all()), SCALES[-1])
    foot = np.array([EDGE, 2 * EDGE])
    shapes: list[Shape] = [
        Line(foot + scale * (line - low), 0.5, OLD, closed=len(line) > 2, dash=(2.4, 1.2)) for line in before
    ]
    shapes += [Line(foot + scale * (line - low), 0.25, NEW, closed=len(line) > 2) for line in after]
    shapes += _legend(scale, change, bool(np.abs(shift).max() > 0))
    height = float(scale * size[1]) + 3 * EDGE
    yield Drawing(WIDTH, height, tuple(shapes))


def _legend(scale: float, change: PartChange, placed: bool) -> list[Shape]:
    y = 0.6 * EDGE
    ratio = f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"
    assert change.before is not None
    assert change.after is not None
    how = "laid over by their places on the car" if placed else "laid over by their own origins"
    if not placed and moved_by(change.before, change.after) > 0.5:
        how += "; their places on the car differ"
    return [
        Line(np.array([[EDGE, y + 0.8], [EDGE + 10, y + 0.8]]), 0.5, OLD, dash=(2.4, 1.2)),
        Words("old", EDGE + 12, y, SMALL),
        Line(np.array([[EDGE + 22, y + 0.8], [EDGE + 32, y + 0.8]]), 0.25, NEW),
        Words("new", EDGE + 34, y, SMALL),
        Words(f"{ratio}, {how}", EDGE + 46, y, SMALL),
    ]


def _shift(old: Part, new: Part) -> Array:
    """Where an old closure plate's origin lies in the new one's frame, across its face; nothing for other parts.

    A plate's origin is the middle of its floor, which no one can see: it is its place on the car that tells.
    """
    one, other = old.placement, new.placement
    if old.role != "closes a hole" or one is None or other is None or not _parallel(one, other):
        return np.zeros(2)
    x, z = np.array(other.x_axis), np.array(other.z_axis)
    way = np.array(one.origin) - np.array(other.origin)
    return np.array([way @ x, way @ np.cross(z, x)])


def _parallel(one: Placement, other: Placement) -> bool:
    pairs = ((one.x_axis, other.x_axis), (one.z_axis, other.z_axis))
    return all(np.linalg.norm(np.array(u) - np.array(v)) < PARALLEL for u, v in pairs)


def _lines(pattern: FlatPattern) -> list[Array]:
    """Outlines (k, 2) and bend lines (2, 2), mm."""
    outlines = [outline_points(outline) for outline in (*pattern.outer, *pattern.inner)]
    return [*outlines, *(np.array(bend, dtype=float) for bend in pattern.bends)]


def outline_points(outline: Outline) -> Array:
    """A closed outline as points (k, 2), its arcs in short chords."""
    points: list[tuple[float, float]] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        points.append((x0, y0))
        if not bulge:
            continue
        angle = 4 * math.atan(bulge)
        # The centre lies on the chord's perpendicular, (1 − b²)/4b chords to its left.
        off = (1 - bulge**2) / (4 * bulge)
        cx, cy = (x0 + x1) / 2 - off * (y1 - y0), (y0 + y1) / 2 + off * (x1 - x0)
        count = max(1, math.ceil(abs(angle) / STEP))
        for step in range(1, count):
            turn = angle * step / count
            dx, dy = x0 - cx, y0 - cy
            points.append(
                (
                    cx + dx * math.cos(turn) - dy * math.sin(turn),
                    cy + dx * math.sin(turn) + dy * math.cos(turn),
                )
            )
    return np.array(points)


def _same(one: list[Array], other: list[Array]) -> bool:
    return len(one) == len(other) and all(
        a.shape == b.shape and np.abs(a - b).max() < 1e-3 for a, b in zip(one, other, strict=True)
    )
