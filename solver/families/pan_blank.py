"""The blank of a folded pan: facets side by side, each with its walls laid out flat."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from solver.families.base import Outline
from solver.families.pan import LEFT_FOLD, RIGHT_FOLD, Fold, Point, Wall
from solver.sheet_metal import bend_allowance, set_back

if TYPE_CHECKING:
    from solver.families.closure_plate import ClosurePlateDimensions
    from solver.vectors import Array


def in_blank(d: ClosurePlateDimensions, wall: Wall, along: float, out: float) -> Point:
    """A point of a wall in the blank: along its bend from its start, and out from where the bend begins, mm."""
    u, v = wall.start
    (ax, ay), (ox, oy) = wall.along, wall.out
    y = out - set_back(wall.angle, d.bend_radius)
    return (d.pan.facets[wall.facet].flat + u + ax * along + ox * y, v + ay * along + oy * y)


def on_wall(d: ClosurePlateDimensions, wall: Wall, h: float, z: float) -> Point:
    """What (h, z) of a wall's own frame is along its bend, and out from where the bend begins, in the blank; mm."""
    rise = z - d.pan.facets[wall.facet].place(*wall.start)[2]
    along = h * math.cos(wall.tilt) + rise * math.sin(wall.tilt)
    up = rise * math.cos(wall.tilt) - h * math.sin(wall.tilt)
    allowance = bend_allowance(wall.angle, d.bend_radius, d.thickness, d.k_factor)
    return (along, up - set_back(wall.angle, d.bend_radius) + allowance)


def blank_outline(d: ClosurePlateDimensions) -> Outline:
    """Counter-clockwise, wall by wall."""
    found: list[Point] = []
    walls = d.pan.walls
    for wall, after in zip(walls, walls[1:] + walls[:1], strict=True):
        found += _wall_outline(d, wall)
        if after.facet != wall.facet:
            found += _fold_ends(d, wall, after)
    return tuple((x, y, 0.0) for x, y in _distinct(found))


def _wall_outline(d: ClosurePlateDimensions, wall: Wall) -> list[Point]:
    """From the facet's corner round the wall and its tabs to the facet's next corner."""
    facet = d.pan.facets[wall.facet]
    i = facet.edges.index(wall.edge)
    corner, after = facet.corners[i], facet.corners[(i + 1) % len(facet.corners)]
    allowance = bend_allowance(wall.angle, d.bend_radius, d.thickness, d.k_factor)
    bottom_left, bottom_right, top_right, top_left = wall.outline

    def at(h: float, z: float) -> Point:
        return in_blank(d, wall, *on_wall(d, wall, h, z))

    found = [(facet.flat + corner[0], corner[1])]
    found += [in_blank(d, wall, wall.first, 0.0), in_blank(d, wall, wall.first, allowance)]
    found += [at(*bottom_left), at(*top_left)]
    top = top_left[1]
    for middle in d.tabs(wall):
        low, high = middle - d.tab_width / 2, middle + d.tab_width / 2
        found += [at(low, top), at(low, top + d.tab_height), at(high, top + d.tab_height), at(high, top)]
    found += [at(*top_right), at(*bottom_right)]
    found += [in_blank(d, wall, wall.last, allowance), in_blank(d, wall, wall.last, 0.0)]
    found.append((facet.flat + after[0], after[1]))
    return found


def _fold_ends(d: ClosurePlateDimensions, wall: Wall, after: Wall) -> list[Point]:
    """The end of a fold's strip between two walls."""
    facets = d.pan.facets
    fold: Fold = d.pan.folds[min(wall.facet, after.facet)]
    back = set_back(fold.angle, d.bend_radius)
    ends = []
    for facet, to_the_right in (
        (wall.facet, after.facet > wall.facet),
        (after.facet, after.facet < wall.facet),
    ):
        number = RIGHT_FOLD if to_the_right else LEFT_FOLD
        assert number in facets[facet].edges
        u = facets[facet].length - back if to_the_right else back
        ends.append((facets[facet].flat + u, fold.low if after.facet > wall.facet else fold.high))
    return ends


def _distinct(points: list[Point]) -> list[Point]:
    """Without points that follow one like them."""
    found: list[Point] = []
    for point in points:
        if not found or math.dist(point, found[-1]) > 1e-9:
            found.append(point)
    if math.dist(found[0], found[-1]) <= 1e-9:
        found.pop()
    return found


def crossing(outline: Outline) -> bool:
    """Whether two edges of an outline of straight edges cross that are no neighbours."""
    # NumPy is there whenever a part is sized; the dimension types themselves do without.
    import numpy as np

    points = np.array([(x, y) for x, y, _ in outline])
    a, b = points, np.roll(points, -1, axis=0)
    along = b - a

    def side(p: Array) -> Array:
        """On which side of each edge (row) each point (column) lies."""
        off = p[None] - a[:, None]
        return np.asarray(along[:, None, 0] * off[..., 1] - along[:, None, 1] * off[..., 0])

    starts, ends = side(a), side(b)
    across = starts * ends < 0
    both = across & across.T
    return bool(both.any())
