"""One sheet a part: from solid and dimensions to a PDF and a DXF file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ezdxf.document import Drawing

from parts.catalogue import family_of
from parts.drawing.content import Content
from parts.drawing.layout.arrangement import GAP, Arranged, Method, arrange
from parts.drawing.layout.tables import Notes
from parts.drawing.paper.document import new_document
from parts.drawing.paper.font import printable
from parts.drawing.paper.ink import Ink
from parts.drawing.paper.pdf import Page
from parts.drawing.standards import SheetSize, sheets
from parts.drawing.title_block import STRIP, WIDTH, Issue, draw_frame, draw_title_block, frame_of, height_of
from parts.drawing.views.curves import Box, Point
from parts.dxf import encoded
from parts.files import write_bytes
from solver.errors import WriteError

if TYPE_CHECKING:
    from parts.kernel import cq
    from solver.families.base import PartDimensions

SUFFIX = "-drawing"
"""Keeps the dimensioned sheet apart from the outline that a cutter is given."""
MARGIN = 2.0
"""mm that stay free inside of the frame."""


def write_drawing(
    solid: cq.Solid, dimensions: PartDimensions, issue: Issue, folder: Path
) -> tuple[Path, Path]:
    """Write the sheet of a part as PDF and as DXF; returns both paths.

    Raises:
        WriteError: no sheet has room, the font is missing, or a file can't be written.
    """
    document, page = drawing_of(solid, dimensions, issue)
    pdf, dxf = (folder / name for name in drawing_names(issue))
    write_bytes(pdf, page.contents())
    write_bytes(dxf, encoded(document))
    return pdf, dxf


def drawing_names(issue: Issue) -> tuple[str, str]:
    """Names of the sheet's files, PDF and DXF."""
    stem = stem_of(issue)
    return f"{stem}.pdf", f"{stem}.dxf"


def stem_of(issue: Issue) -> str:
    """Name of the files without their ends."""
    return f"{issue.name}-{issue.revision}{SUFFIX}"


def drawing_of(solid: cq.Solid, dimensions: PartDimensions, issue: Issue) -> tuple[Drawing, Page]:
    """The sheet as a DXF document and as the page of a PDF file."""
    method: Method = "first" if issue.units == "mm" else "third"
    content = family_of(dimensions).content_function()(solid, dimensions, issue.units, method)
    size, arranged, notes = _sheet(content, issue)
    factor = arranged.scale.factor
    properties = {"Part": issue.name, "Revision": issue.revision, "Material": issue.material}
    if issue.remark:
        properties["Caution"] = issue.remark
    document = new_document(issue.units, factor, {key: printable(text) for key, text in properties.items()})
    page = Page((size.width, size.height), stem_of(issue))
    ink = Ink(page, document.modelspace(), factor)
    draw_frame(ink, size)
    draw_title_block(ink, size, issue, arranged.scale, method, content.surface)
    arranged.draw(ink)
    block, at = notes
    block.draw(ink, at, factor)
    return document, page


def _sheet(content: Content, issue: Issue) -> tuple[SheetSize, Arranged, tuple[Notes, Point]]:
    """The smallest sheet on which everything has room at a scale that can be read.

    Where that is on none, the smallest of those with the largest scale.
    """
    found: list[tuple[SheetSize, Arranged, tuple[Notes, Point]]] = []
    for size in sheets():
        frame = frame_of(size)
        low, beside = height_of(issue) + STRIP, frame.width - WIDTH
        # On a large sheet the notes stand beside the title block, on A4 above it.
        above = beside < WIDTH
        texts = (issue.process, *content.notes) if issue.process else content.notes
        notes = Notes(texts, (frame.width if above else beside) - 2 * MARGIN)
        tall = notes.extent(1.0).below + MARGIN
        base = low if above else 0.0
        top = frame.bottom + max(low, base + tall) + MARGIN
        rooms = [Box(frame.left + MARGIN, top, frame.right - MARGIN, frame.top - MARGIN)]
        if not above:
            right = frame.right - WIDTH - MARGIN
            rooms.append(Box(frame.left + MARGIN, frame.bottom + tall + MARGIN, right, top - GAP))
        arranged = arrange(content.blocks, rooms, content.largest)
        if arranged is not None:
            found.append((size, arranged, (notes, (frame.left + MARGIN, frame.bottom + base + tall))))
            if arranged.scale.factor >= content.least:
                return found[-1]
    if not found:
        raise WriteError(f"{issue.name}: no sheet up to {sheets()[-1].name} has room for its drawing")
    return max(found, key=lambda item: item[1].scale.factor)
