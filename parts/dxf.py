"""Writing DXF for a waterjet or laser cutter: closed outlines on named layers, millimetres, nothing else.

Needs no CAD kernel: a flat pattern comes from the dimensions, not from the solid.
"""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from ezdxf import filemanagement
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.enums import TextEntityAlignment
from ezdxf.lldxf.const import DXFError

from parts.files import write_bytes
from solver.errors import WriteError
from solver.families.base import NOTHING, FlatPattern, Line, Outline, outline_area

OUTER, INNER, MARK, SINGLE = "CUT_OUTER", "CUT_INNER", "MARK", "0"
RIGHT_ANGLE = "BEND_UP_90"
COLOURS = {OUTER: 7, INNER: 1, RIGHT_ANGLE: 5, MARK: 3}
"""Colour numbers of the DXF format (group code 62): black or white, red, blue, green. Bends of another angle have a
layer of their own, in the colour of those of a right angle."""

MILLIMETRES, METRIC, DECIMAL = 4, 1, 2
"""Values of $INSUNITS, $MEASUREMENT and $LUNITS."""

KERF = "none: outlines are the finished size, kerf and lead-in are left to the shop"
"""Said in a property of the drawing and not as text in it: what is drawn may be cut or marked."""

NEAREST = 1e-6
"""Vertices nearer than this, in mm, are one: a cutter's post-processor stumbles over edges without length."""

AREA_TOLERANCE = 1e-9
"""Relative. Coordinates are written with all their digits, so only rounding stands between."""


class Label(NamedTuple):
    """A line of words about its middle, mm."""

    text: str
    at: tuple[float, float]
    height: float


def write_dxf(
    pattern: FlatPattern,
    path: Path,
    *,
    name: str,
    revision: str,
    single_layer: bool = False,
    marks: Iterable[Line] = (),
    remark: str = "",
    labels: Iterable[Label] = (),
    properties: Mapping[str, str] = NOTHING,
) -> None:
    """Write a flat pattern as DXF R2010, one closed LWPOLYLINE per outline, then read the file back.

    name, revision: kept as custom properties of the drawing
    single_layer: outlines only, all on layer 0, for machines that cut whatever they find: bend lines and
        marks are left out, as they would be cut through
    marks: straight lines to engrave beside those of the pattern, mm
    remark: kept as a custom property beside name and revision, where there is one
    labels: words to engrave; properties: more custom properties, in their order

    Raises:
        WriteError: the file can't be written, or what is read back differs from the pattern.
    """
    path = Path(path)
    told = {
        "Part": name,
        "Revision": revision,
        "Thickness": f"{pattern.thickness:.10g} mm",
        "Kerf": KERF,
        **({"Caution": remark} if remark else {}),
        **properties,
    }
    document = _document(pattern, told, single_layer, tuple(marks), tuple(labels))
    write_bytes(path, encoded(document))
    check_dxf(path, pattern, single_layer=single_layer)


def check_dxf(path: Path, pattern: FlatPattern, *, single_layer: bool = False) -> None:
    """Read a cutting file back strictly and hold it against its pattern.

    Raises:
        WriteError: it can't be read, or has findings, another unit, or other outlines than the pattern.
    """
    try:
        document = filemanagement.readfile(path)
    except (OSError, DXFError) as error:
        raise WriteError(f"{path} does not read back as DXF: {error}") from error
    for problem in _problems(document, pattern, single_layer):
        raise WriteError(f"{path} does not read back as it was meant: {problem}")


def encoded(document: Drawing) -> bytes:
    """The bytes of a drawing, the same in every process."""
    classes = document.classes
    classes.add_required_classes(document.dxfversion)
    # They come out of a set, whose order changes from process to process.
    ordered = sorted(classes.classes.items())
    classes.classes.clear()
    classes.classes.update(ordered)
    stream = io.StringIO()
    with fixed_meta_data():
        document.write(stream)
    return document.encode(stream.getvalue())


