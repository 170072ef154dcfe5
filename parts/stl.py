"""Writing STL mock-ups for a 3D printer, for trying a part's fit and nothing else, as the file says."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from parts import mesh
from parts.files import write_bytes
from parts.kernel import cq
from parts.lettering import WARNING
from solver.errors import WriteError

TOLERANCE = 0.05
"""mm. Well below the 0.1 to 0.2 mm to which a home printer holds its size."""

ANGLE = 0.2
"""rad, about 11°: a bore gets at least 32 sides."""

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
"""One triangle in a binary STL file."""


def write_stl(solid: cq.Solid, path: Path, *, name: str) -> None:
    """Write a solid as binary STL in mm, then read the file back. The header starts with FIT CHECK ONLY.

    name: of the part, for the header; cut short when longer than the format has room for

    Raises:
        WriteError: the kernel can't mesh it, the file can't be written, or what is read back is not one
            closed body of the solid's volume.
    """
    path = Path(path)
    try:
        corners = mesh.triangles(solid, TOLERANCE, ANGLE)
    except ValueError as error:
        raise WriteError(f"{path} was not written: {error}") from error
    # A mesh may stand off its surface by the tolerance everywhere, so its volume by that times the area.
    # The kernel's plain integration is off by far less than that.
    write_mesh(corners, path, name=name, volume=solid.Volume(), leeway=TOLERANCE * solid.Area())


def write_mesh(corners: mesh.Triangles, path: Path, *, name: str, volume: float, leeway: float) -> None:
    """Write a mesh as `write_stl` does.

    volume, leeway: what it must enclose, mm³, and by how much that may differ

    Raises:
        WriteError: as of `write_stl`
    """
    write_bytes(path, _encode(corners, f"{WARNING} {name}"))
    check_stl(path, volume=volume, leeway=leeway)


def read_stl(path: Path) -> mesh.Triangles:
    """The triangles of a binary STL file, (n, 3, 3), mm.

    Raises:
        WriteError: it can't be read, or its length is not what its count of triangles says.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise WriteError(f"{path} could not be read: {error.strerror or error}") from error
    count = int.from_bytes(data[80:84], "little")
    if len(data) != 84 + count * RECORD.itemsize:
        raise WriteError(f"{path} does not read back as STL: {count} triangles do not make {len(data)} bytes")
    found: mesh.Triangles = np.frombuffer(data, RECORD, count, 84)["corners"]
    return found


def check_stl(path: Path, *, volume: float, leeway: float) -> None:
    """Read a mesh back and hold it against its solid.

    volume: of the solid, mm³
    leeway: by which the mesh's volume may differ, mm³

    Raises:
        WriteError: it can't be read, has open edges, is no single body, or has another volume.
    """
    corners = read_stl(path)
    bodies = mesh.closed_bodies(corners)
    if not bodies:
        raise WriteError(f"{path} reads back as a mesh that is not closed")
    if bodies != 1:
        raise WriteError(f"{path} reads back as {bodies} bodies, it must be 1")
    found = mesh.volume(corners)
    if not (found > 0 and abs(found - volume) <= leeway):
        raise WriteError(
            f"{path} reads back with a volume of {found:.3f} mm³, "
            f"it must be {volume:.3f} mm³ within {leeway:.3f} mm³"
        )


def _encode(corners: mesh.Triangles, header: str) -> bytes:
    records = np.zeros(len(corners), RECORD)
    a, b, c = np.moveaxis(corners.astype(np.float64), 1, 0)
    normals = np.cross(b - a, c - a)
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    # A sliver without area keeps a zero normal, which readers take from the corners.
    records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    records["corners"] = corners
    title = header.encode("ascii", "replace")[:80].ljust(80)
    return title + len(corners).to_bytes(4, "little") + records.tobytes()
