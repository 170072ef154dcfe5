"""3MF as its consortium's own library reads it, in strict mode."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import numpy as np
import pytest

from parts.mock_up import mock_up
from parts.three_mf import MODEL, STAMP, Printable, write_3mf
from solver.errors import WriteError
from solver.printing import Printing
from tests.parts.examples import BOLTED_STOP, PAN, RING, ROUND_SLEEVE

PRINTING = Printing("filament", (120.0, 120.0, 150.0), 0.9, 0.25)


def _write(folder: Path, dimensions: object = PAN) -> tuple[Path, list[Printable]]:
    assert isinstance(dimensions, type(PAN) | type(RING) | type(ROUND_SLEEVE) | type(BOLTED_STOP))
    made = mock_up(dimensions, "pan-A", PRINTING)
    bodies = [
        Printable(f"pan & <lid> {piece.name}", made.number, piece.triangles, piece.count)
        for piece in made.pieces
    ]
    path = folder / "pan.3mf"
    write_3mf(bodies, path, metadata={"Title": "FIT CHECK ONLY", "Application": "a & b"})
    return path, bodies


def test_read_in_strict_mode(tmp_path: Path) -> None:
    """No warning; mm; every object manifold, with its name, part number, triangles, and as many items as pieces."""
    lib3mf = pytest.importorskip("lib3mf", reason="lib3mf has no wheel for this system")
    path, bodies = _write(tmp_path)
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert 0 == reader.GetWarningCount()
    assert lib3mf.ModelUnit.MilliMeter == model.GetUnit()
    objects = model.GetMeshObjects()
    found = {}
    while objects.MoveNext():
        each = objects.GetCurrentMeshObject()
        assert each.IsManifoldAndOriented()
        found[each.GetName()] = (each.GetPartNumber(), each.GetTriangleCount())
    assert {body.name: (body.number, len(body.triangles)) for body in bodies} == found
    items, count = model.GetBuildItems(), 0
    while items.MoveNext():
        count += 1
    assert sum(body.count for body in bodies) == count
    metadata = model.GetMetaDataGroup()
    listed = {metadata.GetMetaData(n).GetName(): metadata.GetMetaData(n).GetValue() for n in range(2)}
    assert {"Title": "FIT CHECK ONLY", "Application": "a & b"} == listed


def test_coordinates_are_kept(tmp_path: Path) -> None:
    """The vertices in the file are those of the mesh, to the last bit of single precision."""
    path, bodies = _write(tmp_path)
    with zipfile.ZipFile(path) as archive:
        text = archive.read(MODEL).decode("utf-8")
        assert {STAMP} == {entry.date_time for entry in archive.infolist()}
    numbers = re.findall(r'<vertex x="([^"]+)" y="([^"]+)" z="([^"]+)"', text)
    expected = {point for body in bodies for point in map(tuple, body.triangles.reshape(-1, 3).tolist())}
    assert expected == {tuple(np.float32(point).tolist()) for point in numbers}


def test_other_bytes_on_the_disk_are_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that is cut off after it was written does not pass."""
    monkeypatch.setattr("parts.three_mf.write_bytes", lambda path, data: path.write_bytes(data[:-30]))
    with pytest.raises(WriteError, match="does not read back as 3MF"):
        _write(tmp_path)
