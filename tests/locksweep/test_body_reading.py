"""Scans read from files: every format, dirty ones, and files that mean harm."""

from __future__ import annotations

import contextlib
import json
import resource
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from locksweep.body.reading import expect_plain_file, read_shape
from solver.body.surface import areas
from solver.errors import ScanError
from tests.solver.body.scenes import sheet, wheel_well

trimesh = pytest.importorskip("trimesh")

SHEET = sheet(wheel_well, 24, 9)
AREA = float(areas(SHEET.points, SHEET.triangles).sum())


def mesh() -> object:
    """The sheet as another library's mesh."""
    return trimesh.Trimesh(SHEET.points, SHEET.triangles, process=False)


def exported(path: Path, **how: object) -> Path:
    """The sheet written by another library."""
    mesh().export(path, **how)  # type: ignore[attr-defined]
    return path


WRITERS: dict[str, Callable[[Path], Path]] = {
    "binary ply": lambda folder: exported(folder / "a.ply"),
    "text ply": lambda folder: exported(folder / "a.ply", encoding="ascii"),
    "binary stl": lambda folder: exported(folder / "a.stl"),
    "text stl": lambda folder: exported(folder / "a.stl", file_type="stl_ascii"),
    "obj": lambda folder: exported(folder / "a.obj"),
    "glb": lambda folder: exported(folder / "a.glb"),
    "stl called obj": lambda folder: exported(folder / "wrong.obj", file_type="stl"),
    "ply without a name's end": lambda folder: exported(folder / "scan", file_type="ply"),
}


@pytest.mark.parametrize("name", WRITERS)
def test_every_mesh_format(tmp_path: Path, name: str) -> None:
    """What another library wrote is read with all its triangles, in the file's own numbers, whatever its name."""
    shape = read_shape(WRITERS[name](tmp_path))
    assert len(SHEET.triangles) == len(shape.triangles)
    # Single precision and a text's digits: a millionth of the 700 mm that it spans.
    assert float(areas(shape.points, shape.triangles).sum()) == pytest.approx(AREA, rel=1e-5)
    assert SHEET.points.min(axis=0) == pytest.approx(shape.points.min(axis=0), abs=1e-3)
    assert SHEET.points.max(axis=0) == pytest.approx(shape.points.max(axis=0), abs=1e-3)
    assert ("m" if name == "glb" else None) == shape.unit


def header(*lines: str, order: str = "binary_little_endian") -> bytes:
    """A PLY header."""
    return "\n".join(("ply", f"format {order} 1.0", *lines, "end_header", "")).encode()


XYZ = ("property float x", "property float y", "property float z")
FACES = "property list uchar int vertex_indices"


def test_faces_of_three_four_and_five_corners(tmp_path: Path) -> None:
    """Binary and text PLY with unlike faces are split into triangles of the same area."""
    points = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [5, 20, 0]], float)
    faces = [(0, 1, 2), (0, 1, 2, 3), (0, 1, 2, 4, 3)]
    binary = header("element vertex 5", *XYZ, "element face 3", FACES) + points.astype("<f4").tobytes()
    big = header("element vertex 5", *XYZ, "element face 3", FACES, order="binary_big_endian")
    big += points.astype(">f4").tobytes()
    for face in faces:
        binary += struct.pack(f"<B{len(face)}i", len(face), *face)
        big += struct.pack(f">B{len(face)}i", len(face), *face)
    rows = [" ".join(map(str, point)) for point in points] + [
        f"{len(f)} " + " ".join(map(str, f)) for f in faces
    ]
    text = header("element vertex 5", *XYZ, "element face 3", FACES, order="ascii") + "\n".join(rows).encode()
    for name, data in (("b.ply", binary), ("g.ply", big), ("t.ply", text)):
        path = tmp_path / name
        path.write_bytes(data)
        shape = read_shape(path)
        assert 6 == len(shape.triangles)
        # Half the square, the square, and the square with the gable.
        assert 50 + 100 + 150 == pytest.approx(float(areas(shape.points, shape.triangles).sum())), name


