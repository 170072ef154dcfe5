"""Maps as coloured meshes: PLY in mm and car axes for measuring programs, GLB in metres and y up as glTF has it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from locksweep.body.load import GLTF_TO_CAR
from solver.body.revolved import Revolved
from solver.body.surface import Triangles
from solver.errors import WriteError
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

METRE = 1000.0
AROUND = 96
"""Sides of the tyre that is shown beside the body."""
TYRE_COLOUR = (60, 60, 64, 255)


@dataclass(frozen=True, eq=False)
class Coloured:
    """A body to be written; clearance: (n,), mm; steer and travel: of the nearest pose, deg and mm, NaN without one."""

    name: str
    points: Array
    triangles: Triangles
    colours: NDArray[np.uint8]
    clearance: Array
    steer: Array
    travel: Array


def write_ply(body: Coloured, path: Path) -> None:
    """Binary PLY, mm and car axes; every point carries its clearance and the pose that causes it.

    Raises:
        WriteError: the file can't be written, or does not read back as so many points and triangles.
    """
    rows = np.zeros(
        len(body.points),
        [
            *((axis, "<f4") for axis in "xyz"),
            *((colour, "u1") for colour in ("red", "green", "blue")),
            ("clearance_mm", "<f4"),
            ("steer_deg", "<f4"),
            ("travel_mm", "<f4"),
        ],
    )
    for index, axis in enumerate("xyz"):
        rows[axis] = body.points[:, index]
    for index, colour in enumerate(("red", "green", "blue")):
        rows[colour] = body.colours[:, index]
    rows["clearance_mm"], rows["steer_deg"], rows["travel_mm"] = body.clearance, body.steer, body.travel
    faces = np.zeros(len(body.triangles), [("count", "u1"), ("corners", "<i4", 3)])
    faces["count"], faces["corners"] = 3, body.triangles
    header = ["ply", "format binary_little_endian 1.0", "comment millimetres; x forward, y left, z up"]
    header += [f"element vertex {len(rows)}"]
    kinds = {"<f4": "float", "|u1": "uchar"}
    header += [f"property {kinds[rows.dtype[name].str]} {name}" for name in rows.dtype.names or ()]
    header += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header", ""]
    _write(path, "\n".join(header).encode("ascii"), rows.tobytes(), faces.tobytes())


def write_glb(bodies: list[Coloured], tyres: list[tuple[str, Array, Triangles]], path: Path) -> None:
    """GLB with one node a body and, for the eye, one a tyre in its worst pose.

    Raises:
        WriteError: the file can't be written.
    """
    import trimesh

    scene: Any = trimesh.Scene()
    used: set[str] = set()
    for body in bodies:
        name = _free(body.name, used)
        points = body.points @ GLTF_TO_CAR / METRE
        colours = np.column_stack([body.colours, np.full(len(points), 255, np.uint8)])
        shape: Any
        if len(body.triangles):
            shape = trimesh.Trimesh(points, body.triangles, vertex_colors=colours, process=False)
        else:
            shape = trimesh.PointCloud(points, colors=colours)  # type: ignore[no-untyped-call]
        scene.add_geometry(shape, node_name=name, geom_name=name)
    for name, points, triangles in tyres:
        name = _free(name, used)
        shape = trimesh.Trimesh(points @ GLTF_TO_CAR / METRE, triangles, process=False)
        shape.visual.vertex_colors = np.tile(TYRE_COLOUR, (len(points), 1)).astype(np.uint8)
        scene.add_geometry(shape, node_name=name, geom_name=name)
    _write(path, scene.export(file_type="glb"))


def tyre_mesh(solid: Revolved, centre: Array, axis: Array) -> tuple[Array, Triangles]:
    """Points (n, 3) and triangles of a solid of revolution in one pose, for pictures."""
    corner = np.linspace(0, np.pi / 2, 7)
    r = solid.rounding
    along = solid.far - r + r * np.sin(corner[::-1])
    radial = solid.outer - r + r * np.cos(corner[::-1])
    section = np.concatenate(
        [
            [(solid.far, solid.inner)],
            np.stack([along, radial], 1),
            np.stack([-along[::-1] + solid.far + solid.near, radial[::-1]], 1),
            [(solid.near, solid.inner)],
        ]
    )
    # Square to whichever of the car's axes the wheel's is farthest from.
    aside = np.cross(axis, np.eye(3)[int(np.abs(axis).argmin())])
    aside = aside / np.linalg.norm(aside)
    up = np.cross(aside, axis)
    turn = np.linspace(0, 2 * np.pi, AROUND, endpoint=False)
    outward = np.cos(turn)[:, None] * aside + np.sin(turn)[:, None] * up
    points = centre + section[None, :, :1] * axis + section[None, :, 1:] * outward[:, None, :]
    count = len(section)
    here = np.arange(AROUND)[:, None] * count + np.arange(count)
    right, above = np.roll(here, -1, axis=0), np.roll(here, -1, axis=1)
    both = np.roll(right, -1, axis=1)
    quads = np.stack([here, above, both, right], axis=-1).reshape(-1, 4)
    triangles = np.concatenate([quads[:, [0, 2, 1]], quads[:, [0, 3, 2]]])
    return points.reshape(-1, 3), triangles.astype(np.int64)


def _free(name: str, used: set[str]) -> str:
    """The name, or the name with a number: a scene's names are its own."""
    wanted, number = name, 2
    while wanted in used:
        wanted, number = f"{name} {number}", number + 1
    used.add(wanted)
    return wanted


def _write(path: Path, *parts: bytes) -> None:
    """Without a copy of all of it in memory; the length on the disk is looked at afterwards."""
    try:
        with path.open("wb") as file:
            for part in parts:
                file.write(part)
        if path.stat().st_size != sum(map(len, parts)):
            raise WriteError(f"{path} does not read back as it was written")
    except OSError as error:
        if isinstance(error, WriteError):
            raise
        raise WriteError(f"{path} could not be written: {error.strerror or error}") from error
