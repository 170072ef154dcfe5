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
from solver.front_end import FrontEnd, link_of
from solver.part import Part, Placement
from solver.vectors import Array, cross, unit

if TYPE_CHECKING:
    from parts.kernel import cq

STANDS_OFF, TURNS = 0.4, 0.4
"""How far a triangle may stand off its surface, mm, and two of them turn against each other, rad: for looking at."""
JOINT_ROOM = 16.0
"""mm from an inner joint's centre to the rack's end: it is not measured, so a spacer is drawn about there."""


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


def placed(front_end: FrontEnd, part: Part, mesh: Mesh) -> dict[str, Any]:
    """A part's mesh with each of the part's places on the car, as the page takes it."""
    vertices, faces = mesh
    return {
        "colour": [round(channel, 3) for channel in family_of(part.dimensions).colour],
        "vertices_mm": plain(vertices.ravel()),
        "triangles": faces.ravel().tolist(),
        "places": _places(front_end, part),
    }


def shared(mesh: Array) -> Mesh:
    """Triangles by their corners, (k, 3, 3), with each point once."""
    points, number = np.unique(np.round(mesh.reshape(-1, 3), 2), axis=0, return_inverse=True)
    faces = number.reshape(-1, 3)
    a, b, c = faces.T
    # Rounding may have made one point of two.
    return points, faces[(a != b) & (b != c) & (c != a)]


def _places(front_end: FrontEnd, part: Part) -> list[dict[str, Any]]:
    dimensions = part.dimensions
    if isinstance(dimensions, RackSpacerDimensions):
        return [_on_rack(front_end, number, dimensions) for number in range(2)]
    if isinstance(dimensions, ArmSleeveDimensions):
        return [_on_link(front_end, number, dimensions) for number in range(2)]
    if part.placement is None:
        return []
    side = "right" if part.placement.origin[1] < 0 else "left"
    frame = f"{side} arm" if isinstance(dimensions, BumpStopDimensions) else "body"
    return [_place(frame, part.placement)]


def _place(frame: str, placement: Placement) -> dict[str, Any]:
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    rotation = np.stack([x, cross(z, x), z], axis=-1)
    return {"frame": frame, "pose": placing(rotation, np.array(placement.origin))}


def _on_rack(front_end: FrontEnd, number: int, ring: RackSpacerDimensions) -> dict[str, Any]:
    assembly = front_end.sides[number]
    inwards = -assembly.corner.side * assembly.corner.rack_direction
    return _place("rack", _along(assembly.corner.inner_joint + JOINT_ROOM * inwards, inwards))


def _on_link(front_end: FrontEnd, number: int, sleeve: ArmSleeveDimensions) -> dict[str, Any]:
    side = front_end.sides[number].side
    link = link_of(front_end.car, side)
    far = link.cut + sleeve.extension + sleeve.covered
    start = link.start + (link.length + sleeve.extension - far) * link.along
    return _place(f"{side} arm", _along(start, link.along))


def _along(origin: Array, z_axis: Array) -> Placement:
    """A frame with z along an axis and x as level as that allows, so that a sleeve's tongues lie up and down."""
    x_axis = unit(cross(np.array([0.0, 0.0, 1.0]), z_axis))
    return Placement(_triple(origin), _triple(x_axis), _triple(z_axis))


def _triple(values: Array) -> tuple[float, float, float]:
    x, y, z = values.tolist()
    return x, y, z