def test_ply_of_points_alone_with_colours(tmp_path: Path) -> None:
    """A point cloud with colours, normals and a comment is read for its places alone, binary and text."""
    kinds = [("x", "<f8"), ("y", "<f8"), ("z", "<f8"), ("red", "u1"), ("nx", "<f4")]
    rows = np.zeros(7, kinds)
    rows["x"], rows["z"] = np.arange(7), 5.5
    lines = ("comment made by a phone", "element vertex 7", "property double x", "property double y",
             "property double z", "property uchar red", "property float nx")  # fmt: skip
    (tmp_path / "b.ply").write_bytes(header(*lines) + rows.tobytes())
    text = "".join(f"{row['x']} {row['y']} {row['z']} 0 0\n" for row in rows)
    (tmp_path / "t.ply").write_bytes(header(*lines, order="ascii") + text.encode())
    for name in ("b.ply", "t.ply"):
        shape = read_shape(tmp_path / name)
        assert np.arange(7) == pytest.approx(shape.points[:, 0])
        assert (7, 0) == (len(shape.points), len(shape.triangles))


TABLES = {
    "blanks": "1.5 2 3\n4 5 6\n7 8 9\n",
    "tabs and more columns": "1.5\t2\t3\t255\t0\n4\t5\t6\t1\t2\n7\t8\t9\t3\t4\n",
    "commas": "1.5,2,3\n4,5,6\n7,8,9\n",
    "names, columns in another order": "id,Z [mm],X,Y\n1,3,1.5,2\n2,6,4,5\n3,9,7,8\n",
    "semicolons and decimal commas": "x;y;z\n1,5;2,0;3,0\n4;5;6\n7;8;9\n",
    "a count in front": "3\n1.5 2 3\n4 5 6\n7 8 9\n",
    "comments and empty lines": "# scan\n\n1.5 2 3\n\n// more\n4 5 6\n7 8 9",
    "windows line ends": "1.5 2 3\r\n4 5 6\r\n7 8 9\r\n",
    "powers of ten": "1.5e0 2E+0 3\n4 5 6\n7 8 9\n",
}


@pytest.mark.parametrize("name", TABLES)
def test_tables_of_points(tmp_path: Path, name: str) -> None:
    """Texts of points are read whatever parts them, by their columns' names where there are any."""
    path = tmp_path / "points.xyz"
    path.write_bytes(TABLES[name].encode())
    shape = read_shape(path)
    assert np.array([[1.5, 2, 3], [4, 5, 6], [7, 8, 9]]) == pytest.approx(shape.points)
    assert () == shape.remarks


def test_a_few_bad_lines_are_told(tmp_path: Path) -> None:
    """Lines that are no points are left out and counted; when they are more than a few the file is refused."""
    good = "".join(f"{i} {i} {i}\n" for i in range(200))
    path = tmp_path / "points.csv"
    path.write_text(good + "see drawing\n1 2\nnan nan nan\n")
    shape = read_shape(path)
    assert ("2 lines are no points and were left out",) == shape.remarks
    assert 201 == len(shape.points)
    path.write_text(good + 50 * "see drawing\n")
    with pytest.raises(ScanError, match="50 of its 250 lines are no points"):
        read_shape(path)
    path.write_text("A letter to whom it may concern\nwith no numbers\n")
    with pytest.raises(ScanError, match="no line of it has three numbers"):
        read_shape(path)


