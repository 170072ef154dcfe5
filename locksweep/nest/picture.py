"""Pages that show what lies where on each sheet, for the shop and for who orders the plate."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from locksweep.documents.cutting import NET
from locksweep.nest.labels import roomiest
from locksweep.nest.layout import Sheet, counted
from locksweep.note.paint import PAGE, Painter
from locksweep.note.shapes import Drawing, Line, Shape, Words, moved
from locksweep.note.sheet import Setter, Strip, paint_pages
from locksweep.units import Units, length_text
from solver.families.base import Outline
from solver.vectors import Array

MARGIN = 13.0
SIZE = 2.9
"""Of the font, mm."""
TALLEST = 165.0
"""Of the picture, mm."""
METAL, BEND = 0.82, 0.35
"""Greys."""
CHORD = math.radians(6)
"""Of an arc, drawn straight."""
DASH = (1.5, 1.0)
APART = 6.0
"""Between the sheet and its corner, mm."""
WORTH = 1.4
"""How much larger the corner must come out than the sheet at its largest, to be drawn."""
SMALLER = 0.6
"""Of its largest size, that the whole sheet is drawn at to make room for a corner beneath it."""
LABEL = (1.2, 4.0)
"""Least and largest size of a number, mm."""
NEITHER = (
    "Pieces are turned but never over, and the direction in which the plate was rolled is not looked at: where a bend "
    "should lie across it, tell the shop. The shop may nest anew; quantities and outlines are what counts."
)


def pdf_bytes(
    pages: Sequence[tuple[str, str, Sheet]],
    title: str,
    caution: str,
    units: Units,
    machined: tuple[str, ...] = (),
) -> bytes:
    """A page for each sheet, given with its heading and the name of its DXF file; machined: what is on none."""
    painter = Painter(title)
    width = PAGE[0] - 2 * MARGIN
    setter = Setter(painter, SIZE, width)
    for heading, file, sheet in pages:
        strips = list(_strips(setter, title, heading, file, sheet, caution, units, machined))
        paint_pages(painter, strips, MARGIN)
    return painter.finished()


def facts(sheet: Sheet, units: Units) -> list[str]:
    """What a sheet is, how much of it is used, and how little plate would do."""
    stock = sheet.stock
    x, y = sheet.corner
    return [
        f"sheet {_sides(stock.across, stock.deep, units)}, {length_text(stock.margin, units, 1)} free along its edges, "
        f"{length_text(stock.gap, units, 1)} or more between pieces",
        f"{100 * sheet.used:.1f} % of the sheet's area goes into parts; a piece of {_sides(x, y, units)} would do, "
        f"{100 * sheet.used * stock.across * stock.deep / (x * y):.1f} % of it used",
        f"{NET}; the origin is the sheet's lower left corner",
    ]


def from_bar(machined: Sequence[str]) -> str:
    """What is on no sheet although it has an outline."""
    return f"Machined from bar and so on no sheet: {', '.join(machined)}."


def _strips(
    setter: Setter,
    title: str,
    heading: str,
    file: str,
    sheet: Sheet,
    caution: str,
    units: Units,
    machined: tuple[str, ...],
) -> Iterator[Strip]:
    yield from setter.paragraph(title, bold=True, scale=1.5)
    yield from setter.paragraph(heading, bold=True, scale=1.15)
    yield setter.space(1.0)
    numbers = {name: number for number, name in enumerate(counted(sheet.placed), 1)}
    yield from setter.picture(_picture(sheet, numbers, setter.width))
    yield from setter.bullets([*facts(sheet, units), "dashed: the piece that would do", f"as DXF: {file}"])
    yield setter.space(1.5)
    rows = [
        [str(numbers[name]), f"{name} {_remark(sheet, name)}".rstrip(), str(count)]
        for name, count in counted(sheet.placed).items()
    ]
    yield from setter.table(("no.", "piece", "on this sheet"), rows, (0.5, 6.5, 1.0))
    yield from setter.paragraph(NEITHER)
    if machined:
        yield from setter.paragraph(from_bar(machined))
    yield setter.space(1.5)
    yield from setter.boxed(caution)


def _remark(sheet: Sheet, title: str) -> str:
    """What every file of the part says, where there is something."""
    remark = next(placed.piece.remark for placed in sheet.placed if placed.piece.title == title)
    return f"({remark})" if remark else ""


def _picture(sheet: Sheet, numbers: dict[str, int], room: float) -> Drawing:
    """The whole sheet and, where what lies on it would be small, its corner again at a larger scale."""
    across, deep = sheet.stock.across, sheet.stock.deep
    full = min(room / across, TALLEST / deep)
    x, y = sheet.corner

    def drawn(scale: float, frame: tuple[float, float]) -> Drawing:
        return Drawing(frame[0] * scale, frame[1] * scale, tuple(_shapes(sheet, numbers, scale, frame)))

    # A wide corner has no room beside a sheet as tall as the page: the sheet itself is drawn smaller then.
    for share in (1.0, SMALLER):
        scale = share * full
        width, height = across * scale, deep * scale
        beside = min((room - width - APART) / x, TALLEST / y)
        below = min(room / x, (TALLEST - height - APART) / y)
        if max(beside, below) < WORTH * full:
            continue
        whole = drawn(scale, (across, deep))
        detail = drawn(max(beside, below), (x, y))
        if beside >= below:
            tall = max(height, detail.height)
            shapes = [
                *moved(whole.shapes, 0.0, tall - height),
                *moved(detail.shapes, width + APART, tall - detail.height),
            ]
            return Drawing(width + APART + detail.width, tall, tuple(shapes))
        shapes = [*moved(whole.shapes, 0.0, detail.height + APART), *detail.shapes]
        return Drawing(max(width, detail.width), height + APART + detail.height, tuple(shapes))
    return drawn(full, (across, deep))


def _shapes(
    sheet: Sheet, numbers: dict[str, int], scale: float, frame: tuple[float, float]
) -> Iterator[Shape]:
    """All that lies on a sheet in a frame about it or about its lower left corner."""
    across, deep = frame
    x, y = sheet.corner
    is_whole = frame == (sheet.stock.across, sheet.stock.deep)
    edge = np.array([[0, 0], [across, 0], [across, deep], [0, deep]])
    yield Line(edge * scale, 0.35 if is_whole else 0.2, closed=True, dash=() if is_whole else DASH)
    if is_whole:
        yield Line(np.array([[0, y], [x, y], [x, 0]]) * scale, 0.2, dash=DASH)
    for placed in sheet.placed:
        yield Line(_points(placed.outer) * scale, 0.18, closed=True, fill=METAL)
        for hole in placed.inner:
            yield Line(_points(hole) * scale, 0.12, closed=True, fill=1.0)
        for bend, _ in placed.bends:
            yield Line(np.array(bend) * scale, 0.12, grey=BEND, dash=(1.0, 0.6))
    for placed in sheet.placed:
        (mx, my), radius = roomiest(placed)
        size = min(1.1 * radius * scale, LABEL[1])
        if size >= LABEL[0]:
            text = str(numbers[placed.piece.title])
            yield Words(text, mx * scale, my * scale - 0.35 * size, size, "middle", bold=True)


def _points(outline: Outline) -> Array:
    """Along an outline, arcs in short chords."""
    found = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        found.append((x0, y0))
        if bulge:
            sweep = 4 * math.atan(bulge)
            off = (1 - bulge**2) / (4 * bulge)
            cx, cy = (x0 + x1) / 2 - off * (y1 - y0), (y0 + y1) / 2 + off * (x1 - x0)
            count = max(2, math.ceil(abs(sweep) / CHORD))
            for step in range(1, count):
                c, s = math.cos(sweep * step / count), math.sin(sweep * step / count)
                dx, dy = x0 - cx, y0 - cy
                found.append((cx + c * dx - s * dy, cy + s * dx + c * dy))
    return np.array(found)


def _sides(across: float, deep: float, units: Units) -> str:
    return f"{length_text(across, units, 0)} × {length_text(deep, units, 0)}"
