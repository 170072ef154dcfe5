"""Places for short texts inside of a view, where nothing else is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from parts.drawing.paper import font
from parts.drawing.standards import letter_height
from parts.drawing.views.curves import Box, Point

Line = tuple[Point, Point]

CLEAR = 0.6
"""mm round a text that stay free."""
BEYOND = 3.0
"""mm that the cross of a hole goes beyond its edge."""
FURTHER = (1.0, 1.4, 1.8, 2.4, 3.0, 3.8, 4.8, 6.0)
TURNS = (0, 25, -25, 50, -50, 80, -80, 110, -110, 150, -150)
"""How much further than wanted, and degrees to either side, in the order in which they are tried."""


class Taken:
    """What is drawn in a view, mm on paper from its origin.

    crosses: centre and radius of holes, mm of the view; lines: mm of the view
    beside, boxes: lines and texts of dimensions and leaders, mm on paper

    `placed` has the boxes of the texts that found their places, mm on paper.
    """

    def __init__(
        self,
        crosses: Sequence[tuple[Point, float]],
        lines: Sequence[Line],
        beside: Sequence[Line],
        boxes: Sequence[Box],
        scale: float,
    ) -> None:
        self.scale = scale
        self.placed: list[Box] = []
        self.boxes = list(boxes)
        for (x, y), radius in crosses:
            arm = radius * scale + BEYOND
            self.boxes.append(Box(x * scale - arm, y * scale - arm, x * scale + arm, y * scale + arm))
        self.lines = [
            *beside,
            *(((a * scale, b * scale), (c * scale, d * scale)) for (a, b), (c, d) in lines),
        ]

    def place(self, text: str, at: Point, offset: Point) -> Point:
        """Middle of a text, mm on paper; what it takes is taken from then on.

        at: mm of the view; offset: mm on paper, where it would best be
        """
        height = letter_height("text")
        half = (font.width(text, height) / 2 + CLEAR, height / 2 + CLEAR)
        start = (at[0] * self.scale, at[1] * self.scale)
        tried = list(_ways(start, offset))
        middle = next((p for p in tried if self._free(p, half)), tried[0])
        self.placed.append(_box(middle, half))
        self.boxes.append(self.placed[-1])
        return middle

    def _free(self, middle: Point, half: Point) -> bool:
        box = _box(middle, half)
        if any(box.meets(other) for other in self.boxes):
            return False
        return not any(crosses(line, box) for line in self.lines)


def _ways(start: Point, offset: Point) -> Iterator[Point]:
    for further in FURTHER:
        for turn in TURNS:
            c, s = math.cos(math.radians(turn)) * further, math.sin(math.radians(turn)) * further
            yield (start[0] + c * offset[0] - s * offset[1], start[1] + s * offset[0] + c * offset[1])


def _box(middle: Point, half: Point) -> Box:
    return Box(middle[0] - half[0], middle[1] - half[1], middle[0] + half[0], middle[1] + half[1])


def crosses(line: Line, box: Box) -> bool:
    """Whether a straight line meets a box: clipped to it, something is left (Liang and Barsky)."""
    (x0, y0), (x1, y1) = line
    low, high = 0.0, 1.0
    for step, start, least, most in ((x1 - x0, x0, box.left, box.right), (y1 - y0, y0, box.bottom, box.top)):
        if abs(step) < 1e-12:
            if not least < start < most:
                return False
            continue
        near, far = sorted(((least - start) / step, (most - start) / step))
        low, high = max(low, near), min(high, far)
    return low < high