def glb(tree: object, binary: bytes = b"") -> bytes:
    """A GLB file of a table of contents."""
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
    if binary:
        chunks += struct.pack("<II", len(binary), 0x004E4942) + binary
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def tree_of(count: int, **more: object) -> dict[str, object]:
    """A table of contents with one mesh of so many points."""
    return {
        "asset": {"version": "2.0"},
        "buffers": [{"byteLength": 12 * 3}],
        "bufferViews": [{"buffer": 0, "byteLength": 36}],
        "accessors": [{"bufferView": 0, "componentType": 5126, "count": count, "type": "VEC3"}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
        "nodes": [{"mesh": 0}],
        "scenes": [{"nodes": [0]}],
        "scene": 0,
        **more,
    }


THREE = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], "<f4").tobytes()
BOMBS = {
    "ply of 10 GB": header("element vertex 800000000", *XYZ) + bytes(100),
    "ply of lists": header("element vertex 3", *XYZ, "element face 4000000000", FACES) + bytes(40),
    "ply text of 10 GB": header("element vertex 5000000000", *XYZ, order="ascii") + b"0 0 0\n",
    "ply with 2^60 of nothing": header("element vertex 1152921504606846976") + b"",
    "stl of 10 GB": bytes(80) + struct.pack("<I", 200_000_000) + bytes(50),
    "glb of 10 GB": glb(tree_of(900_000_000), THREE),
    "glb with a table of nothing": glb(
        tree_of(3, accessors=[{"componentType": 5126, "count": 900_000_000, "type": "VEC3"}]), THREE
    ),
    "glb with one view a thousand times": glb(
        tree_of(3, bufferViews=[{"buffer": 0, "byteLength": 4_000_000_000}] * 1000), THREE
    ),
    "glb with a mesh many times": glb(
        tree_of(3, nodes=[{"mesh": 0}, {"children": [0, 0]}, {"children": [0]}]), THREE
    ),
    "glb whose node is below itself": glb(
        tree_of(3, nodes=[{"mesh": 0, "children": [1]}, {"children": [0]}]), THREE
    ),
}


@pytest.mark.parametrize("name", BOMBS)
def test_what_a_small_header_announces_is_not_believed(tmp_path: Path, name: str) -> None:
    """A small file that announces gigabytes is refused by name, before room is made for them."""
    path = tmp_path / ("scan.stl" if name.startswith("stl") else "scan.bin")
    path.write_bytes(BOMBS[name])
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(ScanError, match="scan") as caught:
        read_shape(path)
    assert str(path) in str(caught.value)
    # kB, bytes on a Mac: either way less than 100 MB more.
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000


