"""Tables and notes."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drawing.layout.bodies import PITCH, Extent
from parts.drawing.paper import font
from parts.drawing.paper.ink import Ink
from parts.drawing.standards import letter_height
from parts.drawing.views.curves import Point

SIDE, LINE = 1.5, 4.6
"""mm: beside the text of a cell, and from row to row."""


@dataclass(frozen=True)
class Table:
    """Rows of short texts under a head; its origin is the upper left corner."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def _widths(self) -> list[float]:
        height = letter_height("text")
        columns = zip(self.head, *self.rows, strict=True)
        return [2 * SIDE + max(font.width(font.printable(c), height) for c in column) for column in columns]

    def extent(self, scale: float) -> Extent:
        height = letter_height("text")
        width = max(sum(self._widths), font.width(font.printable(self.caption), height))
        return Extent(0.0, width, LINE * (len(self.rows) + 2), 0.0)

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        height, (x0, y0) = letter_height("text"), at
        widths = self._widths
        ink.text(font.printable(self.caption), (x0, y0 - LINE + (LINE - height) / 2), height)
        top, right = y0 - LINE, x0 + sum(widths)
        count = len(self.rows) + 1
        for i in range(count + 1):
            layer = "SYMBOL" if i == 1 else "TABLE"
            ink.line(layer, (x0, top - i * LINE), (right, top - i * LINE))
        x = x0
        for width in (0.0, *widths):
            x += width
            ink.line("TABLE", (x, top), (x, top - count * LINE))
        for i, row in enumerate((self.head, *self.rows)):
            x = x0
            for text, width in zip(row, widths, strict=True):
                base = top - (i + 1) * LINE + (LINE - height) / 2
                ink.text(font.printable(text), (x + width / 2, base), height, align="centre")
                x += width


@dataclass(frozen=True)
class Notes:
    """Numbered notes, broken into lines; the origin is the upper left corner."""

    notes: tuple[str, ...]
    width: float

    INDENT = 5.0

    def _lines(self) -> list[tuple[str, str]]:
        """Number, or nothing, and text of each line."""
        height = letter_height("text")
        found = []
        for number, text in enumerate(self.notes, start=1):
            for i, line in enumerate(font.wrapped(text, height, self.width - self.INDENT)):
                found.append((f"{number}." if i == 0 else "", line))
        return found

    def extent(self, scale: float) -> Extent:
        return Extent(0.0, self.width, len(self._lines()) * PITCH * letter_height("text"), 0.0)

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        height, (x, y) = letter_height("text"), at
        for number, line in self._lines():
            y -= PITCH * height
            base = y + (PITCH - 1) * height / 2
            ink.text(number, (x, base), height)
            ink.text(line, (x + self.INDENT, base), height)
