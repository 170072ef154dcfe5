"""Looking at a built solid from outside: places on its faces, what is inside, how far another solid is."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from parts.kernel import BRepClass3d, TopAbs, cq, gp

State = Literal["inside", "on", "outside"]
Place = tuple[float, float, float]

MESH = 0.03
"""Greatest distance, mm, of a triangle from the face that it stands for."""
TURN = 0.3
"""Greatest angle between two neighbours on a curved face, rad."""


def triangles(solid: cq.Shape) -> tuple[list[Place], list[tuple[int, int, int]]]:
    """Corners, mm, and triangles by their numbers, of all faces; flat faces exactly."""
    # A mesh stays on the shape that it was made for and would change what is measured on it later.
    corners, found = solid.copy(mesh=False).tessellate(MESH, TURN)
    return [corner.toTuple() for corner in corners], found


def states(solid: cq.Solid, places: Iterable[Place], tolerance: float) -> list[State]:
    """For each place whether it is inside, outside, or on a face within ``tolerance`` mm."""
    classifier = BRepClass3d.BRepClass3d_SolidClassifier(solid.wrapped)
    names: dict[TopAbs.TopAbs_State, State] = {
        TopAbs.TopAbs_State.TopAbs_IN: "inside",
        TopAbs.TopAbs_State.TopAbs_ON: "on",
    }
    found: list[State] = []
    for x, y, z in places:
        classifier.Perform(gp.gp_Pnt(x, y, z), tolerance)
        found.append(names.get(classifier.State(), "outside"))
    return found


def revolved(
    inner: float, outer: float, half_width: float, rounding: float, centre: Place, axis: Place
) -> cq.Solid:
    """A tyre: a rectangle beside an axis, its outer corners rounded, turned about it; mm."""
    plane = cq.Plane(centre, normal=axis)
    h, r, out = half_width, rounding, 0.5**0.5 * rounding
    section = cq.Workplane("XZ").moveTo(inner, -h).lineTo(outer - r, -h)
    section = section.threePointArc((outer - r + out, -h + r - out), (outer, -h + r)).lineTo(outer, h - r)
    section = section.threePointArc((outer - r + out, h - r + out), (outer - r, h)).lineTo(inner, h).close()
    solid = section.revolve(360, (0, 0), (0, 1)).val()
    assert isinstance(solid, cq.Solid)
    return solid.moved(cq.Location(plane))


def distance(one: cq.Shape, other: cq.Shape) -> float:
    """Least distance of two solids in mm, by the kernel; 0 where they touch or overlap."""
    return float(one.distance(other))