REFUSED = {
    "empty": (b"", "the file is empty"),
    "zip": (b"PK\x03\x04" + bytes(60), "a zip archive, such as 3MF or USDZ"),
    "gzip": (b"\x1f\x8b\x08" + bytes(60), "a gzip archive"),
    "las": (b"LASF" + bytes(60), "a LAS file"),
    "step": (b"ISO-10303-21;\nHEADER;", "a STEP file"),
    "gltf": (b'{"asset": {"version": "2.0"}}', "a JSON file"),
    "noise": (bytes(range(256)) * 20, "its bytes are those of no format that can be read"),
    "zeros": (bytes(500), "its bytes are those of no format that can be read"),
    "old glb": (struct.pack("<4sIIII", b"glTF", 1, 20, 0, 0), "it is of version 1"),
    "cut glb": (glb(tree_of(3), THREE)[:60], "it is cut short or damaged"),
    "compressed glb": (
        glb(tree_of(3, extensionsRequired=["KHR_draco_mesh_compression"]), THREE),
        "it is compressed",
    ),
    "glb elsewhere": (
        glb(tree_of(3, buffers=[{"uri": "a.bin", "byteLength": 36}]), THREE),
        "lies in another file",
    ),
    "glb of nothing": (glb({"asset": {"version": "2.0"}}), "holds no points"),
    "ply without end": (b"ply\nformat ascii 1.0\nelement vertex 3\n", "its header does not end"),
    "ply of no format": (b"ply\nelement vertex 3\nend_header\n", "names no format"),
    "ply with a strange line": (
        header("element vertex three", *XYZ),
        'its header has the line "element vertex three"',
    ),
    "ply without places": (header("element vertex 2", "property float u") + bytes(8), "the file is damaged"),
    "faces of nowhere": (
        header("element vertex 3", *XYZ, "element face 1", FACES)
        + bytes(36)
        + struct.pack("<B3i", 3, 0, 1, 7),
        "its triangles name points that are not in it",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_can_not_be_read_says_why(tmp_path: Path, name: str) -> None:
    """Every kind of bad file gets an error with its path and the reason."""
    path = tmp_path / "scan.ply"
    data, reason = REFUSED[name]
    path.write_bytes(data)
    with pytest.raises(ScanError) as caught:
        read_shape(path)
    assert reason in str(caught.value)
    assert str(caught.value).startswith(str(path))


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    """A name that leads nowhere and a folder are told apart."""
    with pytest.raises(ScanError, match="no such file; expected PLY, STL"):
        read_shape(tmp_path / "nothing.ply")
    with pytest.raises(ScanError, match="a folder; expected"):
        read_shape(tmp_path)


@pytest.mark.parametrize(
    ("start", "size"), [(b"ply\n", 10**10), (b"solid a\nfacet\n", 6 * 10**8), (b"v 0 0 0\n", 3 * 10**8)]
)
def test_files_that_are_too_large(tmp_path: Path, start: bytes, size: int) -> None:
    """A file of gigabytes is refused at once, with its size and what to do."""
    path = tmp_path / "large"
    with path.open("wb") as file:
        # As far as is looked at to tell the format; the rest is never written.
        file.write(start + b"0 0 0\n" * 12_000)
        file.truncate(size)
    with pytest.raises(ScanError, match=r"MB; at most [\d,]+ MB can be read.*: export it"):
        read_shape(path)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(sorted(WRITERS)),
    cut=st.floats(0, 1),
    places=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), max_size=8),
)
def test_damaged_files_never_crash(
    tmp_path: Path, name: str, cut: float, places: list[tuple[float, int]]
) -> None:
    """A file cut short and with bytes changed is read or refused, never anything else."""
    whole = WRITERS[name](tmp_path).read_bytes()
    data = bytearray(whole[: max(1, int(cut * len(whole)))])
    for share, byte in places:
        # Half of the changes go into the first bytes, where headers are.
        at = int(share * 2 * min(len(data), 400)) if share < 0.5 else int((2 * share - 1) * len(data))
        data[min(at, len(data) - 1)] = byte
    path = tmp_path / "damaged"
    path.write_bytes(bytes(data))
    with contextlib.suppress(ScanError):
        shape = read_shape(path)
        assert len(shape.points)
        assert 0 <= shape.triangles.max(initial=0) < len(shape.points)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=3000))
def test_garbage_never_crashes(tmp_path: Path, data: bytes) -> None:
    """Any bytes at all are read or refused."""
    path = tmp_path / "garbage"
    path.write_bytes(data)
    with contextlib.suppress(ScanError):
        read_shape(path)


def test_scenes_of_several_placed_meshes(tmp_path: Path) -> None:
    """A GLB with one mesh placed twice has both, each in its place."""
    scene = trimesh.Scene()
    move = np.eye(4)
    move[:3, 3] = (5.0, 0.0, 0.0)
    scene.add_geometry(mesh(), node_name="here", geom_name="sheet")
    scene.add_geometry(mesh(), node_name="there", geom_name="other", transform=move)
    scene.export(tmp_path / "two.glb")
    shape = read_shape(tmp_path / "two.glb")
    assert 2 * len(SHEET.triangles) == len(shape.triangles)
    assert SHEET.points[:, 0].max() + 5.0 == pytest.approx(shape.points[:, 0].max(), abs=1e-3)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no device that never ends")
def test_endless_device_is_refused() -> None:
    """Something that is no plain file is refused before a byte of it is read, as it may have no end."""
    with pytest.raises(ScanError, match="no plain file; expected PLY"):
        expect_plain_file(Path("/dev/zero"))
