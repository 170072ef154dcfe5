"""The files of a mock-up: an STL for each piece, and one 3MF with all of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from locksweep import __version__
from parts.lettering import WARNING
from parts.mock_up import MockUp, Piece
from parts.stl import write_mesh
from parts.three_mf import Printable, write_3mf

ROUNDING = 1e-4
"""Share of its volume by which a mesh in a file may differ: coordinates are kept to a hundredth of a micrometre."""


def mock_up_record(mock_up: MockUp, *, halves: bool) -> dict[str, Any]:
    """What a build's record says of a mock-up, its files' names among it.

    halves: whether it comes in halves, however large the bed
    """
    return {
        "clearance_mm": round(mock_up.clearance, 3),
        "thinnest_wall_mm": round(mock_up.wall, 3),
        "thinnest_at_mm": [round(value, 1) + 0.0 for value in mock_up.where],
        "too_thin": mock_up.thin,
        "halves": halves,
        "package": f"{mock_up.number}.3mf",
        "pieces": [
            {
                "file": f"{_stem(mock_up, piece)}.stl",
                "name": piece.name,
                "count": piece.count,
                "size_mm": [round(side, 3) for side in piece.size],
                "words": piece.lettered or "none",
                "lies_flat": piece.stands,
                "fits_the_bed": piece.fits,
            }
            for piece in mock_up.pieces
        ],
    }


def mock_up_names(record: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of a mock-up's files, from what the build's record says of it."""
    return (*(piece["file"] for piece in record["pieces"]), record["package"])


def _stem(mock_up: MockUp, piece: Piece) -> str:
    """Name of a piece's file: the part number, and which piece it is where there are several."""
    if not piece.name:
        return mock_up.number
    name = piece.name.split()[0] if piece.lettered else re.sub(r"[^a-z0-9]+", "-", piece.name)
    return f"{mock_up.number}-{name}"


def write_mock_up(mock_up: MockUp, folder: Path, name: str, remark: str) -> None:
    """Write a mock-up's files.

    name: of the part; remark: what every file of it says

    Raises:
        WriteError: a file can't be written, or does not read back as it was meant.
    """
    for piece in mock_up.pieces:
        stem = _stem(mock_up, piece)
        write_mesh(
            piece.triangles,
            folder / f"{stem}.stl",
            name=f"{stem} {remark}".rstrip(),
            volume=piece.volume,
            leeway=ROUNDING * piece.volume,
        )
    metadata = {
        "Title": f"{mock_up.number} mock-up, {WARNING}",
        "Description": f"{WARNING}. Not to be driven with. {remark}".strip(),
        "Application": f"locksweep {__version__}",
    }
    bodies = [
        Printable(f"{name} {piece.name}".strip(), mock_up.number, piece.triangles, piece.count)
        for piece in mock_up.pieces
    ]
    write_3mf(bodies, folder / f"{mock_up.number}.3mf", metadata=metadata)
