"""Fender closure plate: the floor, and on each flanged edge a bend, a flange and its tabs, joined."""

from __future__ import annotations

from parts.gate import one_solid
from parts.kernel import cq
from parts.profiles import QUARTER, prism
from solver.families.base import Outline
from solver.families.closure_plate import ClosurePlateDimensions, Point


def solid(dimensions: ClosurePlateDimensions) -> cq.Solid:
    """Floor on z = 0, its outline on the bend tangent lines; flanges stand up towards +z."""
    d = dimensions
    floor = prism(
        tuple((x, y, 0.0) for x, y in d.floor), d.thickness, holes=[(d.drain_x, d.drain_y, d.drain_diameter)]
    )
    pieces: list[cq.Solid] = []
    for (start, along, length), has_flange in zip(d.edges(), d.flanged, strict=True):
        if has_flange:
            pieces += [_bend(d, start, along, length), _flange(d, start, along, length)]
    return one_solid(floor.fuse(*pieces).clean())


def _bend(d: ClosurePlateDimensions, start: Point, along: Point, length: float) -> cq.Solid:
    """A quarter of a tube between floor and flange, seen along the edge."""
    (x, y), (ax, ay) = start, along
    z, inner, outer = d.thickness + d.bend_radius, d.bend_radius, d.bend_radius + d.thickness
    outline = ((0.0, z - outer, QUARTER), (outer, z, 0.0), (inner, z, -QUARTER), (0.0, z - inner, 0.0))
    # Local x leads out from the floor and local y up, so the normal leads back along the edge.
    far = length - d.relief
    plane = cq.Plane((x + ax * far, y + ay * far, 0), (ay, -ax, 0), (-ax, -ay, 0))
    return prism(outline, length - 2 * d.relief, plane)


def _flange(d: ClosurePlateDimensions, start: Point, along: Point, length: float) -> cq.Solid:
    """Flat of the flange with its tabs, seen from outside: local x along the edge, local y up."""
    (x, y), (ax, ay) = start, along
    bottom, free, top = d.thickness + d.bend_radius, d.flange_height, d.flange_height + d.tab_height
    outline: list[tuple[float, float, float]] = [(d.relief, bottom, 0.0), (length - d.relief, bottom, 0.0)]
    outline.append((length - d.relief, free, 0.0))
    for middle in reversed(d.tab_positions(length)):
        low, high = middle - d.tab_width / 2, middle + d.tab_width / 2
        outline += [(high, free, 0.0), (high, top, 0.0), (low, top, 0.0), (low, free, 0.0)]
    outline.append((d.relief, free, 0.0))
    face: Outline = tuple(outline)
    out = d.bend_radius
    plane = cq.Plane((x + ay * out, y - ax * out, 0), (ax, ay, 0), (ay, -ax, 0))
    return prism(face, d.thickness, plane)
