"""Marking aids that are only paper, printed at full size from their flat pattern."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from locksweep.body.strokes import Stroke, Template, Words, bars
from locksweep.body.template_pdf import write_template
from locksweep.units import Units, length_text, sentence_text
from parts.catalogue import family_of
from solver.errors import WriteError
from solver.families.base import FlatPattern
from solver.families.wrap_template import WrapTemplateDimensions
from solver.part import Part

BAR = 50.0
"""mm; length of the bars that tell whether a print is to scale."""
CLEAR = 12.0
"""Between the bars and the drawing, mm."""
INSET = 4.0
"""Of all of it from the sheet's frame, mm."""
ROWS = 8
"""Places on each half of a developed curve that the table tells."""
CAUTION = "Marking aid: it carries no load and approves nothing. Measure the part again before it is cut."


def write_paper(part: Part, path: Path, *, revision: str, units: Units) -> int:
    """Print a paper aid as PDF, 1:1, on A4 or letter sheets; returns the number of pages.

    Raises:
        WriteError: the part is not one that is only paper, or the file can't be written.
    """
    if not family_of(part.dimensions).paper:
        raise WriteError(f"{path}: {part.name} is no paper aid")
    return write_template(paper_template(part, revision, units), path, "A4" if units == "mm" else "letter")


def paper_template(part: Part, revision: str, units: Units) -> Template:
    """What the sheets show: the pattern above two check bars, its notes and its ordinates."""
    dimensions = part.dimensions
    assert isinstance(dimensions, WrapTemplateDimensions)
    pattern = dimensions.flat_pattern()
    strokes = _strokes(pattern, dimensions)
    low = np.min([stroke.points.min(axis=0) for stroke in strokes], axis=0)
    high = np.max([stroke.points.max(axis=0) for stroke in strokes], axis=0)
    # Whole millimetres: what is measured on the sheet is then what the table says.
    shift = np.ceil(-low + [INSET, INSET + BAR + CLEAR])
    drawn = [Stroke(s.style, s.points + shift, s.closed) for s in strokes]
    words = [
        Words(w.text, w.x + float(shift[0]), w.y + float(shift[1]), w.height)
        for w in _words(dimensions, f"{part.name}-{revision}")
    ]
    width, height = (float(x) for x in high + shift)
    words += [
        Words(f"{BAR:.0f} mm", INSET + 3.0, INSET + BAR - 1.25, 2.5),
        Words(f"{BAR:.0f} mm", INSET + BAR + 3.0, INSET - 1.25, 2.5),
        Words("print at 100 %, then measure both bars", INSET + 6.0, INSET + 8.0, 2.5),
    ]
    return Template(
        title=f"{dimensions.title}, {part.name}-{revision}",
        width=max(width, BAR + CLEAR),
        height=height,
        strokes=(*drawn, *(Stroke(s.style, s.points + INSET, s.closed) for s in bars(BAR, BAR))),
        words=tuple(words),
        notes=tuple(_notes(part, units)),
        table=_table(dimensions, units),
    )


def _notes(part: Part, units: Units) -> Iterator[str]:
    yield CAUTION
    for sentence in (f"{part.quantity} off: {part.fits}", *part.reasons, *part.notes):
        yield sentence_text(f"{sentence[0].upper()}{sentence[1:]}.", units)


def _strokes(pattern: FlatPattern, dimensions: WrapTemplateDimensions) -> list[Stroke]:
    folds = set(dimensions.folds())
    found = [Stroke("cut", np.array([(x, y) for x, y, _ in loop]), True) for loop in pattern.outer]
    for start, end in pattern.marks:
        fold = start[0] == end[0] and start[0] in folds
        found.append(Stroke("rim" if fold else "mark", np.array([start, end])))
    return found


def _words(dimensions: WrapTemplateDimensions, name: str) -> list[Words]:
    """On the sheet, beside the lines; small arms have room for the needful alone."""
    d = dimensions
    half, low = d.girth / 2, -d.strip
    # The arm's left side, between its folds where it has any.
    side = d.folds()[0] if d.folds() else -0.75 * half
    found = [
        Words("arm's top", 1.5, low + 4.0, 2.5),
        Words(name, side + 2.0, low + 4.0, 2.0),
        Words("flap", half + 3.0, low + 4.0, 2.5),
    ]
    under = min(d.cut_at(x) for x in (side, side + 15.0, side + 30.0)) - 5.0
    found.append(Words("saw along this edge", side + 2.0, under, 2.0))
    if d.sleeve_width:
        x = -half / 2
        found.append(Words("sleeve's end", x - 9.0, d.sleeve_at(x) + 2.5, 2.0))
    return found


def _table(dimensions: WrapTemplateDimensions, units: Units) -> tuple[tuple[str, ...], ...]:
    """Ordinates of the edge, to be checked with a rule."""
    heads = ["from the top", "edge over square"]
    if dimensions.sleeve_width:
        heads.append("sleeve under square")
    rows: list[tuple[str, ...]] = [tuple(heads)]
    for i in range(ROWS + 1):
        x = dimensions.girth / 2 * i / ROWS
        values = [x, dimensions.cut_at(x)]
        if dimensions.sleeve_width:
            values.append(-dimensions.sleeve_at(x))
        rows.append(
            tuple(length_text(0.0 if math.isclose(v, 0.0, abs_tol=5e-4) else v, units, 2) for v in values)
        )
    return tuple(rows)
