"""Cuts through a solid: the metal that is cut, and what is seen behind it."""

from __future__ import annotations

import math

from parts.drawing.views.axes import Axes, Direction, Picture
from parts.drawing.views.curves import TURN, Arc, Curve, Point, Polyline, Segment, tidy
from parts.drawing.views.edges import curve_of
from parts.drawing.views.projection import project
from parts.kernel import cq

SAG = 0.01
"""mm that a chord of a hatched outline stands off its arc."""
FAR = 3.0
"""Over the solid's size: how far a cutting plane and the space before it reach."""

Loops = tuple[tuple[Point, ...], ...]


def cut_through(solid: cq.Solid, origin: Direction, axes: Axes) -> tuple[Picture, Loops]:
    """A full section: the outline of the cut and all that is seen behind it, and the cut metal to be hatched.

    origin: a point of the plane, mm; the plane is square to the line of sight
    """
    box = solid.BoundingBox()
    size = FAR * max(box.DiagonalLength, 1.0)
    sheet = cq.Face.makePlane(2 * size, 2 * size, cq.Vector(*origin), cq.Vector(*axes.towards))
    before = cq.Solid.extrudeLinear(sheet, cq.Vector(*axes.towards) * size)
    behind = solid.cut(before)
    outline, loops = cut_face(solid, origin, axes, size)
    seen = project(behind, axes, hidden=False)
    return Picture(tidy([*outline, *seen.visible]), smooth=seen.smooth), loops


def cut_face(
    solid: cq.Solid, origin: Direction, axes: Axes, size: float | None = None
) -> tuple[tuple[Curve, ...], Loops]:
    """The cut alone: its edges, and its closed outlines to be hatched."""
    reach = size if size is not None else FAR * max(solid.BoundingBox().DiagonalLength, 1.0)
    sheet = cq.Face.makePlane(2 * reach, 2 * reach, cq.Vector(*origin), cq.Vector(*axes.towards))
    curves: list[Curve] = []
    loops = []
    for face in sheet.intersect(solid).Faces():
        for wire in (face.outerWire(), *face.innerWires()):
            pieces = [curve for edge in wire.Edges() for curve in curve_of(edge, axes.point)]
            curves += pieces
            loops.append(_loop(pieces))
    return tidy(curves), tuple(sorted(loops))


def _loop(pieces: list[Curve]) -> tuple[Point, ...]:
    """Corners of a closed outline, whichever way its pieces run and in whichever order they come."""
    left = [_points(piece) for piece in pieces]
    chain = left.pop(0)
    while left:
        best = min(range(len(left)), key=lambda i: min(math.dist(chain[-1], left[i][k]) for k in (0, -1)))
        following = left.pop(best)
        if math.dist(chain[-1], following[-1]) < math.dist(chain[-1], following[0]):
            following.reverse()
        chain += following[1:]
    points = [(round(x, 5) + 0.0, round(y, 5) + 0.0) for x, y in chain]
    if points[0] == points[-1]:
        points.pop()
    # From its lowest corner on and counter-clockwise, so that the file does not depend on the kernel's order.
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True))
    if area < 0:
        points.reverse()
    start = points.index(min(points))
    return tuple(points[start:] + points[:start])


def _points(curve: Curve) -> list[Point]:
    if isinstance(curve, Segment):
        return [curve.start, curve.end]
    if isinstance(curve, Polyline):
        return list(curve.points)
    assert isinstance(curve, Arc)
    step = 2 * math.acos(max(0.0, 1 - SAG / curve.radius)) if curve.radius > SAG else TURN / 8
    count = max(2, math.ceil((curve.end - curve.start) / step))
    return [curve.at(curve.start + (curve.end - curve.start) * i / count) for i in range(count + 1)]