@contextmanager
def fixed_meta_data() -> Iterator[None]:
    """Inside of this block a drawing gets neither a time of day nor an identifier of its own."""
    # The option's name says testing; there is no other way to keep the clock and fresh identifiers out.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document(
    pattern: FlatPattern,
    properties: Mapping[str, str],
    single_layer: bool,
    marks: tuple[Line, ...],
    labels: tuple[Label, ...],
) -> Drawing:
    with fixed_meta_data():
        document = filemanagement.new("R2010")
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = METRIC
    document.header["$LUNITS"] = DECIMAL
    for tag, value in properties.items():
        document.header.custom_vars.append(tag, value)
    space = document.modelspace()
    if not single_layer:
        bends = [_bend_layer(angle) for angle in pattern.angles] or [RIGHT_ANGLE] * len(pattern.bends)
        others = dict.fromkeys(sorted(set(bends) - {RIGHT_ANGLE}), COLOURS[RIGHT_ANGLE])
        for layer, colour in (COLOURS | others).items():
            document.layers.add(layer, color=colour)
    # Inner outlines first: cut in this order, the part is still held by the sheet.
    for layer, outlines in ((INNER, pattern.inner), (OUTER, pattern.outer)):
        for outline in outlines:
            attributes = {"layer": SINGLE if single_layer else layer}
            space.add_lwpolyline(_distinct(outline), format="xyb", close=True, dxfattribs=attributes)
    if not single_layer:
        for layer, (start, end) in [
            *zip(bends, pattern.bends, strict=True),
            *((MARK, line) for line in (*pattern.marks, *marks)),
        ]:
            space.add_line(start, end, dxfattribs={"layer": layer})
        for label in labels:
            text = space.add_text(label.text, height=label.height, dxfattribs={"layer": MARK})
            text.set_placement(label.at, align=TextEntityAlignment.MIDDLE_CENTER)
    return document


def _bend_layer(angle: float) -> str:
    """Of a bend upwards, by its angle to a tenth of a degree; layer names know no decimal point."""
    degrees = round(math.degrees(angle), 1)
    return f"BEND_UP_{degrees:g}".replace(".", "_")


def _distinct(outline: Outline) -> Outline:
    """Without vertices whose edge has no length."""
    following = outline[1:] + outline[:1]
    return tuple(
        vertex
        for vertex, after in zip(outline, following, strict=True)
        if math.dist(vertex[:2], after[:2]) > NEAREST
    )


def _problems(document: Drawing, pattern: FlatPattern, single_layer: bool) -> Iterator[str]:
    audit = document.audit()
    for finding in (*audit.errors, *audit.fixes):
        yield f"the audit finds: {finding.message}"
    if document.header.get("$INSUNITS") != MILLIMETRES:
        yield f"$INSUNITS is {document.header.get('$INSUNITS')}, it must be {MILLIMETRES} for millimetres"
    outer, inner = (SINGLE, SINGLE) if single_layer else (OUTER, INNER)
    expected = Counter({outer: len(pattern.outer)})
    expected[inner] += len(pattern.inner)
    loops = document.modelspace().query("LWPOLYLINE")
    if Counter(loop.dxf.layer for loop in loops) != +expected:
        meant = f"{len(pattern.outer)} outer and {len(pattern.inner)} inner are meant"
        yield f"it has {len(loops)} outlines, {meant}"
        return
    areas = []
    for loop in loops:
        assert isinstance(loop, LWPolyline)
        if not loop.closed or loop.dxf.elevation != 0:
            yield "an outline is not closed or does not lie at z = 0"
        areas.append(outline_area(tuple((x, y, bulge) for x, y, bulge in loop.get_points("xyb"))))
    # Written inner outlines first.
    area = sum(areas[len(pattern.inner) :]) - sum(areas[: len(pattern.inner)])
    if not abs(area - pattern.area) <= AREA_TOLERANCE * pattern.area:
        yield f"its outlines hold {area:.6f} mm², {pattern.area:.6f} mm² are meant"
