"""Writing STEP: all parts in one file, each where it sits on the car, to look at and to measure gaps in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from parts import measure
from parts.files import write_bytes
from parts.kernel import TDF, TDataStd, XCAFDoc, cq
from parts.step import (
    STORED_TOLERANCE,
    Product,
    add_solid,
    encode,
    extended,
    new_document,
    read_document,
    stored_name,
    stored_volume,
)
from solver.errors import WriteError
from solver.part import Placement

FIRST_STYLE = re.compile(rb"^#(\d+) = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION", re.MULTILINE)
ENTITY = re.compile(rb"^#(\d+) = (.*?);\n", re.MULTILINE | re.DOTALL)
REFERENCE = re.compile(rb"#(\d+)")


@dataclass(frozen=True)
class Placed:
    """A part in the assembly.

    name, revision: of its product, as in its own file; colour: red, green, blue, 0 to 1, sRGB
    places: one for each piece of it
    """

    name: str
    revision: str
    solid: cq.Solid
    colour: tuple[float, float, float]
    places: tuple[Placement, ...]


def write_assembly(
    parts: Sequence[Placed],
    path: Path,
    *,
    name: str,
    revision: str,
    originating_system: str,
    schema: str = "AP242",
    remark: str = "",
) -> None:
    """Write all parts in car axes, mm: one product a part, one occurrence a piece; then read the file back.

    name, revision: of the assembly
    schema: "AP242", "AP214" or "AP203"; remark: for the header's description, plain ASCII

    Raises:
        WriteError: the kernel refuses, the file can't be written, or what is read back differs in names,
            number of pieces, their volumes or places.
    """
    document = new_document()
    shapes = XCAFDoc.XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    root = shapes.NewShape()
    TDataStd.TDataStd_Name.Set_s(root, extended(name))
    for part in parts:
        label = add_solid(document, part.solid, part.name, part.colour)
        for number, place in enumerate(part.places, 1):
            piece = shapes.AddComponent(root, label, location(place).wrapped)
            TDataStd.TDataStd_Name.Set_s(piece, extended(_occurrence(part, number)))
    shapes.UpdateAssemblies()
    revisions = {part.name: part.revision for part in parts}
    product = Product(name, revision, (0.0, 0.0, 0.0), layer="", remark=remark, revisions=revisions)
    write_bytes(path, _styles_in_order(encode(document, product, originating_system, schema, path)))
    check_assembly(parts, path)


def location(place: Placement) -> cq.Location:
    """From the part's own frame to the car's axes."""
    return cq.Location(cq.Plane(place.origin, place.x_axis, place.z_axis))


def check_assembly(parts: Sequence[Placed], path: Path) -> None:
    """Read the file back and hold each piece against what was meant.

    Raises:
        WriteError: it can't be read, or a piece is missing, too many, elsewhere, or of another volume.
    """
    document, _ = read_document(path)
    shapes = XCAFDoc.XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots, pieces = TDF.TDF_LabelSequence(), TDF.TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    if roots.Length() != 1:
        raise WriteError(f"{path} reads back as {roots.Length()} assemblies, it must be 1")
    shapes.GetComponents_s(roots.Value(1), pieces)
    expected = [
        (_occurrence(part, n), part, place) for part in parts for n, place in enumerate(part.places, 1)
    ]
    if pieces.Length() != len(expected):
        raise WriteError(f"{path} reads back as {pieces.Length()} pieces, it must be {len(expected)}")
    for number, (occurrence, part, place) in enumerate(expected, 1):
        piece, product = pieces.Value(number), TDF.TDF_Label()
        shapes.GetReferredShape_s(piece, product)
        found = (stored_name(piece), stored_name(product))
        if found != (occurrence, part.name):
            raise WriteError(f"{path} reads back with {found}, it must be {(occurrence, part.name)}")
        volume, centre = measure.volume_and_centroid(part.solid)
        # Asks for what is right, so that NaN fails too.
        if not abs(stored_volume(product) - volume) <= STORED_TOLERANCE * volume:
            raise WriteError(f"{path} reads back with another volume of {part.name}")
        shape = cq.Shape.cast(shapes.GetShape_s(piece))
        if len(shape.Solids()) != 1:
            raise WriteError(f"{path}: {occurrence} reads back as {len(shape.Solids())} solids, it must be 1")
        wanted = cq.Vector(*centre).toPnt().Transformed(location(place).wrapped.Transformation())
        got = cq.Vector(*centre).toPnt().Transformed(shape.wrapped.Location().Transformation())
        if not wanted.Distance(got) <= 1e-6:
            raise WriteError(
                f"{path} reads back with {occurrence} {wanted.Distance(got)} mm out of its place"
            )


def _occurrence(part: Placed, number: int) -> str:
    return part.name if len(part.places) == 1 else f"{part.name} {number} of {len(part.places)}"


def _styles_in_order(data: bytes) -> bytes:
    """The file with its colours in the order of the solids: the kernel writes them as they lie in memory."""
    first = FIRST_STYLE.search(data)
    if first is None:
        return data
    start = int(first[1])
    found = list(ENTITY.finditer(data, first.start()))
    entities = {int(match[1]): match[2] for match in found}
    heads = [number for number, text in entities.items() if text.startswith(b"MECHANICAL_DESIGN_")]

    def refers(number: int) -> Iterator[int]:
        return (int(n) for n in REFERENCE.findall(entities[number]))

    def solid(head: int) -> int:
        # A style names its colour, which may be shared, and the one solid that wears it.
        return max(n for item in refers(head) if item in entities for n in refers(item) if n < start)

    order: dict[int, int] = {}

    def visit(number: int) -> None:
        if number in entities and number not in order:
            order[number] = start + len(order)
            for other in refers(number):
                visit(other)

    for head in sorted(heads, key=solid):
        visit(head)
    if max(order) != start + len(order) - 1:
        raise WriteError(
            "the kernel wrote the colours among other things: the bytes would not be the same again"
        )
    end = next((m.start() for m in found if int(m[1]) > max(order)), found[-1].end())

    def renumbered(match: re.Match[bytes]) -> bytes:
        return b"#%d" % order.get(int(match[1]), int(match[1]))

    lines = [b"#%d = %s;\n" % (order[n], REFERENCE.sub(renumbered, entities[n])) for n in order]
    return data[: first.start()] + b"".join(lines) + data[end:]
