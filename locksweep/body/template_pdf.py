"""Marking templates as PDF at full size: on sheets to be stuck together, or on one sheet as large as it takes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from locksweep.body.fonts import register, writable
from locksweep.body.strokes import LETTER, Stroke, Style, Template, Words
from parts.files import write_bytes

POINT = 72 / 25.4
"""Of PDF's units in a mm."""
SHEETS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "letter": (215.9, 279.4)}
MARGIN = 10.0
"""mm that no printer prints on."""
OVERLAP = 8.0
"""mm that two sheets have in common."""
HEAD = 8.0
"""mm above the drawing of a sheet, for its title."""
WIDTHS: dict[Style, tuple[float, float]] = {
    "cut": (0.5, 0.0),
    "rim": (0.5, 0.0),
    "edge": (0.15, 0.45),
    "mark": (0.2, 0.0),
    "bar": (0.25, 0.0),
}
"""Width of a line in mm, and its grey from 0, black, to 1."""
DASH = (3.0, 2.0)
DIGITS = 3
"""Of a coordinate in mm."""
LARGEST = 5000.0
"""mm; a PDF page is not larger than 14 400 of its units, 5080 mm."""


def write_template(template: Template, path: Path, sheet: str | None = "A4") -> int:
    """Write a template and its table; returns the number of pages.

    sheet: size of the sheets, a key of `SHEETS`; None for one sheet that holds all of it

    Raises:
        WriteError: the file can't be written.
    """
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    # No time of day and no number of its own: the same template gives the same bytes.
    canvas: Any = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(writable(template.title))
    canvas.setCreator("locksweep")
    printer = _Printer(canvas, register())
    if sheet is None:
        size = (min(template.width + 2 * MARGIN, LARGEST), min(template.height + 2 * MARGIN + HEAD, LARGEST))
        printer.page(template, size, (0.0, 0.0), template.title)
    else:
        for tile in _tiles(template, SHEETS[sheet]):
            name = f"{template.title}: sheet {tile.name} of {tile.count}"
            printer.page(template, SHEETS[sheet], tile.origin, name, tile)
    printer.table(template, SHEETS[sheet or "A4"])
    canvas.save()
    write_bytes(path, stream.getvalue())
    return int(canvas.getPageNumber()) - 1


@dataclass(frozen=True)
class _Tile:
    """One sheet's piece of a template: lower left corner and size in mm of it, and which sheet it is."""

    origin: tuple[float, float]
    size: tuple[float, float]
    name: str
    count: int

    def holds(self, words: Words) -> bool:
        """Whether a text begins on the sheet."""
        (x, y), (width, height) = self.origin, self.size
        return x <= words.x <= x + width and y <= words.y <= y + height


def _tiles(template: Template, sheet: tuple[float, float]) -> list[_Tile]:
    """Sheets that have anything of the drawing on them, row by row from the top; A1 is at the upper left."""
    size = (sheet[0] - 2 * MARGIN, sheet[1] - 2 * MARGIN - HEAD)
    steps = [side - OVERLAP for side in size]
    counts = [
        max(1, int(np.ceil((whole - OVERLAP) / step)))
        for whole, step in zip((template.width, template.height), steps, strict=True)
    ]
    found = []
    for row in reversed(range(counts[1])):
        for column in range(counts[0]):
            origin = (column * steps[0], row * steps[1])
            if any(_meets(stroke, origin, size) for stroke in template.strokes):
                found.append((f"{chr(ord('A') + min(counts[1] - 1 - row, 25))}{column + 1}", origin))
    return [_Tile(origin, size, name, len(found)) for name, origin in found]


def _meets(stroke: Stroke, origin: tuple[float, float], size: tuple[float, float]) -> bool:
    """Whether a line may pass over a sheet, by the boxes round its steps."""
    points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
    low, high = np.minimum(points[1:], points[:-1]), np.maximum(points[1:], points[:-1])
    corner = np.array(origin)
    return bool(((high >= corner) & (low <= corner + size)).all(axis=1).any())


