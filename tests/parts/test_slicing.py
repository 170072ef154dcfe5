"""Mock-ups as a slicer takes them that shares nothing with us: all of the height, all of the volume.

A slicer mends a torn mesh and says nothing, so that they are closed is told by a mesh checker in the other files.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from parts.mock_up import mock_up
from parts.stl import write_mesh
from parts.three_mf import Printable, write_3mf
from solver.families.base import PartDimensions
from solver.printing import Printing
from tests.parts.examples import BOLTED_STOP, PAN, RECTANGULAR_SLEEVE, RING

PRINTING = Printing("filament", (120.0, 120.0, 150.0), 0.9, 0.25)
LAYER = 0.25
# As Debian calls them; they share their options, but for the one that one of them wants and the other does not know.
SLICERS = {"slic3r": ["--no-gui"], "prusa-slicer": ["--export-gcode"]}
SLICER = next((name for name in SLICERS if shutil.which(name)), None)
COMPLAINTS = re.compile(r"repair|empty|outside of the print|open edges|not manifold|no layers", re.IGNORECASE)

pytestmark = pytest.mark.skipif(
    SLICER is None, reason="no slicer here: apt-get install slic3r or prusa-slicer"
)


def sliced(file: Path) -> tuple[float, float]:
    """Height of the last layer in mm, and the volume of filament in mm³, of a file filled solid."""
    assert SLICER
    gcode = file.with_suffix(".gcode")
    done = subprocess.run(
        [SLICER, *SLICERS[SLICER], "--layer-height", str(LAYER), "--first-layer-height", str(LAYER),
         "--nozzle-diameter", "0.4", "--fill-density", "100%", "--fill-pattern", "rectilinear", "--skirts", "0",
         "--start-gcode", "", "--end-gcode", "", "--output", str(gcode), str(file)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    # They end with 0 after an empty print and after a mesh that they mended.
    assert 0 == done.returncode, done.stdout + done.stderr
    assert not COMPLAINTS.search(done.stdout + done.stderr), done.stdout + done.stderr
    text = gcode.read_text(encoding="utf-8", errors="replace")
    heights, height = [], 0.0
    for up, extruding in re.findall(r"^G1 (?:Z([0-9.]+)|X\S+ Y\S+ (E))", text, re.MULTILINE):
        height = float(up) if up else height
        heights += [height] if extruding else []
    used = re.search(r"filament used.*?(?:\[cm3\] = |\()([0-9.]+)", text)
    assert used
    return max(heights), 1000 * float(used[1])


@pytest.mark.parametrize("dimensions", [RING, BOLTED_STOP, PAN, RECTANGULAR_SLEEVE], ids=lambda d: d.family)
def test_each_piece_prints(dimensions: PartDimensions, tmp_path: Path) -> None:
    """Printed to its own height, and with as much filament as its body has room for."""
    # One of two halves that mirror each other will do.
    pieces = [piece for piece in mock_up(dimensions, "part-A", PRINTING).pieces if piece.name != "2 of 2"]
    assert pieces
    for number, piece in enumerate(pieces):
        file = tmp_path / f"{number}.stl"
        write_mesh(piece.triangles, file, name="x", volume=piece.volume, leeway=1e-4 * piece.volume)
        top, used = sliced(file)
        assert piece.size[2] == pytest.approx(top, abs=LAYER + 1e-6)
        # Paths overlap and round off corners; the volume is told to a tenth of a cm³.
        assert piece.volume == pytest.approx(used, rel=0.25, abs=100.0)


def test_whole_package_prints(tmp_path: Path) -> None:
    """All that a 3MF file holds is printed, each piece as often as it says."""
    small = Printing("filament", (80.0, 80.0, 80.0), 0.9, 0.25)
    pieces = mock_up(PAN, "part-A", small).pieces
    assert max(piece.count for piece in pieces) > 1
    bodies = [Printable(piece.name, "part-A", piece.triangles, piece.count) for piece in pieces]
    write_3mf(bodies, tmp_path / "pan.3mf", metadata={"Title": "x"})
    top, used = sliced(tmp_path / "pan.3mf")
    assert max(piece.size[2] for piece in pieces) == pytest.approx(top, abs=LAYER + 1e-6)
    assert sum(piece.count * piece.volume for piece in pieces) == pytest.approx(used, rel=0.25)
