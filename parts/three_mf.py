"""Writing 3MF: what a slicer needs in one file, with unit, names and part numbers, after the core specification.

The format is a zip of three XML files. Written here rather than by a library, for the same bytes every time:
libraries stamp the time and draw identifiers by chance. An independent reader checks it in the tests.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import quoteattr

import numpy as np

from parts import mesh
from parts.files import write_bytes
from solver.errors import WriteError

CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MODEL = "3D/3dmodel.model"
STAMP = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip can hold."""

GAP = 5.0
"""mm between two pieces that lie beside each other."""

CONTENT_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Target="/{MODEL}" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)


@dataclass(frozen=True)
class Printable:
    """One body as it lies on the bed.

    name: shown by the slicer; number: part number with revision; count: how many of it
    """

    name: str
    number: str
    triangles: mesh.Triangles
    count: int = 1


def write_3mf(bodies: Sequence[Printable], path: Path, *, metadata: Mapping[str, str]) -> None:
    """Write bodies beside each other, in mm, then read the file back.

    metadata: of the names that the core specification knows, such as Title, Description and Application

    Raises:
        WriteError: the file can't be written, or what is read back is not what was meant.
    """
    stream, model = io.BytesIO(), _model(bodies, metadata)
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in (
            ("[Content_Types].xml", CONTENT_TYPES),
            ("_rels/.rels", RELATIONS),
            (MODEL, model),
        ):
            entry = zipfile.ZipInfo(name, STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            # Else the system that wrote it would show.
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            archive.writestr(entry, text.encode("utf-8"), compresslevel=3)
    write_bytes(Path(path), stream.getvalue())
    _check(Path(path), model)


def _check(path: Path, model: str) -> None:
    try:
        with zipfile.ZipFile(path) as archive:
            stored = archive.read(MODEL)
    except (OSError, KeyError, zipfile.BadZipFile) as error:
        raise WriteError(f"{path} does not read back as 3MF: {error}") from error
    if stored != model.encode("utf-8"):
        raise WriteError(f"{path} reads back with another model than was written")


def _model(bodies: Sequence[Printable], metadata: Mapping[str, str]) -> str:
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">',
        *(f"<metadata name={quoteattr(key)}>{_escaped(text)}</metadata>" for key, text in metadata.items()),
        "<resources>",
    ]
    items, x = [], 0.0
    for number, body in enumerate(bodies, 1):
        lines += _object(number, body)
        for _ in range(body.count):
            items.append(f'<item objectid="{number}" transform="1 0 0 0 1 0 0 0 1 {x:g} 0 0"/>')
            x += float(body.triangles[..., 0].max()) + GAP
    return "\n".join([*lines, "</resources>", "<build>", *items, "</build>", "</model>", ""])


def _object(number: int, body: Printable) -> list[str]:
    points, corners = np.unique(body.triangles.reshape(-1, 3), axis=0, return_inverse=True)
    name, part = quoteattr(body.name), quoteattr(body.number)
    # Nine digits give a number of single precision back exactly.
    return [
        f'<object id="{number}" type="model" name={name} partnumber={part}>',
        "<mesh>",
        "<vertices>",
        *(f'<vertex x="{x:.9g}" y="{y:.9g}" z="{z:.9g}"/>' for x, y, z in points.tolist()),
        "</vertices>",
        "<triangles>",
        *(f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in corners.reshape(-1, 3).tolist()),
        "</triangles>",
        "</mesh>",
        "</object>",
    ]


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
