"""From outlines to prisms: what every plate, bend and flange is made of."""

from __future__ import annotations

import math
from collections.abc import Iterable

from parts.kernel import BRepBuilderAPI, cq
from solver.families.base import Outline

NEAREST = 1e-6
"""Vertices nearer than this, in mm, are one: the kernel takes edges below 1e-7 mm for points."""

QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle."""


def prism(
    outline: Outline,
    depth: float,
    plane: cq.Plane | None = None,
    holes: Iterable[tuple[float, float, float]] = (),
    cutouts: Iterable[Outline] = (),
) -> cq.Solid:
    """A closed outline in a plane, extruded along the plane's normal.

    outline: vertices ``(x, y, bulge)`` in the plane, mm, counter-clockwise
    depth: along the normal, mm
    plane: the z = 0 plane when left out
    holes: ``(x, y, diameter)`` of round holes right through, mm
    cutouts: outlines of other holes right through, as ``outline``
    """
    where = plane or cq.Plane.XY()
    normal = where.zDir
    inner = [cq.Wire.makeCircle(d / 2, where.toWorldCoords((x, y)), normal) for x, y, d in holes]
    inner += [_wire(cutout, where) for cutout in cutouts]
    return cq.Solid.extrudeLinear(_wire(outline, where), inner, normal * depth)


def rectangle(x0: float, y0: float, x1: float, y1: float, *radii: float) -> Outline:
    """A rectangle, counter-clockwise from its lower left corner, each corner rounded by its radius; mm.

    radii: of the corners in that order, missing ones are 0
    """
    outline: list[tuple[float, float, float]] = []
    corners = ((x0, y0, 1, 0), (x1, y0, 0, 1), (x1, y1, -1, 0), (x0, y1, 0, -1))
    for (x, y, ax, ay), r in zip(corners, (*radii, 0.0, 0.0, 0.0, 0.0), strict=False):
        # (ax, ay) leads on from the corner; the quarter turn before it led here along (ay, -ax).
        if r > NEAREST:
            outline += [(x - ay * r, y + ax * r, QUARTER), (x + ax * r, y + ay * r, 0.0)]
        else:
            outline.append((x, y, 0.0))
    return tuple(outline)


def _wire(outline: Outline, plane: cq.Plane) -> cq.Wire:
    # Edge by edge: given a list, the kernel joins the edges in an order that depends on where they lie in
    # memory, and the same part would give other bytes on the next run.
    builder = BRepBuilderAPI.BRepBuilderAPI_MakeWire()
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        if math.hypot(x1 - x0, y1 - y0) < NEAREST:
            continue
        start, end = plane.toWorldCoords((x0, y0)), plane.toWorldCoords((x1, y1))
        if bulge:
            # An arc stands off its chord by bulge × half chord, to the right when counter-clockwise.
            top = ((x0 + x1 + bulge * (y1 - y0)) / 2, (y0 + y1 - bulge * (x1 - x0)) / 2)
            edge = cq.Edge.makeThreePointArc(start, plane.toWorldCoords(top), end)
        else:
            edge = cq.Edge.makeLine(start, end)
        builder.Add(edge.wrapped)
    return cq.Wire(builder.Wire())
