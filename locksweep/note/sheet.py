"""Laying out a sheet: text broken into lines, tables, lists, pictures, from strips that are never cut through."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import takewhile
from typing import NamedTuple

from locksweep.note.paint import PAGE, Painter
from locksweep.note.shapes import Drawing

Paint = Callable[[Painter, float, float], None]
LEADING = 1.32
"""Height of a line over the size of its font."""
CELL = 0.8
"""Kept free on each side of a cell's text, mm."""


class Strip(NamedTuple):
    """Something as wide as the sheet: its height in mm and how to paint it from its upper left corner.

    follows: whether it must stay on the sheet of the strip before it
    again: what stands over it once more when it is the first on a sheet, such as the head of its table
    """

    height: float
    paint: Paint
    follows: bool = False
    again: Strip | None = None


class Setter:
    """Makes strips of text: ``size`` of the font and ``width`` of the sheet, mm."""

    def __init__(self, painter: Painter, size: float, width: float) -> None:
        self.painter, self.size, self.width = painter, size, width

    def narrow(self, width: float) -> Setter:
        """The same for a column."""
        return Setter(self.painter, self.size, width)

    def space(self, height: float) -> Strip:
        """Nothing."""
        return Strip(height, lambda *_: None)

    def heading(self, text: str) -> list[Strip]:
        """A small title over what follows."""
        size = self.size * 1.08
        above, below = 0.55 * size, 0.45 * size
        lines = self.painter.wrapped(text, self.width, size)

        def paint(painter: Painter, x: float, top: float) -> None:
            for number, line in enumerate(lines, 1):
                painter.text(line, x, top - above - (number - 0.3) * size * LEADING, size, bold=True)

        return [Strip(above + len(lines) * size * LEADING + below, paint)]

    def paragraph(self, text: str, bold: bool = False, scale: float = 1.0) -> list[Strip]:
        """Lines of text, a strip each."""
        size = self.size * scale
        return [self._line(line, 0.0, size, bold) for line in self.painter.wrapped(text, self.width, size)]

    def bullets(self, items: Iterable[str], mark: str = "•") -> list[Strip]:
        """A list; the first line of each item has the mark, and the others stay with it."""
        indent = (1.5 if mark == "•" else 2.0) * self.size
        found = []
        for item in items:
            for number, line in enumerate(self.painter.wrapped(item, self.width - indent, self.size)):
                strip = self._line(line, indent, self.size, False, "" if number else mark)
                found.append(strip._replace(follows=number > 0))
        return found

    def boxed(self, text: str, dark: bool = False, scale: float = 1.0) -> list[Strip]:
        """A paragraph in bold within a frame, or in white on black."""
        size, pad = self.size * scale, 1.6
        lines = self.painter.wrapped(text, self.width - 2 * pad, size)
        height = len(lines) * size * LEADING + 2 * pad

        def paint(painter: Painter, x: float, top: float) -> None:
            painter.box(x, top - height, self.width, height, width=0.5, fill=0.0 if dark else None)
            for number, line in enumerate(lines, 1):
                at = top - pad - (number - 0.28) * size * LEADING
                painter.text(line, x + pad, at, size, bold=True, grey=1.0 if dark else 0.0)

        return [Strip(height, paint), self.space(1.2)]

    def table(
        self, head: Sequence[str], rows: Iterable[Sequence[str]], shares: Sequence[float]
    ) -> list[Strip]:
        """A table whose columns take shares of the width; its head stays with the first row, and comes again above."""
        widths = [self.width * share / sum(shares) for share in shares]
        top = self._row(head, widths, head=True)
        strips = [
            self._row(row, widths)._replace(follows=not number, again=top) for number, row in enumerate(rows)
        ]
        return [top, *strips, self.space(1.0)]

    def picture(self, drawing: Drawing) -> list[Strip]:
        """A drawing, as wide as it is."""
        return [
            Strip(drawing.height, lambda painter, x, top: painter.drawing(drawing, x, top - drawing.height)),
            self.space(0.6),
        ]

    def beside(self, columns: Sequence[Sequence[Strip]], gap: float = 5.0) -> list[Strip]:
        """Columns of strips next to one another, each made by a `narrow` setter of their common width."""
        width = (self.width - gap * (len(columns) - 1)) / len(columns)
        height = max(sum(strip.height for strip in column) for column in columns)

        def paint(painter: Painter, x: float, top: float) -> None:
            for number, column in enumerate(columns):
                y = top
                for strip in column:
                    strip.paint(painter, x + number * (width + gap), y)
                    y -= strip.height

        return [Strip(height, paint)]

    def _line(self, line: str, indent: float, size: float, bold: bool, mark: str = "") -> Strip:
        def paint(painter: Painter, x: float, top: float) -> None:
            base = top - 0.72 * size * LEADING
            if mark:
                painter.text(mark, x + 0.25 * indent, base, size)
            painter.text(line, x + indent, base, size, bold)

        return Strip(size * LEADING, paint)

    def _row(self, cells: Sequence[str], widths: Sequence[float], head: bool = False) -> Strip:
        size = self.size * (0.92 if head else 1.0)
        lines = [
            self.painter.wrapped(cell, width - 2 * CELL, size)
            for cell, width in zip(cells, widths, strict=True)
        ]
        height = max(map(len, lines)) * size * LEADING + 0.5

        def paint(painter: Painter, x: float, top: float) -> None:
            if head:
                painter.box(x, top - height, sum(widths), height, width=0.0, fill=0.9)
            painter.rule(x, top - height, sum(widths), 0.3 if head else 0.12)
            for column, width in zip(lines, widths, strict=True):
                for number, line in enumerate(column, 1):
                    painter.text(line, x + CELL, top - 0.2 - (number - 0.28) * size * LEADING, size, head)
                x += width

        return Strip(height, paint)


def paint_pages(painter: Painter, strips: Sequence[Strip], margin: float) -> None:
    """Paint strips on as many sheets as they take, ``margin`` mm free all round."""
    for page in paged(strips, PAGE[1] - 2 * margin + 1e-6):
        top = PAGE[1] - margin
        for strip in page:
            strip.paint(painter, margin, top)
            top -= strip.height
        painter.end_page()


def paged(strips: Sequence[Strip], height: float) -> list[list[Strip]]:
    """Strips on as many sheets as they take."""
    pages: list[list[Strip]] = [[]]
    left = height
    for number, strip in enumerate(strips):
        # What must follow is looked at together with what it follows.
        after = sum(each.height for each in takewhile(lambda each: each.follows, strips[number + 1 :]))
        if pages[-1] and strip.height + after > left:
            pages.append([])
            left = height
            if strip.again is not None:
                pages[-1].append(strip.again)
                left -= strip.again.height
        pages[-1].append(strip)
        left -= strip.height
    return pages
