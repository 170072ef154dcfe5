"""Puts lines and words on pages of a PDF file, in mm from the lower left corner."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

from locksweep.body.fonts import register, writable
from locksweep.note.shapes import Anchor, Drawing, Line

POINT = 72 / 25.4
"""Of PDF's units in a mm."""
PAGE = (210.0, 297.0)
DIGITS = 2
BOLD = 0.045
"""Width of the outline of bold text as a share of its size."""


class Painter:
    """One PDF file; the same calls give the same bytes."""

    def __init__(self, title: str) -> None:
        from reportlab.pdfbase.pdfmetrics import stringWidth
        from reportlab.pdfgen.canvas import Canvas

        self._stream = io.BytesIO()
        self._font = register()
        # No time of day and no number of its own; no font that isn't embedded.
        options: dict[str, Any] = {"invariant": 1, "pageCompression": 1, "initialFontName": self._font}
        size = (PAGE[0] * POINT, PAGE[1] * POINT)
        self._canvas: Any = Canvas(self._stream, pagesize=size, **options)
        self._canvas.setTitle(writable(title))
        self._canvas.setCreator("locksweep")
        self._string_width = stringWidth
        self._widths: dict[str, float] = {}
        self._lines: dict[tuple[str, float, float], list[str]] = {}

    def measure(self, text: str, size: float) -> float:
        """Width of a text, mm."""
        known = self._widths.get(text)
        if known is None:
            known = self._widths[text] = float(self._string_width(writable(text), self._font, 1.0))
        return known * size

    def wrapped(self, text: str, room: float, size: float) -> list[str]:
        """Lines no wider than ``room`` mm; a word that is wider is broken."""
        known = self._lines.get((text, room, size))
        if known is None:
            known = self._lines[text, room, size] = self._wrapped(text, room, size)
        return known

    def _wrapped(self, text: str, room: float, size: float) -> list[str]:
        space = self.measure(" ", size)
        lines: list[str] = []
        line, used = "", 0.0
        for number, word in (
            piece for whole in text.split() for piece in enumerate(self._broken(whole, room, size))
        ):
            width = self.measure(word, size)
            # A word that is broken goes on in a line of its own, or it would read as two.
            if line and (number or used + space + width > room):
                lines.append(line)
                line = ""
            line, used = (f"{line} {word}", used + space + width) if line else (word, width)
        return [*lines, line]

    def _broken(self, word: str, room: float, size: float) -> Iterable[str]:
        """A word in pieces that have room on a line: itself, if it has."""
        while len(word) > 1 and self.measure(word, size) > room:
            # No letter is wider than 1.2 of the font's size, so that this many fit at least.
            count = max(1, int(room / (1.2 * size)))
            while self.measure(word[: count + 1], size) <= room:
                count += 1
            # A name is rather broken where it has a joint, unless too little of it comes before that.
            joint = max(word.rfind(mark, 0, count) for mark in "-_/") + 1
            count = joint if joint > count / 3 else count
            yield word[:count]
            word = word[count:]
        yield word

    def clipped(self, text: str, room: float, size: float) -> str:
        """The text, shortened to what has room on one line."""
        text = " ".join(writable(text).split())
        if self.measure(text, size) <= room:
            return text
        while text and self.measure(text + "…", size) > room:
            text = text[:-1]
        return text.rstrip() + "…"

    def text(
        self,
        text: str,
        x: float,
        y: float,
        size: float,
        bold: bool = False,
        grey: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """One line of text, its base line at y.

        bold: its outline drawn as well, which needs no second font
        """
        self._canvas.setFillGray(grey)
        self._canvas.setFont(self._font, round(size * POINT, DIGITS))
        if anchor != "start":
            width = self.measure(text, size)
            x -= width if anchor == "end" else width / 2
        if bold:
            self._stroke(BOLD * size, grey, ())
        self._canvas.drawString(_points(x), _points(y), writable(text), mode=2 if bold else 0)

    def box(self, x: float, y: float, across: float, up: float, width: float, fill: float | None) -> None:
        """A rectangle from its lower left corner."""
        if fill is not None:
            self._canvas.setFillGray(fill)
        if width:
            self._stroke(width, 0.0, ())
        self._canvas.rect(
            _points(x),
            _points(y),
            _points(across),
            _points(up),
            stroke=int(width > 0),
            fill=int(fill is not None),
        )

    def rule(self, x: float, y: float, across: float, width: float) -> None:
        """A level line."""
        self._stroke(width, 0.0, ())
        self._canvas.line(_points(x), _points(y), _points(x + across), _points(y))

    def drawing(self, drawing: Drawing, x: float, y: float) -> None:
        """A picture from its lower left corner."""
        for shape in drawing.shapes:
            if isinstance(shape, Line):
                self._line(shape, x, y)
            else:
                self.text(shape.text, shape.x + x, shape.y + y, shape.size, shape.bold, anchor=shape.anchor)

    def end_page(self) -> None:
        """The next page."""
        self._canvas.showPage()

    def finished(self) -> bytes:
        """The file."""
        self._canvas.save()
        return self._stream.getvalue()

    def _line(self, line: Line, x: float, y: float) -> None:
        if line.width:
            self._stroke(line.width, line.grey, line.dash)
        if line.fill is not None:
            self._canvas.setFillGray(line.fill)
        path = self._canvas.beginPath()
        first, *rest = line.points.tolist()
        path.moveTo(_points(first[0] + x), _points(first[1] + y))
        for point in rest:
            path.lineTo(_points(point[0] + x), _points(point[1] + y))
        if line.closed:
            path.close()
        self._canvas.drawPath(path, stroke=int(line.width > 0), fill=int(line.fill is not None))

    def _stroke(self, width: float, grey: float, dash: tuple[float, ...]) -> None:
        self._canvas.setLineWidth(_points(width))
        self._canvas.setStrokeGray(grey)
        self._canvas.setDash([_points(size) for size in dash] if dash else [])
        self._canvas.setLineJoin(1)


def _points(mm: float) -> float:
    return round(mm * POINT, DIGITS)
