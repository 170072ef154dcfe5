"""A closure plate as it sits on the car: its faces, and what of the body its hole takes away.

The two functions are all that a look at a plate against another tyre knows of the plate's shape.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Placement
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

BEND_STEPS = 4
"""Flat strips that a bend is taken as; they lie on the tyre's side of it."""
ABOVE, BELOW = 25.0, 10.0
"""mm over and under the flanges' free edge between which body metal inside of the outline is taken as cut away."""


def plate_faces(plate: ClosurePlateDimensions, placement: Placement) -> tuple[tuple[str, ...], Array]:
    """Faces that a tyre could touch as triangles (m, 3, 3) in car axes, mm, and the name of each one's face.

    The floor's inside, bends and flanges on both sides with their tabs; the floor's outside looks away from the tyre.
    """
    names: list[str] = []
    triangles: list[list[tuple[float, float, float]]] = []
    for name, corners in _polygons(plate):
        for second, third in itertools.pairwise(corners[1:]):
            names.append(name)
            triangles.append([corners[0], second, third])
    return tuple(names), _to_car(np.array(triangles), placement)


def cut_away(plate: ClosurePlateDimensions, placement: Placement, points: Array) -> NDArray[np.bool_]:
    """Which points (k, 3) of the body, car axes, the hole for the plate takes away."""
    local = (points - np.array(placement.origin)) @ _axes(placement).T
    height = local[:, 2] - plate.flange_height
    inside = (-BELOW <= height) & (height <= ABOVE)
    out = plate.bend_radius + plate.thickness
    for ((x, y), (ax, ay), _), flanged in zip(plate.edges(), plate.flanged, strict=True):
        outward = (local[:, 0] - x) * ay - (local[:, 1] - y) * ax
        inside &= outward <= (out if flanged else 0.0)
    return np.asarray(inside)


Corner = tuple[float, float, float]


def _polygons(plate: ClosurePlateDimensions) -> Iterator[tuple[str, list[Corner]]]:
    """Convex polygons in the plate's own frame, each with the name of its face."""
    t, r = plate.thickness, plate.bend_radius
    yield "floor", [(x, y, t) for x, y in plate.floor]
    top = plate.flange_height
    for number, (((x, y), (ax, ay), span), flanged) in enumerate(
        zip(plate.edges(), plate.flanged, strict=True), 1
    ):
        if not flanged:
            continue
        name = f"flange {number}"

        def strip(
            first: float,
            last: float,
            low: tuple[float, float],
            high: tuple[float, float],
            at: tuple[float, float, float, float] = (x, y, ax, ay),
        ) -> list[Corner]:
            """Between two lines along the edge, each told by how far out and how high it lies."""
            x0, y0, dx, dy = at
            return [
                (x0 + dx * s + dy * out, y0 + dy * s - dx * out, z)
                for s, (out, z) in ((first, low), (last, low), (last, high), (first, high))
            ]

        ends = (plate.relief, span - plate.relief)
        turns = [math.pi / 2 * i / BEND_STEPS for i in range(BEND_STEPS + 1)]
        arc = [(r * math.sin(turn), t + r - r * math.cos(turn)) for turn in turns]
        for low, high in itertools.pairwise(arc):
            yield name, strip(*ends, low, high)
        tabs = [(s - plate.tab_width / 2, s + plate.tab_width / 2) for s in plate.tab_positions(span)]
        for out in (r, r + t):
            yield name, strip(*ends, (out, t + r), (out, top))
            for tab in tabs:
                yield f"tab of {name}", strip(*tab, (out, top), (out, top + plate.tab_height))
        yield name, strip(*ends, (r, top), (r + t, top))
        for tab in tabs:
            end = top + plate.tab_height
            yield f"tab of {name}", strip(*tab, (r, end), (r + t, end))


def _axes(placement: Placement) -> Array:
    """The part's axes as rows."""
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    return np.array([x, np.cross(z, x), z])


def _to_car(points: Array, placement: Placement) -> Array:
    return np.asarray(points @ _axes(placement) + np.array(placement.origin))
