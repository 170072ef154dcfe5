"""Meshes that are cut, drilled and joined like solids, in milliseconds where the CAD kernel takes a second.

Manifold, the library that does it, gives closed meshes or says why it can't.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import manifold3d
import numpy as np
from numpy.typing import NDArray

from parts.mesh import Triangles, distinct
from solver.errors import SolidError

Array = NDArray[np.float64]
Body = Any
"""A `manifold3d.Manifold`, which has no types."""

SIDES = 48
"""Of a round pin or hole."""


def body_of(corners: Array) -> Body:
    """A closed mesh (n, 3, 3) as a body.

    Raises:
        SolidError: it isn't closed.
    """
    points, number = np.unique(np.round(corners.reshape(-1, 3), 7), axis=0, return_inverse=True)
    sides = number.reshape(-1, 3)
    whole = (sides != np.roll(sides, 1, axis=1)).all(axis=1)
    found = manifold3d.Manifold(manifold3d.Mesh64(points, sides[whole].astype(np.uint64)))
    if found.status() != manifold3d.Error.NoError or found.is_empty():
        raise SolidError(f"the mesh of a mock-up is no closed body: {found.status().name}")
    return found


def corners_of(body: Body) -> Array:
    """Its triangles (n, 3, 3), mm."""
    mesh = body.to_mesh64()
    found: Array = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts)]
    return found


def in_order(corners: Array) -> Triangles:
    """The triangles in single precision and in an order that depends on nothing but where they lie."""
    single = distinct(np.round(corners, 5))
    # Each starts at its lowest corner, and the lowest comes first.
    points, number = np.unique(single.reshape(-1, 3), axis=0, return_inverse=True)
    sides = number.reshape(-1, 3)
    first = np.argmin(sides, axis=1)
    turned = sides[np.arange(len(sides))[:, None], (first[:, None] + np.arange(3)) % 3]
    found: Triangles = points[turned[np.lexsort(turned.T[::-1])]]
    return found


def placed(body: Body, origin: Array, x: Array, y: Array, z: Array) -> Body:
    """A body moved from its own axes to a frame."""
    return body.transform(np.column_stack([x, y, z, origin]))


def slab(polygons: Sequence[Array], height: float) -> Body:
    """Outlines (n, 2), holes clockwise, extruded upwards from z = 0."""
    section = manifold3d.CrossSection([np.asarray(each) for each in polygons])
    return manifold3d.Manifold.extrude(section, height)


def rod(diameter: float, height: float) -> Body:
    """A round bar upwards from z = 0; as a tool it takes the whole diameter away, flats included."""
    radius = diameter / 2 / np.cos(np.pi / SIDES)
    return manifold3d.Manifold.cylinder(height, radius, radius, SIDES)


def without(body: Body, tools: Sequence[Body]) -> Body:
    """A body with tools taken away."""
    return manifold3d.Manifold.batch_boolean([body, *tools], manifold3d.OpType.Subtract)


def joined(bodies: Sequence[Body]) -> Body:
    """Bodies made one."""
    return manifold3d.Manifold.batch_boolean(list(bodies), manifold3d.OpType.Add)
