"""Fender closure plate: facets, walls, and the bends that join them."""

from __future__ import annotations

import math

from parts.gate import one_solid
from parts.kernel import cq
from parts.profiles import prism
from solver.families.base import Outline
from solver.families.closure_plate import ClosurePlateDimensions
from solver.families.pan import Facet, Fold, Wall
from solver.sheet_metal import set_back


def solid(dimensions: ClosurePlateDimensions) -> cq.Solid:
    """Folds along y, base on z = 0; walls stand up towards +z."""
    d = dimensions
    first, *others = [_facet(d, facet) for facet in d.pan.facets]
    others += [_fold(d, facet, fold) for facet, fold in zip(d.pan.facets, d.pan.folds, strict=False)]
    for wall in d.pan.walls:
        others += [_bend(d, wall), _wall(d, wall)]
    return one_solid(first.fuse(*others).clean())


def _facet(d: ClosurePlateDimensions, facet: Facet) -> cq.Solid:
    holes = []
    if facet == d.drained:
        u = (d.drain_x - facet.origin[0]) / math.cos(facet.slope)
        holes.append((u, d.drain_y, d.drain_diameter))
    plane = cq.Plane(facet.place(0, 0, -d.thickness), facet.vector(1, 0), facet.up)
    return prism(tuple((u, v, 0.0) for u, v in facet.corners), d.thickness, plane, holes=holes)


def _fold(d: ClosurePlateDimensions, before: Facet, fold: Fold) -> cq.Solid:
    # Local x leads on along the facet and local y to the inside, so the normal leads against the fold's y.
    plane = cq.Plane(before.place(before.length, fold.high), before.vector(1, 0), (0, -1, 0))
    return prism(_arc(d, fold.angle), fold.high - fold.low, plane)


def _bend(d: ClosurePlateDimensions, wall: Wall) -> cq.Solid:
    """Between facet and wall, seen along the edge."""
    facet = d.pan.facets[wall.facet]
    (u, v), (au, av), (ou, ov) = wall.start, wall.along, wall.out
    end = facet.place(u + au * wall.last, v + av * wall.last)
    plane = cq.Plane(end, facet.vector(ou, ov), facet.vector(-au, -av))
    return prism(_arc(d, wall.angle), wall.last - wall.first, plane)


def _arc(d: ClosurePlateDimensions, angle: float) -> Outline:
    """Section of a bend: x out from the sharp corner, y to the inside."""
    x, y = -set_back(angle, d.bend_radius), d.bend_radius
    (inner, outer), bulge = (d.bend_radius, d.bend_radius + d.thickness), math.tan(angle / 4)
    sine, cosine = math.sin(angle), math.cos(angle)
    return (
        (x, y - outer, bulge),
        (x + outer * sine, y - outer * cosine, 0.0),
        (x + inner * sine, y - inner * cosine, -bulge),
        (x, y - inner, 0.0),
    )


def _wall(d: ClosurePlateDimensions, wall: Wall) -> cq.Solid:
    """Flat of the wall with its tabs, seen from outside: local x along it, local y up."""
    bottom_left, bottom_right, top_right, top_left = wall.outline
    top = top_left[1]
    outline = [bottom_left, bottom_right, top_right]
    for middle in reversed(d.tabs(wall)):
        low, high = middle - d.tab_width / 2, middle + d.tab_width / 2
        outline += [(high, top), (high, top + d.tab_height), (low, top + d.tab_height), (low, top)]
    outline.append(top_left)
    holes = [(h, top - d.plug_diameter, d.plug_diameter) for h in d.plugs(wall)]
    (x, y), (ax, ay) = wall.foot, wall.level
    plane = cq.Plane((x, y, 0), (ax, ay, 0), (ay, -ax, 0))
    return prism(tuple((h, z, 0.0) for h, z in outline), d.thickness, plane, holes=holes)
