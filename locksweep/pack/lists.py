"""The list of parts for one kind of shop, as a page of PDF and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from locksweep.documents.verdicts import OVERRIDDEN
from locksweep.note.paint import PAGE, Painter
from locksweep.note.sheet import Setter, Strip, paint_pages
from locksweep.pack.shops import Row, Shop
from locksweep.units import Units, length_text, sentence_text, sides_text

COLUMNS = (
    "part",
    "revision",
    "quantity",
    "material",
    "condition",
    "thickness_mm",
    "process",
    "tolerance",
    "finish",
    "mass_kg",
    "envelope_x_mm",
    "envelope_y_mm",
    "envelope_z_mm",
    "cut_length_mm",
    "blank",
    "blank_x_mm",
    "blank_y_mm",
    "blank_z_mm",
    "strength_check_overridden",
    "files",
)
SIZES_HEAD = (
    "part", "off", "material", "thickness", "size over all", "mass each", "cut length", "to buy for each",
)  # fmt: skip
SIZES_SHARES = (2.5, 0.6, 1.7, 1.4, 2.5, 1.3, 1.3, 2.5)
CARRIES = (
    "runs the loads of steering and suspension: the material and its condition as listed, with a certificate "
    "(EN 10204, type 3.1); nothing welded, heated or straightened that is not named here."
)
MARGIN = 13.0
SIZES = (2.9, 2.6, 2.35, 2.1, 1.9, 1.7, 1.5, 1.3)
"""Of the font in mm; the largest at which all of it has room on one page is taken."""


def csv_bytes(rows: Sequence[Row]) -> bytes:
    """The list for a spreadsheet: UTF-8 with its mark, commas, a point in numbers, lengths in mm."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        blank = [""] * 4 if row.blank is None else [blank_name(row), *map(_number, row.blank["size_mm"])]
        writer.writerow(
            [
                row.part,
                row.revision,
                row.quantity,
                row.material,
                row.condition,
                _number(row.thickness),
                row.process,
                row.tolerance,
                row.finish,
                _number(row.mass, 4),
                *map(_number, row.envelope),
                _number(row.cut_length, 1),
                *blank,
                "yes" if row.overridden else "no",
                " ".join(row.files),
            ]
        )
    return stream.getvalue().encode("utf-8-sig")


def pdf_bytes(shop: Shop, rows: Sequence[Row], title: str, caution: str, units: Units) -> bytes:
    """The same on one sheet of A4, in the largest print that has room; in an inch job inches come first."""
    painter = Painter(title)
    width, height = PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN
    strips: list[Strip] = []
    for size in SIZES:
        strips = _strips(Setter(painter, size, width), shop, rows, title, caution, units)
        if sum(strip.height for strip in strips) <= height:
            break
    paint_pages(painter, strips, MARGIN)
    return painter.finished()


def material_words(row: Row) -> str:
    """With its condition."""
    return ", ".join(filter(None, (row.material, row.condition)))


def blank_name(row: Row) -> str:
    """What has to be bought, as the trade calls it."""
    assert row.blank is not None
    kind, stock = row.blank["kind"], row.blank["stock"]
    return str(stock) if kind == "block" else f"{kind} {stock}"


def blank_words(row: Row, units: Units) -> str:
    """The same with its size."""
    if row.blank is None:
        return "–"
    x, y, z = row.blank["size_mm"]
    kind = row.blank["kind"]
    size = sides_text((z,) if kind in ("tube", "round bar") else (x, y), units, 0)
    if kind != "plate":
        size += " long" if kind != "block" else f", {length_text(z, units, 0)} long"
    return f"{blank_name(row)}, {size}"


def size_words(row: Row, units: Units) -> str:
    """Size over all."""
    return sides_text(row.envelope, units, 1)


def thickness_words(row: Row, units: Units) -> str:
    """Thickness of the plate that it is cut from."""
    return "–" if row.thickness is None else length_text(row.thickness, units, 2)


def cut_words(row: Row, units: Units) -> str:
    """Length of all cuts of one part."""
    return "–" if row.cut_length is None else length_text(row.cut_length, units, 0)


def _strips(
    setter: Setter, shop: Shop, rows: Sequence[Row], title: str, caution: str, units: Units
) -> list[Strip]:
    strips = [*setter.paragraph(title, bold=True, scale=1.5), setter.space(2.0)]
    sizes = [
        [
            f"{row.part}, revision {row.revision}{' *' if row.carries else ''}",
            str(row.quantity),
            material_words(row),
            thickness_words(row, units),
            size_words(row, units),
            "–" if row.mass is None else f"{row.mass:.3f} kg",
            cut_words(row, units),
            blank_words(row, units),
        ]
        for row in rows
    ]
    strips += _told(setter, sizes)
    if any(row.carries for row in rows):
        strips += setter.paragraph(f"* {CARRIES}")
        strips.append(setter.space(1.0))
    works = [
        [
            row.part,
            *(sentence_text(text, units) for text in (row.process, row.tolerance, row.finish)),
            ", ".join(row.files),
        ]
        for row in rows
    ]
    strips += setter.table(
        ("part", "process", "tolerance", "finish", "files"), works, (2.4, 3.6, 2.6, 2.1, 3.4)
    )
    over = [row.part for row in rows if row.overridden]
    if over:
        strips += setter.boxed(f"{OVERRIDDEN}: {', '.join(over)}", dark=True)
    if shop == "cutting":
        strips += setter.paragraph("Outlines are the finished size: kerf and lead-in are left to the shop.")
    return [*strips, setter.space(1.5), *setter.boxed(caution)]


def _told(setter: Setter, sizes: Sequence[Sequence[str]]) -> list[Strip]:
    """The table of what the parts are, without columns that say nothing of any of them."""
    told = [column for column in range(len(SIZES_HEAD)) if any(row[column] != "–" for row in sizes)]
    return setter.table(
        [SIZES_HEAD[column] for column in told],
        [[row[column] for column in told] for row in sizes],
        [SIZES_SHARES[column] for column in told],
    )


def _number(value: float | None, digits: int = 2) -> str:
    return "" if value is None else f"{value:.{digits}f}"
