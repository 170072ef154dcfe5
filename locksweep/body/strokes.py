"""What is drawn at full size on paper, whatever it is for: lines, words, bars that check the scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.vectors import Array

Style = Literal["cut", "edge", "rim", "mark", "bar"]
"""cut: where to cut; rim: the cut follows the edge of what was measured, or a fold; edge: of the piece; mark: points;
bar: checks of the scale."""

LETTER = 3.0
"""mm"""


@dataclass(frozen=True, eq=False)
class Stroke:
    """A line of points (k, 2); closed: its last point is joined to its first."""

    style: Style
    points: Array
    closed: bool = False


@dataclass(frozen=True)
class Words:
    """A line of text that begins at a place, its height in mm."""

    text: str
    x: float
    y: float
    height: float = LETTER


@dataclass(frozen=True, eq=False)
class Template:
    """One template; mm, its lower left corner at 0.

    title: one line; notes: what to know before cutting; table: dimensions, its first row the heads
    """

    title: str
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    notes: tuple[str, ...]
    table: tuple[tuple[str, ...], ...]


def bars(across: float, upwards: float) -> list[Stroke]:
    """One across and one up from 0, mm, so that a printer that scales one way is found out as well."""
    tick = 2.0
    level = [[[0, 0], [across, 0]], *([[x, -tick], [x, tick]] for x in (0, across / 2, across))]
    upright = [[[0, 0], [0, upwards]], [[-tick, upwards], [tick, upwards]]]
    return [Stroke("bar", np.array(points, float)) for points in (*level, *upright)]
