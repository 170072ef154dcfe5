"""A scan's file read, whatever its format; what it announces is never believed before it is held against its size."""

from __future__ import annotations

import struct
import warnings
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from locksweep.body.glb import BadGlbError, check_glb
from locksweep.body.ply import BadHeaderError, check_announced, has_mixed_faces, mixed_faces, read_header
from locksweep.body.shape import MOST_POINTS, MOST_TRIANGLES, Shape, checked_counts, shape_of
from locksweep.body.table import BadTableError, read_table
from locksweep.body.text_mesh import read_text_ply, read_text_stl
from solver.errors import ScanError

LARGEST_BINARY, LARGEST_TEXT, LARGEST_OBJ = 1_500_000_000, 500_000_000, 250_000_000
"""Bytes. Twelve million triangles are 600 MB; as text a number takes five times the room, and OBJ is read whole."""
READABLE = "PLY, STL, OBJ, GLB, XYZ, PTS or CSV"
OTHERS = (
    (b"PK\x03\x04", "a zip archive, such as 3MF or USDZ"),
    (b"LASF", "a LAS file"),
    (b"ASTM-E57", "an E57 file"),
    (b"Kaydara FBX", "an FBX file"),
    (b"DRACO", "a Draco file"),
    (b"ISO-10303-21", "a STEP file"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"{", "a JSON file, perhaps glTF with its data in other files"),
    (b"# .PCD", "a PCD file"),
)
FAULTS = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    BufferError,
    ImportError,
    LookupError,
    MemoryError,
    NotImplementedError,
    RecursionError,
    TypeError,
    ValueError,
    struct.error,
)
"""What a mesh library raises on a damaged file, beside errors of its own."""


def expect_plain_file(path: Path) -> None:
    """That a path leads to a file with an end, and one that can be read at all: no folder, no device, nothing huge.

    Raises:
        ScanError: it doesn't.
    """
    if not path.is_file():
        found = "a folder" if path.is_dir() else "no plain file" if path.exists() else "no such file"
        raise ScanError(f"{path}: {found}; expected {READABLE}")
    size = path.stat().st_size
    if size > LARGEST_BINARY:
        most = LARGEST_BINARY / 1e6
        raise ScanError(
            f"{path}: {size / 1e6:,.0f} MB; at most {most:,.0f} MB can be read: export it coarser"
        )


def read_shape(path: Path) -> Shape:
    """Points and triangles of a file.

    Raises:
        ScanError: no such file, empty, unreadable, damaged, too large, or of a format that can't be read.
    """
    try:
        expect_plain_file(path)
        size = path.stat().st_size
        with path.open("rb") as file:
            return _read(path, file, size)
    except (BadHeaderError, BadGlbError, BadTableError) as error:
        raise ScanError(f"{path}: {error}") from error
    except OSError as error:
        if isinstance(error, ScanError):
            raise
        raise ScanError(f"{path}: can't be read: {error.strerror or error}") from error


def _read(path: Path, file: BinaryIO, size: int) -> Shape:
    if size == 0:
        raise ScanError(f"{path}: the file is empty; export the scan again")
    start = file.read(65_536)
    file.seek(0)
    kind = _kind_of(path, start, size)
    text = kind in ("obj", "stl text", "table") or (kind == "ply" and b"format ascii" in start[:200])
    largest = LARGEST_OBJ if kind == "obj" else LARGEST_TEXT if text else LARGEST_BINARY
    if size > largest:
        raise ScanError(
            f"{path}: {size / 1e6:,.0f} MB; at most {largest / 1e6:,.0f} MB can be read as text: export it as binary "
            "PLY or STL"
        )
    if kind == "table":
        return _table(path, file, size)
    if kind == "glb":
        return _glb(path, file, size)
    if kind == "ply":
        return _ply(path, file, size)
    return _text_stl(path, file) if kind == "stl text" else _mesh(path, file, kind)


