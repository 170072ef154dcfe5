"""What a picture is made of: lines and words on paper, in mm from its lower left corner. Black and greys alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

import numpy as np

from solver.vectors import Array

Anchor = Literal["start", "middle", "end"]
Measure = Callable[[str, float], float]
"""Width of a text in mm at a size in mm."""


class Line(NamedTuple):
    """A line or, if closed, an outline: points (k, 2), mm.

    width: in mm, 0 for none; grey: from 0, black, to 1, white; fill: grey of the inside, None for none
    dash: lengths of stroke and gap in mm, none for a full line
    """

    points: Array
    width: float = 0.3
    grey: float = 0.0
    closed: bool = False
    fill: float | None = None
    dash: tuple[float, ...] = ()


class Words(NamedTuple):
    """A line of text; its base line's start, middle or end at (x, y), ``size`` of the font, mm."""

    text: str
    x: float
    y: float
    size: float
    anchor: Anchor = "start"
    bold: bool = False


Shape = Line | Words


class Drawing(NamedTuple):
    """A picture: width and height in mm, shapes in the order in which they are painted."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


def moved(shapes: Iterable[Shape], x: float, y: float) -> list[Shape]:
    """The same elsewhere."""
    shift = np.array([x, y])
    return [
        shape._replace(points=shape.points + shift)
        if isinstance(shape, Line)
        else shape._replace(x=shape.x + x, y=shape.y + y)
        for shape in shapes
    ]


def arrow(start: Array, end: Array, width: float = 0.5, head: float = 2.6) -> list[Shape]:
    """From start to end, with a full head; a short one is all head."""
    way = end - start
    size = float(np.hypot(*way))
    if size < 1e-9:
        return []
    along = way / size
    across = np.array([-along[1], along[0]])
    neck = end - min(head, size) * along
    tip = np.stack([end, neck + 0.36 * head * across, neck - 0.36 * head * across])
    shaft = [Line(np.stack([start, neck]), width)] if size > head else []
    return [*shaft, Line(tip, 0.0, closed=True, fill=0.0)]


def ring(at: Array, radius: float, width: float = 0.3, fill: float | None = 1.0, grey: float = 0.0) -> Line:
    """A circle."""
    turn = np.linspace(0, 2 * np.pi, 19)[:-1]
    points = at + radius * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    return Line(points, width, grey, closed=True, fill=fill)
