"""Marking templates as DXF for a cutter or a plotter: the cut lines closed, everything else on the marking layer."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from locksweep.body.strokes import Template, Words
from parts.dxf import COLOURS, DECIMAL, INNER, MARK, METRIC, MILLIMETRES, encoded, fixed_meta_data
from parts.files import write_bytes
from solver.body.cut_line import CutLine
from solver.errors import WriteError

TEXT = "MARK_TEXT"
DIGITS = 3
"""Of a coordinate in mm."""


def write_template_dxf(line: CutLine, template: Template, path: Path) -> None:
    """R2010, mm: one closed LWPOLYLINE a cut line on CUT_INNER, the rest on MARK and MARK_TEXT; read back afterwards.

    Raises:
        WriteError: the file can't be written, or does not read back with the same lines.
    """
    from ezdxf import filemanagement
    from ezdxf.lldxf.const import DXFError

    with fixed_meta_data():
        document = filemanagement.new("R2010")
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = METRIC
    document.header["$LUNITS"] = DECIMAL
    document.header.custom_vars.append("Template", line.name)
    for layer in (INNER, MARK):
        document.layers.add(layer, color=COLOURS[layer])
    document.layers.add(TEXT, color=8)
    space = document.modelspace()
    # As the template has it: its lower left corner is the origin.
    shift = _shift(line, template)
    for flat in line.flat:
        outline = np.round(flat + shift, DIGITS).tolist()
        space.add_lwpolyline(outline, close=True, dxfattribs={"layer": INNER})
    for stroke in template.strokes:
        if stroke.style in ("cut", "rim"):
            continue
        points = np.round(stroke.points, DIGITS).tolist()
        space.add_lwpolyline(points, close=stroke.closed, dxfattribs={"layer": MARK})
    for words in template.words:
        _text(space, words)
    write_bytes(path, encoded(document))
    try:
        loops = filemanagement.readfile(path).modelspace().query(f'LWPOLYLINE[layer=="{INNER}"]')
    except (OSError, DXFError) as error:
        raise WriteError(f"{path} does not read back as DXF: {error}") from error
    if [len(flat) for flat in line.flat] != [len(loop) for loop in loops]:  # type: ignore[arg-type]
        raise WriteError(f"{path} does not read back with the lines that were written")


def _shift(line: CutLine, template: Template) -> np.ndarray:
    """By how much the template moved the layout."""
    drawn = np.vstack([s.points for s in template.strokes if s.style in ("cut", "rim")])
    return np.asarray(drawn.min(axis=0) - np.vstack(line.flat).min(axis=0))


def _text(space: object, words: Words) -> None:
    text = words.text.replace("\n", " ")
    space.add_text(  # type: ignore[attr-defined]
        text, height=words.height, dxfattribs={"layer": TEXT, "insert": (words.x, words.y)}
    )
