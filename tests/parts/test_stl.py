"""STL mock-ups as a slicer reads them, and that faults in them are seen."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from parts import measure, mesh
from parts.catalogue import build
from parts.kernel import cq
from parts.stl import RECORD, TOLERANCE, check_stl, read_stl, write_stl
from solver.errors import WriteError
from solver.families.base import PartDimensions
from tests.parts import strategies
from tests.parts.examples import PAN, RING

BOX = cq.Solid.makeBox(10, 20, 30)


def _write_triangles(path: Path, corners: mesh.Triangles) -> None:
    records = np.zeros(len(corners), RECORD)
    records["corners"] = corners
    path.write_bytes(b" " * 80 + len(corners).to_bytes(4, "little") + records.tobytes())


def test_read_back(example: tuple[str, PartDimensions, cq.Solid], tmp_path: Path) -> None:
    """Watertight, one body, and its volume within the chord tolerance of the closed form."""
    name, dimensions, solid = example
    path = tmp_path / "part.stl"
    write_stl(solid, path, name=name)
    found = trimesh.load(path)
    assert found.is_watertight
    assert found.is_winding_consistent
    assert 1 == found.body_count
    # The mesh stands off curved faces by at most the tolerance, so its volume by that times their area.
    curved = sum(face.Area() for face in solid.Faces() if face.geomType() != "PLANE")
    assert dimensions.volume == pytest.approx(found.volume, abs=TOLERANCE * curved + 1e-3)
    assert dimensions.envelope == pytest.approx(found.extents, abs=TOLERANCE)


drawn = st.one_of(
    strategies.rack_spacers(),
    strategies.arm_sleeves("rectangular"),
    strategies.bump_stops(),
    strategies.closure_plates(),
)


@given(drawn)
@settings(max_examples=40)
def test_any_part_meshes(dimensions: PartDimensions) -> None:
    """The mesh of any part is closed and one body, by an independent reader's account too."""
    corners = mesh.triangles(build(dimensions), TOLERANCE, 0.2)
    assert mesh.is_closed(corners)
    assert 1 == mesh.body_count(corners)
    independent = trimesh.Trimesh(**trimesh.triangles.to_kwargs(corners.astype(float)))
    assert independent.is_watertight
    assert independent.volume == pytest.approx(mesh.volume(corners), rel=1e-6)


def test_header(tmp_path: Path) -> None:
    """The header warns, names the part, and does not start as an ASCII file would."""
    path = tmp_path / "ring.stl"
    write_stl(build(RING), path, name="rack-spacer-left")
    assert b"FIT CHECK ONLY rack-spacer-left".ljust(80) == path.read_bytes()[:80]
    write_stl(build(RING), path, name="n" * 100)
    assert b"FIT CHECK ONLY " + b"n" * 65 == path.read_bytes()[:80]


def test_normals_point_outwards(tmp_path: Path) -> None:
    """Each stored normal has length 1 and stands square to its triangle, away from the middle of a box."""
    path = tmp_path / "box.stl"
    write_stl(BOX, path, name="box")
    records = np.frombuffer(path.read_bytes()[84:], RECORD)
    outwards = records["corners"].mean(axis=1) - np.array([5, 10, 15])
    assert [1.0] * 12 == pytest.approx(np.linalg.norm(records["normal"], axis=1), abs=1e-6)
    assert (np.einsum("ij,ij->i", records["normal"], outwards) > 4.9).all()


def test_finer_mesh_from_before_is_not_used(tmp_path: Path) -> None:
    """A solid that something else has meshed finely gives the same file, and is not meshed by writing."""
    fresh, meshed = build(RING), build(RING)
    meshed.mesh(0.001, 0.01)
    write_stl(fresh, tmp_path / "fresh.stl", name="ring")
    write_stl(meshed, tmp_path / "meshed.stl", name="ring")
    assert (tmp_path / "fresh.stl").read_bytes() == (tmp_path / "meshed.stl").read_bytes()
    with pytest.raises(ValueError, match="without a mesh"):
        mesh._face_triangles(fresh.Faces()[0])


def test_bore_is_round_enough() -> None:
    """A turn of at most 0.2 rad from side to side gives a bore 32 sides or more."""
    corners = mesh.triangles(build(RING), TOLERANCE, 0.2)
    points = np.unique(corners.reshape(-1, 3), axis=0)
    on_bore = np.abs(np.hypot(points[:, 0], points[:, 1]) - 5) < 1e-4
    assert math.ceil(2 * math.pi / 0.2) <= len({(x, y) for x, y, _ in points[on_bore].round(4).tolist()})


def _flipped(corners: mesh.Triangles) -> mesh.Triangles:
    return np.concatenate([corners[:1, ::-1], corners[1:]])


def _holed(corners: mesh.Triangles) -> mesh.Triangles:
    return corners[1:]


def _doubled(corners: mesh.Triangles) -> mesh.Triangles:
    return np.concatenate([corners, corners])


def _two_bodies(corners: mesh.Triangles) -> mesh.Triangles:
    return np.concatenate([corners, corners + np.float32(100)])


def _inside_out(corners: mesh.Triangles) -> mesh.Triangles:
    return corners[:, ::-1]


def _inches(corners: mesh.Triangles) -> mesh.Triangles:
    return corners / np.float32(25.4)


def _empty(corners: mesh.Triangles) -> mesh.Triangles:
    return corners[:0]


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (_flipped, "a mesh that is not closed"),
        (_holed, "a mesh that is not closed"),
        (_doubled, "a mesh that is not closed"),
        (_empty, "a mesh that is not closed"),
        (_two_bodies, "2 bodies, it must be 1"),
        (_inside_out, r"a volume of -6000\.000 mm³, it must be 6000\.000 mm³"),
        (_inches, r"a volume of 0\.366 mm³"),
    ],
)
def test_faults_are_seen(spoil: object, message: str, tmp_path: Path) -> None:
    """A mesh with one triangle wrong, two bodies, inside out or in inches does not pass."""
    path = tmp_path / "box.stl"
    assert callable(spoil)
    _write_triangles(path, spoil(mesh.triangles(BOX, TOLERANCE, 0.2)))
    with pytest.raises(WriteError, match=message):
        check_stl(path, volume=6000.0, leeway=1.0)


def test_truncated_file(tmp_path: Path) -> None:
    """A file that ends too early is refused by length."""
    path = tmp_path / "pan.stl"
    write_stl(build(PAN), path, name="pan")
    path.write_bytes(path.read_bytes()[:-50])
    with pytest.raises(WriteError, match="triangles do not make"):
        read_stl(path)


def test_measuring_is_not_changed_by_writing(tmp_path: Path) -> None:
    """Box and volume are the same before and after, as meshing a shape would widen its box."""
    solid = build(RING)
    before = measure.box(solid), measure.volume(solid)
    write_stl(solid, tmp_path / "ring.stl", name="ring")
    assert before == (measure.box(solid), measure.volume(solid))
