"""Nests the last build of a job into a folder that appears whole or not at all."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from locksweep.after_build import Left, last_build, leave
from locksweep.documents.record import CAUTION
from locksweep.documents.verdicts import OVERRIDDEN
from locksweep.file_names import file_name
from locksweep.job import parse_job
from locksweep.job.findings import printable
from locksweep.job.source import read_text
from locksweep.nest.labels import roomiest
from locksweep.nest.layout import Sheet, counted, nest
from locksweep.nest.options import USUAL, sheet_size, stock_for
from locksweep.nest.picture import pdf_bytes
from locksweep.nest.pieces import Lot, lots_of, machined_of
from locksweep.solved import solve_job
from locksweep.units import INCH_UNITS, Units
from parts.dxf import Label, write_dxf
from solver.cutting.processes import process
from solver.stock import plate_label

FOLDER = "nest-"
PICTURE = "nest.pdf"
UNSAFE = re.compile(r"[^A-Za-z0-9.]+")
LETTERING = (2.5, 8.0)
"""Least and largest height of names on the plate, mm."""
LETTER = 0.9
"""Width of a letter over its height, as a rule of thumb."""


@dataclass(frozen=True)
class Nested:
    """What was laid out.

    left: where the files are; of: the revision; sheets: each with the name of its DXF file
    machined: parts with an outline that come from bar, with their quantities: they are on no sheet
    """

    left: Left
    of: Path
    sheets: dict[str, Sheet]
    machined: tuple[str, ...]
    units: Units


def nest_job(
    path: Path,
    out: Path,
    *,
    sheet: str | None = None,
    gap: str | None = None,
    margin: str | None = None,
    single_layer: bool = False,
    names: bool = False,
) -> Nested | None:
    """Lay out all flat parts of the last revision that was built of a job; None where it has none.

    sheet, gap, margin: lengths as in a job file, the usual ones where not given
    single_layer: outlines only, all of them on layer 0; names: those of the pieces on the marking layer

    Raises:
        JobFileError: the job was never built, or its file is not the one that was built last
        LocksweepError: an option that can't be used, or a piece larger than the sheet
        WriteError: the revision is not as it was written, or the layout can't be written
    """
    text = read_text(path)
    job = parse_job(text, str(path))
    built = last_build(out, file_name(job.name), path, text)
    parts = solve_job(job).parts
    lots, machined = lots_of(parts, built, OVERRIDDEN), machined_of(parts, built)
    units: Units = INCH_UNITS if job.stock_units == "in" else "mm"
    size = sheet_size(sheet or USUAL[job.shelf], units)
    way = process(job.part_choices.cutting)
    sheets: dict[str, Sheet] = {}
    titles: dict[str, str] = {}
    for lot in lots:
        found = nest(lot, stock_for(size, gap, margin, lot.thickness, way, units))
        for number, each in enumerate(found, 1):
            name = f"{_stem(lot)}-sheet-{number}.dxf"
            sheets[name] = each
            titles[name] = f"{lot.material}, {plate_label(lot.thickness)}: sheet {number} of {len(found)}"
    if not sheets:
        return None
    files = _files(
        sheets,
        titles,
        f"{printable(job.name)}, revision {built.revision}",
        single_layer,
        names,
        units,
        machined,
    )
    left = leave(built, f"{FOLDER}{built.revision}", files, "nest")
    return Nested(left, built.folder, sheets, machined, units)


def _stem(lot: Lot) -> str:
    return UNSAFE.sub("-", f"{lot.material}-{plate_label(lot.thickness)}").strip("-")


def _files(
    sheets: dict[str, Sheet],
    titles: dict[str, str],
    job: str,
    single_layer: bool,
    names: bool,
    units: Units,
    machined: tuple[str, ...],
) -> dict[str, bytes]:
    """Contents by name."""
    found = {}
    with TemporaryDirectory() as folder:
        for name, sheet in sheets.items():
            path = Path(folder) / name
            stock = sheet.stock
            over = {placed.piece.remark for placed in sheet.placed} - {""}
            write_dxf(
                sheet.pattern(),
                path,
                name=f"{job}: {titles[name]}",
                revision=job.rpartition(" ")[2],
                single_layer=single_layer,
                remark=", ".join(sorted(over)),
                labels=_labels(sheet) if names else (),
                properties={
                    "Sheet": f"{stock.across:.10g} mm x {stock.deep:.10g} mm, lower left corner at the origin",
                    "Pieces": "; ".join(
                        f"{count} x {title}" for title, count in counted(sheet.placed).items()
                    ),
                },
            )
            found[name] = path.read_bytes()
    pages = [(titles[name], name, sheet) for name, sheet in sheets.items()]
    found[PICTURE] = pdf_bytes(pages, f"{job}: nested sheets", CAUTION, units, machined)
    return found


def _labels(sheet: Sheet) -> list[Label]:
    """Names as large as there is room for between the cuts; none where they would be too small to read."""
    found = []
    for placed in sheet.placed:
        room = roomiest(placed)
        text = placed.piece.label
        height = min(2 * room.radius / math.hypot(len(text) * LETTER, 1.0), LETTERING[1])
        if height >= LETTERING[0]:
            found.append(Label(text, room.at, round(height, 1)))
    return found
