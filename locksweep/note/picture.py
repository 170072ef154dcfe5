"""The load path drawn on the front end: seen from behind and from above, left on the left, both at one scale."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from locksweep.note.corner_lines import corner_lines, knots, mark_lines, rack_end, wheel
from locksweep.note.forces import bar_shapes, bars_of, force_shapes, forces_of
from locksweep.note.labels import SIZE, Label, placed
from locksweep.note.scenes import Overview, Scene
from locksweep.note.shapes import Drawing, Line, Measure, Shape, Words, moved
from locksweep.note.views import AXES, TITLES, View
from solver.loading.free_body import CornerShape
from solver.tyre import Tyre
from solver.vectors import Array

GAP = 4.0
"""Between the two views, mm."""
EDGES = ((7.0, 7.0), (12.0, 8.0))
"""Kept free left and right, below and above of what is drawn, mm."""
LONGEST = 19.0
"""Of the arrows on paper, mm."""


def scene_drawing(scene: Scene, tyre: Tyre, size: tuple[float, float], measure: Measure) -> Drawing:
    """One corner with the load path of one part."""
    views, room = _views([scene.shape], tyre, [m.points for m in scene.marks], size)
    forces = [] if scene.body is None else forces_of(scene, scene.body)
    bars = bars_of(scene)
    largest = max((float(np.linalg.norm(item.force)) for item in forces), default=1.0)
    shapes: list[Shape] = []
    for index, view in enumerate(views):
        lines = corner_lines(scene.shape, view, tyre, scene.carrying, scene.body is not None)
        labels: list[Label] = []
        for drawn, words in (bar_shapes(bar, view) for bar in bars):
            lines += drawn
            labels += words
        named: list[Label] = []
        for mark in scene.marks:
            marked, at = mark_lines(mark, view)
            lines += marked
            named.append(Label(scene.name, at, bold=True))
        for drawn, words in (force_shapes(item, view, LONGEST / largest, room) for item in forces):
            lines += drawn
            labels += words
        shapes += _framed(lines, [*named, *labels], TITLES[index], room, measure, index * (room[0] + GAP))
    return Drawing(size[0], room[1], tuple(shapes))


def overview_drawing(seen: Overview, tyre: Tyre, size: tuple[float, float], measure: Measure) -> Drawing:
    """Both corners with the places of all parts by number."""
    views, room = _views(seen.shapes, tyre, [mark.points for _, mark in seen.marks], size)
    shapes: list[Shape] = []
    for index, view in enumerate(views):
        lines: list[Shape] = []
        for shape in seen.shapes:
            lines += corner_lines(shape, view, tyre, frozenset(), False, whole=True)
        labels = []
        for number, mark in seen.marks:
            marked, at = mark_lines(mark, view)
            lines += marked
            labels.append(Label(str(number), at, bold=True))
        shapes += _framed(lines, labels, TITLES[index], room, measure, index * (room[0] + GAP))
    return Drawing(size[0], room[1], tuple(shapes))


def _framed(
    lines: list[Shape],
    labels: Sequence[Label],
    title: str,
    room: tuple[float, float],
    measure: Measure,
    across: float,
) -> list[Shape]:
    width, height = room
    frame = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    head = Words(title, 1.5, height - 3.2, SIZE)
    # The title's place is taken as well.
    words = placed(labels, lines, (width, height - 4.0), measure)
    return moved([Line(frame, 0.15, 0.5, closed=True), *lines, *words, head], across, 0.0)


def _views(
    shapes: Sequence[CornerShape], tyre: Tyre, extra: Sequence[Array], size: tuple[float, float]
) -> tuple[list[View], tuple[float, float]]:
    """Both views at the larger scale at which either fits, and the room that each of them takes."""
    points = []
    for shape in shapes:
        points += [wheel(shape, tyre).reshape(-1, 3), *(p[None] for p in knots(shape))]
        points.append(rack_end(shape, whole=len(shapes) > 1)[None])
    spans = []
    for axes in AXES:
        flat = np.vstack([*points, *extra]) @ axes.T
        spans.append((flat.min(axis=0), flat.max(axis=0)))
    edges = np.array([sum(EDGES[0]), sum(EDGES[1])])
    free = np.array([(size[0] - GAP) / 2, size[1]]) - edges
    scale = min(float((free / (high - low)).min()) for low, high in spans)
    free[1] = max(float((high - low)[1]) for low, high in spans) * scale
    found = []
    for axes, (low, high) in zip(AXES, spans, strict=True):
        corner = np.array([EDGES[0][0], EDGES[1][0]]) + (free - (high - low) * scale) / 2
        found.append(View(axes, scale, corner - low * scale))
    width, height = free + edges
    return found, (float(width), float(height))
