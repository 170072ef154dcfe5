"""The page of a PDF file on which a sheet is drawn; text stays text that can be searched."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from typing import Any, Literal

from reportlab.pdfgen.canvas import Canvas

from parts.drawing.paper import font
from parts.drawing.paper.reading_order import visual
from parts.drawing.standards import line_styles
from parts.drawing.views.curves import Point

POINT = 72 / 25.4
"""Units of a PDF file in a mm."""
DIGITS = 3
PRODUCER = "locksweep"
BUTT, ROUND = 0, 1
"""Ends of lines, as PDF numbers them."""

Align = Literal["left", "centre", "right"]


class Page:
    """A page, black on white; points and lengths in mm from its lower left corner.

    title: of the PDF file
    """

    def __init__(self, size: tuple[float, float], title: str) -> None:
        self.stream = io.BytesIO()
        # No time of day and no number of its own: the same sheet gives the same bytes.
        made: Any = Canvas
        self.canvas = made(
            self.stream,
            pagesize=(size[0] * POINT, size[1] * POINT),
            invariant=1,
            pageCompression=1,
            initialFontName=font.register(),
        )
        self.canvas.setTitle(title)
        self.canvas.setCreator(PRODUCER)
        self.canvas.setProducer(PRODUCER)
        self.canvas.setLineJoin(ROUND)

    def contents(self) -> bytes:
        """The file, the font embedded; nothing can be drawn after that."""
        self.canvas.showPage()
        self.canvas.save()
        return self.stream.getvalue()

    def lines(self, layer: str, lines: Iterable[Sequence[Point]], *, closed: bool = False) -> None:
        """Straight lines from point to point of each sequence."""
        path = self.canvas.beginPath()
        for points in lines:
            path.moveTo(*_at(points[0]))
            for point in points[1:]:
                path.lineTo(*_at(point))
            if closed:
                path.close()
        self._stroke(layer, path)

    def arc(self, layer: str, centre: Point, radius: float, start: float, end: float) -> None:
        """Counter-clockwise from one angle to another, rad."""
        path = self.canvas.beginPath()
        low, high = (_at((centre[0] + r, centre[1] + r)) for r in (-radius, radius))
        path.arc(*low, *high, math.degrees(start), math.degrees(end - start))
        self._stroke(layer, path)

    def area(self, corners: Sequence[Point]) -> None:
        """Filled."""
        path = self.canvas.beginPath()
        path.moveTo(*_at(corners[0]))
        for corner in corners[1:]:
            path.lineTo(*_at(corner))
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def text(self, text: str, at: Point, height: float, rotation: float, align: Align) -> None:
        """One line of text by the point on its base line; rotation in degrees."""
        written = visual(text)
        back = {"left": 0.0, "centre": 0.5, "right": 1.0}[align] * font.width(written, height)
        self.canvas.saveState()
        self.canvas.translate(*_at(at))
        if rotation:
            self.canvas.rotate(rotation)
        self.canvas.setFont(font.NAME, round(font.em_of(height) * POINT, DIGITS))
        self.canvas.drawString(round(-back * POINT, DIGITS) + 0.0, 0, written)
        self.canvas.restoreState()

    def _stroke(self, layer: str, path: Any) -> None:
        style = line_styles()[layer]
        self.canvas.setLineWidth(round(style.width * POINT, DIGITS))
        self.canvas.setDash([round(length * POINT, DIGITS) for length in style.pattern])
        self.canvas.setLineCap(BUTT if style.pattern else ROUND)
        self.canvas.drawPath(path, stroke=1, fill=0)


def _at(point: Point) -> Point:
    return (round(point[0] * POINT, DIGITS) + 0.0, round(point[1] * POINT, DIGITS) + 0.0)
