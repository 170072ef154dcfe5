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
from solver.families.pan import Facet, Point, Wall
from solver.part import Placement
from solver.sheet_metal import set_back
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
    height = local[:, 2] - plate.pan.height
    inside = (-BELOW <= height) & (height <= ABOVE)
    for (x, y), (x1, y1) in zip(plate.outline, plate.outline[1:] + plate.outline[:1], strict=True):
        size = math.dist((x, y), (x1, y1))
        outward = ((local[:, 0] - x) * (y1 - y) - (local[:, 1] - y) * (x1 - x)) / size
        inside &= outward <= plate.thickness
    return np.asarray(inside)


Corner = tuple[float, float, float]


def _polygons(plate: ClosurePlateDimensions) -> Iterator[tuple[str, list[Corner]]]:
    """Convex polygons in the plate's own frame, each with the name of its face."""
    facets = plate.pan.facets
    for number, facet in enumerate(facets, 1):
        name = "floor" if len(facets) == 1 else f"facet {number} of the floor"
        yield name, [facet.place(u, v) for u, v in facet.corners]
    for number, (facet, fold) in enumerate(zip(facets, plate.pan.folds, strict=False), 1):
        start, end = (facet.length, fold.low), (facet.length, fold.high)
        for strip in _rolled(plate, facet, (1.0, 0.0), fold.angle, start, end):
            yield f"fold {number} of the floor", strip
    for wall in plate.pan.walls:
        yield from _wall(plate, wall)


def _rolled(
    plate: ClosurePlateDimensions, facet: Facet, out: Point, angle: float, start: Point, end: Point
) -> Iterator[list[Corner]]:
    """Strips of a bend's inside face; ``start`` and ``end`` lie on its sharp edge, ``out`` leads out of the facet."""
    r = plate.bend_radius
    turns = [angle * i / BEND_STEPS for i in range(BEND_STEPS + 1)]
    arc = [(r * math.sin(turn) - set_back(angle, r), r - r * math.cos(turn)) for turn in turns]
    for low, high in itertools.pairwise(arc):
        yield [
            facet.place(u + out[0] * along, v + out[1] * along, up)
            for (u, v), (along, up) in ((start, low), (end, low), (end, high), (start, high))
        ]


def _wall(plate: ClosurePlateDimensions, wall: Wall) -> Iterator[tuple[str, list[Corner]]]:
    """One wall's bend, both of its faces, its free edge and its tabs."""
    name, facet = f"flange {wall.edge + 1}", plate.pan.facets[wall.facet]
    (u, v), (au, av) = wall.start, wall.along
    ends = [(u + au * along, v + av * along) for along in (wall.first, wall.last)]
    for strip in _rolled(plate, facet, wall.out, wall.angle, ends[0], ends[1]):
        yield name, strip

    def at(h: float, z: float, out: float) -> Corner:
        (x, y), (ax, ay) = wall.foot, wall.level
        return (x + ax * h + ay * out, y + ay * h - ax * out, z)

    t, (left, top) = plate.thickness, wall.outline[3]
    tabs = [(h - plate.tab_width / 2, h + plate.tab_width / 2) for h in plate.tabs(wall)]
    end = top + plate.tab_height
    for out in (0.0, t):
        yield name, [at(h, z, out) for h, z in wall.outline]
        for low, high in tabs:
            yield (
                f"tab of {name}",
                [at(h, z, out) for h, z in ((low, top), (high, top), (high, end), (low, end))],
            )
    right = wall.outline[2][0]
    for label, low, high, z in ((name, left, right, top), *((f"tab of {name}", a, b, end) for a, b in tabs)):
        yield label, [at(low, z, 0.0), at(high, z, 0.0), at(high, z, t), at(low, z, t)]


def _axes(placement: Placement) -> Array:
    """The part's axes as rows."""
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    return np.array([x, np.cross(z, x), z])


def _to_car(points: Array, placement: Placement) -> Array:
    return np.asarray(points @ _axes(placement) + np.array(placement.origin))
