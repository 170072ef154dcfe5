"""The parts as light meshes, and where each of them sits on the car."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from locksweep.report.motion import placing
from locksweep.report.numbers import plain
from locksweep.report.page import data_in
from parts.catalogue import family_of
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.bump_stop import BumpStopDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from solver.part import Part, Placement
from solver.sizing.places import places
from solver.solution import Solution
from solver.vectors import Array, cross

if TYPE_CHECKING:
    from parts.kernel import cq

STANDS_OFF, TURNS = 0.4, 0.4
"""How far a triangle may stand off its surface, mm, and two of them turn against each other, rad: for looking at."""

Mesh = tuple[Array, NDArray[np.int64]]
"""Points (p, 3), mm, and three of their numbers a triangle, (k, 3)."""


def light_mesh(solid: cq.Solid) -> Mesh:
    """A part's mesh in its own frame, as coarse as a picture allows."""
    from parts.mesh import triangles

    return shared(triangles(solid, STANDS_OFF, TURNS).astype(np.float64))


def meshes_in(page: Path) -> dict[str, Mesh]:
    """The meshes that a report holds, by the part's name, as they were put into it."""
    return {
        part["name"]: (
            np.array(part["mesh"]["vertices_mm"], np.float64).reshape(-1, 3),
            np.array(part["mesh"]["triangles"], np.int64).reshape(-1, 3),
        )
        for part in data_in(page.read_text(encoding="utf-8"))["parts"]
        if part["mesh"] is not None
    }


def placed(solution: Solution, part: Part, mesh: Mesh) -> dict[str, Any]:
    """A part's mesh with each of the part's places on the car, as the page takes it."""
    vertices, faces = mesh
    return {
        "colour": [round(channel, 3) for channel in family_of(part.dimensions).colour],
        "vertices_mm": plain(vertices.ravel()),
        "triangles": faces.ravel().tolist(),
        "places": [_place(*one) for one in zip(_frames(part), places(solution, part), strict=False)],
    }


def shared(mesh: Array) -> Mesh:
    """Triangles by their corners, (k, 3, 3), with each point once."""
    points, number = np.unique(np.round(mesh.reshape(-1, 3), 2), axis=0, return_inverse=True)
    faces = number.reshape(-1, 3)
    a, b, c = faces.T
    # Rounding may have made one point of two.
    return points, faces[(a != b) & (b != c) & (c != a)]


def _frames(part: Part) -> tuple[str, ...]:
    """What each of a part's pieces moves with, the left one first."""
    if isinstance(part.dimensions, RackSpacerDimensions):
        return ("rack", "rack")
    if isinstance(part.dimensions, ArmSleeveDimensions):
        return ("left arm", "right arm")
    if isinstance(part.dimensions, BumpStopDimensions) and part.placement:
        return (f"{'right' if part.placement.origin[1] < 0 else 'left'} arm",) * part.quantity
    return ("body",) * part.quantity


def _place(frame: str, placement: Placement) -> dict[str, Any]:
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    rotation = np.stack([x, cross(z, x), z], axis=-1)
    return {"frame": frame, "pose": placing(rotation, np.array(placement.origin))}
