"""The text that goes with an archive: plain, and ready to be sent."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from locksweep.documents.cutting import cutting_warnings, cutting_words
from locksweep.documents.verdicts import OVERRIDDEN
from locksweep.pack.lists import (
    blank_words,
    cut_words,
    material_words,
    size_words,
    thickness_words,
)
from locksweep.pack.shops import Row, Shop
from locksweep.units import Units, sentence_text, sides_text

WIDTH = 88
ASKED = {
    "machining": "Please quote for turning, boring and milling the parts below. Welding is not asked for: what is said "
    "of it tells what becomes of a part.",
    "cutting": "Please quote for cutting the parts below from plate and sheet, and for the bends where the DXF or the "
    "drawing shows some. Say if you can't bend; the flat blanks alone will do then. Welding, sealing, primer and paint "
    "are not asked for: what is said of them tells what becomes of a part. Where a DXF has several outlines, they are "
    "the loose pieces of one part.",
    "printing": "Please quote for printing the mock-ups below. They are held against a standing car to see whether "
    "the parts fit, and carry nothing.",
}
TELL = {
    "machining": (
        "price of one and of the lot, and when they can be ready",
        "whether you bring the material, and with which certificate",
        "any size, tolerance or radius that you would rather have otherwise, before you make it",
    ),
    "cutting": (
        "price of one and of the lot, and when they can be ready",
        "process and kerf, and the least hole and web that you can cut in this thickness",
        "whether you bring the material, and with which certificate",
        "any radius, flange or distance to a bend that your tools can't make, before you make it",
    ),
    "printing": (
        "price of the lot, and when they can be ready",
        "process and material, and the bed's size if it is smaller than the one in mock-ups.md",
    ),
}
FILES = {
    "machining": "Drawings, where there are some, have the tolerances and go before the rest. STEP files are the parts "
    "at nominal size, in millimetres; a DXF that is no drawing is the flat outline, 1:1.",
    "cutting": "DXF files are 1:1 in millimetres. Outlines are the finished size: kerf and lead-in are left to you. "
    "Bend lines and marks lie on layers of their own, unless all of it is on one. STEP files "
    "show the parts as bent.",
    "printing": "A 3MF file holds all pieces of one part as they lie on the bed. The STL files are the same pieces one "
    "by one, in millimetres: use the one or the others. mock-ups.md says how the pieces go together. The words FIT "
    "CHECK ONLY on the parts belong there and must stay; a tag that carries them stays on until the part is with me.",
}
SINCE = (
    "These are the parts that are new or changed since revision {since} of this job. What isn't listed stays as it was "
    "then, and is not asked for again."
)
CARRIES = (
    "Parts marked * run the loads of steering and suspension, and a car may crash when one lets go. Please keep to the "
    "material and its condition, send a certificate of it (EN 10204, type 3.1), don't weld, heat or straighten "
    "anything that the list doesn't name, and ask rather than guess."
)


def request_text(
    shop: Shop,
    rows: Sequence[Row],
    job: str,
    revision: str,
    caution: str,
    units: Units,
    since: str | None = None,
) -> str:
    """The whole text, lines no longer than a mail client leaves alone.

    since: an earlier revision whose parts are left out where they are the same
    """
    lines = [f"Request for quotation: {job}, revision {revision}, {shop}", "", "Hello,", ""]
    lines += [*_wrapped(ASKED[shop]), ""]
    if since:
        lines += [*_wrapped(SINCE.format(since=since)), ""]
    for row in rows:
        lines += [*_part(row, units), ""]
    lines += [*_wrapped(FILES[shop]), ""]
    lines += _wrapped("parts-list.pdf and parts-list.csv hold all of the above as a table. Please tell me:")
    lines += [line for item in TELL[shop] for line in _wrapped(item, "- ")]
    lines += [""]
    if any(row.carries for row in rows):
        lines += [*_wrapped(CARRIES), ""]
    lines += ["Thank you.", "", "Caution", *_wrapped(caution)]
    return "\n".join(lines) + "\n"


def _part(row: Row, units: Units) -> Iterator[str]:
    star = " *" if row.carries else ""
    yield f"{row.part}, revision {row.revision}, {row.quantity} off{star}"
    told = [f"{row.title}; material: {material_words(row)}"]
    if row.thickness is not None:
        told.append(f"thickness {thickness_words(row, units)}, cut length {cut_words(row, units)}")
    mass = "" if row.mass is None else f", {row.mass:.3f} kg each"
    told.append(f"size over all {size_words(row, units)}{mass}")
    if row.blank is not None:
        told.append(f"blank: {blank_words(row, units)}")
    works = (("process", row.process), ("tolerance", row.tolerance), ("finish", row.finish))
    told += [f"{name}: {sentence_text(words, units)}" for name, words in works]
    if row.cutting is not None:
        told.append(cutting_words(row.cutting, units))
        told += [
            f"PLEASE LOOK AT THIS: {sentence_text(sentence, units)}"
            for sentence in cutting_warnings({"cutting": row.cutting})
        ]
    told += [
        f"print {count} × {file}, {sides_text(sides, units, 1)} as it lies"
        for file, count, sides in row.prints
    ]
    if row.overridden:
        told.append(f"{OVERRIDDEN} by the builder")
    told.append(f"files: {', '.join(row.files)}" if row.files else "files: none")
    for text in told:
        yield from _wrapped(text, "  ")


def _wrapped(text: str, indent: str = "") -> list[str]:
    after = " " * len(indent)
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=after,
        break_long_words=False,
        break_on_hyphens=False,
    )