def _kind_of(path: Path, start: bytes, size: int) -> str:
    """By what the file begins with; its name decides nothing but the words of an error."""
    if start[:4] in (b"ply\n", b"ply\r"):
        return "ply"
    if start[:4] == b"glTF":
        return "glb"
    for magic, words in OTHERS:
        if start.startswith(magic):
            raise ScanError(f"{path}: {words}, which can't be read; export the scan as {READABLE}")
    count = int.from_bytes(start[80:84], "little")
    if size >= 84 and size == 84 + 50 * count:
        return "stl"
    if b"\0" in start or not _is_text(start):
        if path.suffix.lower() == ".stl" and size >= 84:
            raise ScanError(
                f"{path}: its header announces {count:,} triangles, {84 + 50 * count:,} bytes, and the file has "
                f"{size:,}; it is cut short, damaged or no STL file"
            )
        raise ScanError(f"{path}: its bytes are those of no format that can be read; expected {READABLE}")
    if start.lstrip()[:5].lower() == b"solid" and b"facet" in start.lower():
        return "stl text"
    if any(line.lstrip().startswith((b"v ", b"v\t")) for line in start.splitlines()):
        return "obj"
    return "table"


def _is_text(start: bytes) -> bool:
    strange = sum(byte < 32 and byte not in b"\t\n\r\f" for byte in start)
    return strange == 0 or strange < 0.001 * len(start)


def _ply(path: Path, file: BinaryIO, size: int) -> Shape:
    header = read_header(file)
    check_announced(header, size)
    checked_counts(path, header.count("vertex"), header.count("face"))
    file.seek(0)
    try:
        if not header.order:
            return shape_of(path, *read_text_ply(file, header))
        data = file.read()
        if has_mixed_faces(header, data):
            return shape_of(path, *mixed_faces(header, data))
    except (ScanError, BadHeaderError):
        raise
    except FAULTS as error:
        raise _damaged(path, error) from error
    del data
    file.seek(0)
    return _mesh(path, file, "ply")


def _text_stl(path: Path, file: BinaryIO) -> Shape:
    try:
        return shape_of(path, *read_text_stl(file, MOST_TRIANGLES))
    except ScanError:
        raise
    except FAULTS as error:
        raise _damaged(path, error) from error


def _glb(path: Path, file: BinaryIO, size: int) -> Shape:
    points, triangles = check_glb(file, size)
    checked_counts(path, points, triangles)
    file.seek(0)
    shape = _mesh(path, file, "glb")
    # glTF 2.0, 3.3: all linear distances are in metres.
    return Shape(shape.points, shape.triangles, "m", shape.remarks)


def _mesh(path: Path, file: BinaryIO, kind: str) -> Shape:
    """By the mesh library, without textures and without anything repaired."""
    import trimesh

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            loaded = trimesh.load(
                file, file_type=kind, process=False, skip_materials=True, maintain_order=True, resolver=None
            )
        return shape_of(path, *_joined(loaded))
    except ScanError:
        raise
    except (*FAULTS, trimesh.exchange.stl.HeaderError) as error:
        raise _damaged(path, error) from error


def _joined(loaded: Any) -> tuple[np.ndarray, np.ndarray]:
    """All meshes and clouds of what was loaded as one, each where it is placed."""
    if hasattr(loaded, "geometry"):
        pieces = []
        for node in loaded.graph.nodes_geometry:
            move, name = loaded.graph[node]
            points, triangles = _joined(loaded.geometry[name])
            pieces.append((points @ move[:3, :3].T + move[:3, 3], triangles))
    else:
        triangles = np.asarray(getattr(loaded, "faces", np.empty((0, 3))), np.int64).reshape(-1, 3)
        return np.asarray(loaded.vertices, float).reshape(-1, 3), triangles
    if not pieces:
        return np.empty((0, 3)), np.empty((0, 3), np.int64)
    first = np.cumsum([0, *(len(points) for points, _ in pieces[:-1])])
    return (
        np.concatenate([points for points, _ in pieces]),
        np.concatenate([triangles + offset for (_, triangles), offset in zip(pieces, first, strict=True)]),
    )


def _table(path: Path, file: BinaryIO, size: int) -> Shape:
    points, bad = read_table(file, size, MOST_POINTS)
    remarks = (f"{bad} lines are no points and were left out",) if bad else ()
    return shape_of(path, points, np.empty((0, 3), np.int64), remarks=remarks)


def _damaged(path: Path, error: BaseException) -> ScanError:
    reason = " ".join(str(error).split())[:120]
    told = f" ({reason})" if reason else ""
    return ScanError(f"{path}: the file is damaged or not what it seems to be{told}; export the scan again")
