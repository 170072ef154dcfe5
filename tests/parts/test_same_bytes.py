"""Same input, same bytes: in another process, at another time, in another order."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

WRITE_ALL = """
import dataclasses, sys
from pathlib import Path
from parts.catalogue import build, family_of
from parts.drawing.sheet import write_drawing
from parts.dxf import write_dxf
from parts.mock_up import mock_up
from parts.step import SCHEMAS, write_step
from parts.stl import write_mesh
from parts.three_mf import Printable, write_3mf
from solver.printing import usual_printing
from tests.parts.examples import EXAMPLES
from tests.parts.sheets import ISSUE

folder, order = Path(sys.argv[1]), int(sys.argv[2])
for name in list(EXAMPLES)[::order]:
    dimensions = EXAMPLES[name]
    solid = build(dimensions)
    for schema in SCHEMAS:
        write_step(solid, folder / f"{name}-{schema}.step", name=name, revision="A", schema=schema,
                   colour=family_of(dimensions).colour, originating_system="locksweep 1.0")
    made = mock_up(dimensions, name, usual_printing(bed=(120, 120, 120)))
    for number, piece in enumerate(made.pieces):
        write_mesh(piece.triangles, folder / f"{name}-{number}.stl", name=name, volume=piece.volume, leeway=5.0)
    bodies = [Printable(piece.name, name, piece.triangles, piece.count) for piece in made.pieces]
    write_3mf(bodies, folder / f"{name}.3mf", metadata={"Title": name})
    if pattern := dimensions.flat_pattern():
        write_dxf(pattern, folder / f"{name}.dxf", name=name, revision="A")
    write_drawing(solid, dimensions, dataclasses.replace(ISSUE, name=name), folder)
"""


def _write_all(checkout: Path, folder: Path, order: int) -> dict[str, bytes]:
    folder.mkdir()
    # Another hash seed and, by the system's own doing, other addresses in memory on every run.
    environment = os.environ | {"PYTHONHASHSEED": str(order % 7), "PYTHONPATH": str(checkout)}
    command = [sys.executable, "-c", WRITE_ALL, str(folder), str(order)]
    subprocess.run(command, cwd=checkout, env=environment, check=True)
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def test_same_bytes(tmp_path: Path, checkout: Path) -> None:
    """STEP in all schemas, mock-ups, DXF and sheets of every example are the same from two processes."""
    first = _write_all(checkout, tmp_path / "first", 1)
    kinds = {".step": 13 * 3, ".3mf": 13, ".dxf": 11 + 13, ".pdf": 13}
    assert kinds == {kind: sum(name.endswith(kind) for name in first) for kind in kinds}
    other = _write_all(checkout, tmp_path / "backwards", -1)
    assert first.keys() == other.keys()
    assert [] == [name for name in first if first[name] != other[name]]
