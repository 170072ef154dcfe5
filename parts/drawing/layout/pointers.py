"""What points at a view from beside it: section lines, arrows of sight, datums; each with its letter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, Protocol, Self

from parts.drawing.paper.document import EXTENSION_BEYOND, EXTENSION_GAP
from parts.drawing.paper.ink import ARROW, Ink
from parts.drawing.standards import letter_height
from parts.drawing.views.curves import Box, Point

AWAY, THICK_END, SHAFT = 1.5, 6.0, 6.0
"""mm: from the view to an arrow or a section line's thick end, to where that ends, and an arrow's length."""
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
"""Where along an edge an arrow of sight may point at it, the best first."""


class Pointer(Protocol):
    """One of them; the view's box, and all that is given back, is mm on paper from the view's origin."""

    def ways(self) -> Iterator[Pointer]:
        """The same where something else may leave it more room, the best first."""

    def box(self, view: Box, scale: float) -> Box:
        """What it takes."""

    def letters(self, view: Box, scale: float) -> list[Box]:
        """Round its letters."""

    def draw(self, ink: Ink, origin: Point, view: Box, scale: float) -> None:
        """Draw it; origin: of the view on paper."""


@dataclass(frozen=True)
class Cut:
    """Where a section is taken (ISO 128-3): a chain line with thick ends, arrows that point at them, letters.

    at: of the line, mm of the view, along x where it is upright and along y where it is level
    looking: +1 when the arrows point to the right or up, -1 when to the left or down
    beside: letters behind the arrows, not beyond the line's ends
    """

    at: float
    letter: str
    looking: Literal[1, -1]
    level: bool = False
    beside: bool = False

    def ways(self) -> Iterator[Self]:
        yield from (replace(self, beside=beside) for beside in (False, True))

    def _point(self, across: float, along: float) -> Point:
        return (along, across) if self.level else (across, along)

    def _ends(self, view: Box) -> tuple[float, float]:
        return (view.left, view.right) if self.level else (view.bottom, view.top)

    def _middles(self, view: Box, scale: float) -> list[Point]:
        letter, across = letter_height("part"), self.at * scale
        beyond = THICK_END if self.beside else THICK_END + letter
        if self.beside:
            across -= self.looking * (SHAFT + letter * 0.75)
        low, high = self._ends(view)
        return [self._point(across, low - beyond), self._point(across, high + beyond)]

    def letters(self, view: Box, scale: float) -> list[Box]:
        return [_letter_box(middle) for middle in self._middles(view, scale)]

    def box(self, view: Box, scale: float) -> Box:
        across, beyond = self.at * scale, THICK_END + letter_height("part") / 2
        low, high = self._ends(view)
        ends = (self._point(across - SHAFT, low - beyond), self._point(across + SHAFT, high + beyond))
        return Box(*ends[0], *ends[1]).joined(*self.letters(view, scale))

    def draw(self, ink: Ink, origin: Point, view: Box, scale: float) -> None:
        def paper(across: float, along: float) -> Point:
            x, y = self._point(across, along)
            return (origin[0] + x, origin[1] + y)

        across, letter = self.at * scale, letter_height("part")
        low, high = self._ends(view)
        ink.line("CENTRE", paper(across, low - AWAY), paper(across, high + AWAY))
        for edge, sign, (x, y) in zip((low, high), (-1.0, 1.0), self._middles(view, scale), strict=True):
            end = edge + sign * THICK_END
            ink.line("CUT", paper(across, edge + sign * AWAY), paper(across, end))
            ink.line("DIMENSION", paper(across - self.looking * SHAFT, end), paper(across, end))
            ink.arrow("CUT", paper(across, end), self._point(float(self.looking), 0.0))
            middle = (origin[0] + x, origin[1] + y - letter / 2)
            ink.text(self.letter, middle, letter, align="centre")


@dataclass(frozen=True)
class Sight:
    """An arrow from outside at an edge, from where another view looks at the part.

    edge: its ends, mm of the view; towards: unit vector of the arrow; share: of the edge at which it points
    """

    edge: tuple[Point, Point]
    towards: Point
    letter: str
    share: float = 0.5

    def ways(self) -> Iterator[Self]:
        yield from (replace(self, share=share) for share in SHARES)

    @property
    def at(self) -> Point:
        """What it points at, mm of the view."""
        (x0, y0), (x1, y1) = self.edge
        return (x0 + (x1 - x0) * self.share, y0 + (y1 - y0) * self.share)

    def _back(self, scale: float, by: float) -> Point:
        x, y = self.at
        return (x * scale - self.towards[0] * by, y * scale - self.towards[1] * by)

    def _middle(self, scale: float) -> Point:
        return self._back(scale, AWAY + SHAFT + letter_height("part"))

    def letters(self, view: Box, scale: float) -> list[Box]:
        return [_letter_box(self._middle(scale))]

    def box(self, view: Box, scale: float) -> Box:
        (box,) = self.letters(view, scale)
        return box

    def draw(self, ink: Ink, origin: Point, view: Box, scale: float) -> None:
        def shifted(point: Point) -> Point:
            return (origin[0] + point[0], origin[1] + point[1])

        letter = letter_height("part")
        tail, neck = self._back(scale, AWAY + SHAFT), self._back(scale, AWAY + ARROW)
        ink.line("DIMENSION", shifted(tail), shifted(neck))
        ink.arrow("CUT", shifted(self._back(scale, AWAY)), self.towards)
        x, y = shifted(self._middle(scale))
        ink.text(self.letter, (x, y - letter / 2), letter, align="centre")


@dataclass(frozen=True)
class Datum:
    """A datum (ISO 5459) on the extension line of an edge that looks to the left, below a corner of the view.

    at: the corner, mm of the view
    """

    at: Point
    letter: str

    DOWN, LEAD = 4.0, 3.0

    def ways(self) -> Iterator[Self]:
        yield self

    def letters(self, view: Box, scale: float) -> list[Box]:
        x, y = self.at[0] * scale, self.at[1] * scale - self.DOWN
        tall = letter_height("text")
        right = x - tall * 0.87 - self.LEAD
        return [Box(right - 2 * tall, y - tall, right, y + tall)]

    def box(self, view: Box, scale: float) -> Box:
        (box,) = self.letters(view, scale)
        return box.joined(Box(box.left, box.bottom, self.at[0] * scale, box.top))

    def draw(self, ink: Ink, origin: Point, view: Box, scale: float) -> None:
        x, y = origin[0] + self.at[0] * scale, origin[1] + self.at[1] * scale
        (box,) = self.letters(view, scale)
        left, right = origin[0] + box.left, origin[0] + box.right
        tall, level = letter_height("text"), y - self.DOWN
        ink.line("DIMENSION", (x, y - EXTENSION_GAP), (x, level - EXTENSION_BEYOND))
        ink.symbol("datum", (x, level))
        ink.line("SYMBOL", (x - tall * 0.87, level), (right, level))
        corners = [(left, level - tall), (right, level - tall), (right, level + tall), (left, level + tall)]
        ink.polyline("SYMBOL", corners, closed=True)
        ink.text(self.letter, ((left + right) / 2, level - tall / 2), tall, align="centre")


def _letter_box(middle: Point) -> Box:
    half = letter_height("part") / 2 + 0.5
    return Box(middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)
