"""Where the words of a picture go: beside what they name, never on one another, off the lines where there is room."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from locksweep.note.shapes import Line, Measure, Shape, Words
from solver.vectors import Array, Mask

SIZE = 2.3
"""Of the font in mm."""
AROUND = np.linspace(0, 2 * np.pi, 13)[:-1]
AWAY = np.array([1.2, 3.0, 5.0, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0])
GAP = 0.5
LEADER = 4.0
"""Distance in mm from which on a thin line leads to what is named."""
STEP = 2.0
"""Between the points of a line that words keep off, mm."""
HINDRANCE = 2.5
"""By how many mm further away words go rather than cover one such point."""


class Label(NamedTuple):
    """Words and the point that they belong to, (2,)."""

    text: str
    at: Array
    bold: bool = False


def placed(
    labels: Sequence[Label], lines: Sequence[Shape], size: tuple[float, float], measure: Measure
) -> list[Shape]:
    """The labels as shapes, white behind each; those in front find their place first.

    lines: what is drawn already; size: of the picture, which no label leaves
    """
    hinder = _points([x for x in lines if isinstance(x, Line) and (x.width > 0.2 or x.fill == 0.0)], size)
    taken = np.zeros((0, 4))
    found: list[Shape] = []
    for label in labels:
        width, height = measure(label.text, SIZE) * (1.08 if label.bold else 1.0), SIZE
        boxes, cost = _places(label.at, width, height)
        low, high = boxes[:, :2], boxes[:, 2:]
        free = (low >= 0.3).all(axis=1) & (high <= np.array(size) - 0.3).all(axis=1)
        clash = (low[:, None] < taken[:, 2:] + GAP) & (high[:, None] > taken[:, :2] - GAP)
        free &= ~np.any(clash.all(axis=2), axis=1)
        if not free.any():
            # Its number stands in the tables; words on words help nobody.
            continue
        inside = _between(low[:, :1], hinder[0], high[:, :1]) & _between(low[:, 1:], hinder[1], high[:, 1:])
        cost = cost + HINDRANCE * np.count_nonzero(inside, axis=1)
        best = int(np.argmin(np.where(free, cost, np.inf)))
        box = boxes[best]
        taken = np.vstack([taken, box])
        near = np.clip(label.at, box[:2], box[2:])
        if np.hypot(*(near - label.at)) > LEADER:
            found.append(Line(np.stack([label.at, near]), 0.12, 0.35))
        x0, y0, x1, y1 = box
        back = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
        found.append(Line(back, 0.0, closed=True, fill=1.0))
        found.append(Words(label.text, float(x0) + 0.2, float(y0) + 0.5, SIZE, bold=label.bold))
    # Leaders lie under all words.
    return sorted(found, key=lambda shape: 0 if isinstance(shape, Line) and shape.width else 1)


def _places(at: Array, width: float, height: float) -> tuple[Array, Array]:
    """Boxes (k, 4) round a point, and how far away each is."""
    away, around = (grid.ravel() for grid in np.meshgrid(AWAY, AROUND, indexing="ij"))
    middle = at + np.stack(
        [np.cos(around) * (away + width / 2), np.sin(around) * (away + height / 2)], axis=-1
    )
    half = np.array([width / 2 + 0.2, height / 2 + 0.1])
    boxes = np.hstack([middle - half, middle + half])
    gap = np.clip(at, boxes[:, :2], boxes[:, 2:]) - at
    return boxes, np.hypot(gap[:, 0], gap[:, 1])


def _between(low: Array, values: Array, high: Array) -> Mask:
    return (values > low - 0.3) & (values < high + 0.3)


def _points(lines: Sequence[Line], size: tuple[float, float]) -> Array:
    """Points along lines, (2, k), so close that no word slips between two."""
    found = [np.zeros((2, 0))]
    for line in lines:
        points = np.vstack([line.points, line.points[:1]]) if line.closed else line.points
        way = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
        steps = np.linspace(0.0, way[-1], int(way[-1] / STEP) + 2)
        found.append(np.stack([np.interp(steps, way, points[:, 0]), np.interp(steps, way, points[:, 1])]))
    x, y = points = np.hstack(found)
    return np.asarray(points[:, (x >= 0) & (y >= 0) & (x <= size[0]) & (y <= size[1])])