class _Printer:
    """Puts mm on pages."""

    def __init__(self, canvas: Any, font: str) -> None:
        self.canvas, self.font = canvas, font

    def page(
        self,
        template: Template,
        sheet: tuple[float, float],
        origin: tuple[float, float],
        title: str,
        tile: _Tile | None = None,
    ) -> None:
        """One page of the drawing; with a tile only what lies on that."""
        self.canvas.setPageSize((sheet[0] * POINT, sheet[1] * POINT))
        self._text(title, MARGIN, sheet[1] - MARGIN - LETTER, 3.5)
        self.canvas.saveState()
        if tile is not None:
            self._frame(tile)
        shift = (MARGIN - origin[0], MARGIN - origin[1])
        for stroke in template.strokes:
            if tile is None or _meets(stroke, origin, tile.size):
                self._stroke(stroke, shift)
        for words in template.words:
            if tile is None or tile.holds(words):
                self._text(words.text, words.x + shift[0], words.y + shift[1], words.height)
        self.canvas.restoreState()
        self.canvas.showPage()

    def _frame(self, tile: _Tile) -> None:
        """The sheet's piece, to cut along or to lay on the next one's; nothing is drawn beyond it."""
        x, y, width, height = (value * POINT for value in (MARGIN, MARGIN, *tile.size))
        self.canvas.setLineWidth(0.1 * POINT)
        self.canvas.setStrokeGray(0.6)
        self.canvas.rect(x, y, width, height)
        overlap = OVERLAP * POINT
        self.canvas.setDash(1, 2)
        self.canvas.line(x, y + height - overlap, x + width, y + height - overlap)
        self.canvas.line(x + width - overlap, y, x + width - overlap, y + height)
        self.canvas.setDash()
        clip = self.canvas.beginPath()
        clip.rect(x, y, width, height)
        self.canvas.clipPath(clip, stroke=0)

    def _stroke(self, stroke: Stroke, shift: tuple[float, float]) -> None:
        width, grey = WIDTHS[stroke.style]
        self.canvas.setLineWidth(width * POINT)
        self.canvas.setStrokeGray(grey)
        self.canvas.setDash(*([[size * POINT for size in DASH]] if stroke.style == "rim" else []))
        path = self.canvas.beginPath()
        points = (np.round(stroke.points + shift, DIGITS) * POINT).tolist()
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        if stroke.closed:
            path.close()
        self.canvas.drawPath(path, stroke=1, fill=0)

    def _text(self, text: str, x: float, y: float, height: float) -> None:
        # A capital letter is 0.73 of the size of this font.
        self.canvas.setFillGray(0.0)
        self.canvas.setFont(self.font, height / 0.73 * POINT)
        self.canvas.drawString(x * POINT, y * POINT, writable(text))

    def table(self, template: Template, sheet: tuple[float, float]) -> None:
        """Notes and dimensions, on as many pages as they take."""
        room = sheet[0] - 2 * MARGIN
        lines = [piece for note in template.notes for piece in self._wrapped(note, room, LETTER)]
        columns = len(template.table[0]) if template.table else 1
        across = min(room / columns, max(32.0, self._widest(template.table) + 4.0))
        entries: list[tuple[str, ...]] = [(line,) for line in lines] + [("",), *template.table]
        y = 0.0
        for entry in entries:
            if y < MARGIN + 8.0:
                if y:
                    self.canvas.showPage()
                self.canvas.setPageSize((sheet[0] * POINT, sheet[1] * POINT))
                y = sheet[1] - MARGIN - 5.0
                self._text(template.title, MARGIN, y, 3.5)
                y -= 9.0
            for column, cell in enumerate(entry):
                self._text(cell, MARGIN + column * across, y, LETTER * (0.9 if len(entry) > 1 else 1.0))
            y -= 5.5
        self.canvas.showPage()

    def _widest(self, table: tuple[tuple[str, ...], ...]) -> float:
        """Of a table's entries, mm."""
        from reportlab.pdfbase.pdfmetrics import stringWidth

        size = 0.9 * LETTER / 0.73
        cells = [writable(cell) for row in table for cell in row]
        return max((float(stringWidth(cell, self.font, size)) for cell in cells), default=0.0)

    def _wrapped(self, text: str, room: float, height: float) -> Iterator[str]:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        line = ""
        for word in writable(text).split():
            longer = f"{line} {word}".strip()
            if line and stringWidth(longer, self.font, height / 0.73) > room:
                yield line
                longer = word
            line = longer
        yield line
