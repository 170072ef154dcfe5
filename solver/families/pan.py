"""How a folded pan is put together: facets between parallel folds, walls round them, and the bends between.

Everything is worked out from the inside faces, which meet in the sharp corners that a bend then rounds. A facet ends
where its bends begin; a wall's piece stands on one facet. No two of these share more than a face, so volumes add up.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from solver.sheet_metal import bend_allowance, set_back

if TYPE_CHECKING:
    from solver.families.closure_plate import ClosurePlateDimensions

Point = tuple[float, float]
Vector = tuple[float, float, float]

LEFT_FOLD, RIGHT_FOLD = -2, -1
"""Numbers of a facet's edges that are folds; others are those of the outline's edges."""
TAB_PITCH, PLUG_PITCH = 80.0, 50.0
"""Greatest share of a wall for each tab and each plug-weld hole, mm."""


class Facet(NamedTuple):
    """One flat piece of the floor; mm.

    Its own frame has u up the slope and v along the folds, on the inside face, from ``origin``.

    slope: rise of its inside face with x, rad; length: in u between the sharp corners of its folds or ends
    sharp: its corners (u, v) at the sharp edges; corners: where the bends begin; edges: number of each edge
    flat: u of its origin in the blank, where v is y
    """

    origin: Vector
    slope: float
    length: float
    sharp: tuple[Point, ...]
    corners: tuple[Point, ...]
    edges: tuple[int, ...]
    flat: float

    @property
    def up(self) -> Vector:
        """Unit vector square to it, towards the inside."""
        return (-math.sin(self.slope), 0.0, math.cos(self.slope))

    def vector(self, u: float, v: float) -> Vector:
        """A direction in its plane."""
        return (u * math.cos(self.slope), v, u * math.sin(self.slope))

    def place(self, u: float, v: float, w: float = 0.0) -> Vector:
        """A point of its plane, ``w`` mm off it towards the inside."""
        (x, y, z), (dx, dy, dz), (nx, ny, nz) = self.origin, self.vector(u, v), self.up
        return (x + dx + w * nx, y + dy + w * ny, z + dz + w * nz)


class Wall(NamedTuple):
    """One piece of the walls, on one facet; mm and rad.

    facet: number of its facet; edge: number of the outline's edge
    start: of its sharp edge, (u, v); along: unit vector of that in (u, v)
    angle: of its bend; first, last: ends of the bend from ``start``
    foot, level: (x, y) of the wall's own frame and its direction there; h along the wall, z up
    tilt: rise of its sharp edge, rad
    outline: corners (h, z) without tabs: bottom left, bottom right, top right, top left
    """

    facet: int
    edge: int
    start: Point
    along: Point
    angle: float
    first: float
    last: float
    foot: Point
    level: Point
    tilt: float
    outline: tuple[Point, Point, Point, Point]

    @property
    def out(self) -> Point:
        """Unit vector out of the facet square to the bend, (u, v)."""
        return (self.along[1], -self.along[0])

    @property
    def heights(self) -> Point:
        """Flat height over the bend at both ends, square to the bend."""
        (_, left), (_, right), (_, top), _ = self.outline
        return ((top - left) * math.cos(self.tilt), (top - right) * math.cos(self.tilt))


class Fold(NamedTuple):
    """The bend between a facet and the next; mm and rad. ``low`` and ``high`` are its ends along y."""

    angle: float
    low: float
    high: float


class Pan(NamedTuple):
    """The whole of it; height: from the lowest place of its outside to the weld line."""

    facets: tuple[Facet, ...]
    folds: tuple[Fold, ...]
    walls: tuple[Wall, ...]
    height: float


def pan(d: ClosurePlateDimensions) -> Pan:
    """The pan of dimensions whose outline is convex and whose profile is a valley."""
    slopes = [
        math.atan2(z0 - z1, x1 - x0) for (x0, z0), (x1, z1) in zip(d.profile, d.profile[1:], strict=False)
    ]
    angles = [after - before for before, after in pairwise(slopes)]
    facets, flat = [], d.profile[0][0]
    for k, slope in enumerate(slopes):
        facet = _facet(d, k, slope, flat, angles)
        facets.append(facet)
        if k < len(angles):
            allowance = bend_allowance(angles[k], d.bend_radius, d.thickness, d.k_factor)
            flat += facet.length + allowance - 2 * set_back(angles[k], d.bend_radius)
    folds = tuple(_fold(facets[k], facets[k + 1], angle) for k, angle in enumerate(angles))
    height = -_lowest(d, facets, folds)
    placed = tuple(f._replace(origin=(f.origin[0], f.origin[1], f.origin[2] + height)) for f in facets)
    return Pan(placed, folds, tuple(_walls(d, placed, height)), height)


def wall_angle(slope: float, level_y: float) -> float:
    """Bend angle, rad, between a facet of a slope and an upright wall whose direction has that y component.

    The cosine is the product of the two inside normals.
    """
    return math.acos(max(-1.0, min(1.0, math.sin(slope) * level_y)))


def spread_evenly(low: float, high: float, pitch: float) -> tuple[float, ...]:
    """Middles of equal shares, one per pitch, at least one."""
    count = max(1, int((high - low) // pitch))
    return tuple(low + (high - low) * (i + 0.5) / count for i in range(count))


def _facet(d: ClosurePlateDimensions, k: int, slope: float, flat: float, angles: list[float]) -> Facet:
    (x0, depth), (x1, _) = d.profile[k], d.profile[k + 1]
    edges = [(point, number) for number, point in enumerate(d.outline)]
    if k > 0:
        edges = _clipped(edges, x0, 1.0, LEFT_FOLD)
    if k < len(angles):
        edges = _clipped(edges, x1, -1.0, RIGHT_FOLD)
    stretch = 1 / math.cos(slope)
    sharp = tuple(((x - x0) * stretch, y) for (x, y), _ in edges)
    numbers = tuple(number for _, number in edges)
    backs = []
    for number in numbers:
        if number == LEFT_FOLD:
            angle = angles[k - 1]
        elif number == RIGHT_FOLD:
            angle = angles[k]
        else:
            angle = wall_angle(slope, _direction(d.outline, number)[1])
        backs.append(set_back(angle, d.bend_radius))
    corners = inset(sharp, backs)
    return Facet((x0, 0.0, -depth), slope, (x1 - x0) * stretch, sharp, corners, numbers, flat)


def _clipped(edges: list[tuple[Point, int]], x: float, sign: float, number: int) -> list[tuple[Point, int]]:
    """A convex outline's part with sign · (x − limit) ≥ 0; the new edge gets a number."""
    found: list[tuple[Point, int]] = []
    for ((px, py), edge), ((qx, qy), _) in zip(edges, edges[1:] + edges[:1], strict=True):
        a, b = sign * (px - x), sign * (qx - x)
        if a >= 0:
            found.append(((px, py), edge))
        if (a >= 0) != (b >= 0):
            cut = (x, py + (qy - py) * a / (a - b))
            found.append((cut, number if a >= 0 else edge))
    return found


def inset(outline: tuple[Point, ...], backs: list[float]) -> tuple[Point, ...]:
    """Corners of a convex outline, each edge moved inwards by its own amount."""
    lines = []
    for (ax, ay), (bx, by), back in zip(outline, outline[1:] + outline[:1], backs, strict=True):
        size = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = (by - ay) / size, (ax - bx) / size
        lines.append((nx, ny, nx * ax + ny * ay - back))
    corners = []
    for (ax, ay, a), (bx, by, b) in zip(lines[-1:] + lines[:-1], lines, strict=True):
        determinant = ax * by - ay * bx or 1e-12
        corners.append(((a * by - ay * b) / determinant, (ax * b - a * bx) / determinant))
    return tuple(corners)


def _direction(outline: tuple[Point, ...], number: int) -> Point:
    (ax, ay), (bx, by) = outline[number], outline[(number + 1) % len(outline)]
    size = math.hypot(bx - ax, by - ay) or 1.0
    return ((bx - ax) / size, (by - ay) / size)


def _fold(before: Facet, after: Facet, angle: float) -> Fold:
    """Its strip ends square, at the nearer of the two facets' corners on each side."""
    (right_low, right_high), (left_low, left_high) = _ends(before, RIGHT_FOLD), _ends(after, LEFT_FOLD)
    return Fold(angle, max(right_low, left_low), min(right_high, left_high))


def _ends(facet: Facet, number: int) -> Point:
    i = facet.edges.index(number)
    ends = sorted((facet.corners[i][1], facet.corners[(i + 1) % len(facet.corners)][1]))
    return (ends[0], ends[1])


def _walls(d: ClosurePlateDimensions, facets: tuple[Facet, ...], height: float) -> list[Wall]:
    """Counter-clockwise round the outline."""
    found = []
    for number in range(len(d.outline)):
        level = _direction(d.outline, number)
        on = [k for k, facet in enumerate(facets) if number in facet.edges]
        found += [_wall(d, facets[k], k, number, level, height) for k in (on if level[0] > 0 else on[::-1])]
    return found


def _wall(d: ClosurePlateDimensions, facet: Facet, k: int, number: int, level: Point, height: float) -> Wall:
    i = facet.edges.index(number)
    j = (i + 1) % len(facet.edges)
    (au, av), (bu, bv) = facet.sharp[i], facet.sharp[j]
    size = math.hypot(bu - au, bv - av) or 1.0
    along = ((bu - au) / size, (bv - av) / size)
    angle = wall_angle(facet.slope, level[1])
    back = set_back(angle, d.bend_radius)
    foot_x, foot_y, foot_z = facet.place(au, av)
    end_x, end_y, end_z = facet.place(bu, bv)
    span = math.hypot(end_x - foot_x, end_y - foot_y)
    tilt = math.atan2(end_z - foot_z, span)
    left, right = d.mitre_gap / 2, span - d.mitre_gap / 2
    low, far = (foot_z + h * math.tan(tilt) + back / math.cos(tilt) for h in (left, right))
    # Where the wall's bottom corners lie along the bend: it must not stick out beyond them.
    ends = [h * math.cos(tilt) + (z - foot_z) * math.sin(tilt) for h, z in ((left, low), (right, far))]
    begins, stops = (
        (u - au) * along[0] + (v - av) * along[1] for u, v in (facet.corners[i], facet.corners[j])
    )
    return Wall(
        k,
        number,
        (au, av),
        along,
        angle,
        max(begins + d.relief, ends[0]),
        min(stops - d.relief, ends[1]),
        (foot_x, foot_y),
        level,
        tilt,
        ((left, low), (right, far), (right, height), (left, height)),
    )


def _lowest(d: ClosurePlateDimensions, facets: list[Facet], folds: tuple[Fold, ...]) -> float:
    """Height of the lowest place of the outside against the weld line, mm."""
    t, outer = d.thickness, d.bend_radius + d.thickness
    heights = [facet.place(u, v, -t)[2] for facet in facets for u, v in facet.corners]
    for before, after, fold in zip(facets, facets[1:], folds, strict=False):
        if before.slope < 0 < after.slope:
            back = set_back(fold.angle, d.bend_radius)
            heights.append(before.place(before.length - back, 0.0, d.bend_radius)[2] - outer)
    for facet in facets:
        for i, number in enumerate(facet.edges):
            (au, av), (bu, bv) = facet.corners[i], facet.corners[(i + 1) % len(facet.corners)]
            falls = (bv - av) * math.sin(facet.slope) < 0
            if number >= 0 and falls:
                # The facet falls towards the wall, so the bend goes on down before it turns up.
                size = math.hypot(bu - au, bv - av)
                outward = (bv - av) / size * math.sin(facet.slope)
                lift = outer * math.hypot(outward, math.cos(facet.slope))
                for share in _bend_ends(d, facet, i):
                    u, v = au + share * (bu - au), av + share * (bv - av)
                    heights.append(facet.place(u, v, d.bend_radius)[2] - lift)
    return min(heights)


def _bend_ends(d: ClosurePlateDimensions, facet: Facet, i: int) -> Point:
    """Ends of a wall's bend as shares of the way between the facet's corners."""
    wall = _wall(d, facet, 0, facet.edges[i], _direction(d.outline, facet.edges[i]), 0.0)
    (au, av), (bu, bv) = facet.corners[i], facet.corners[(i + 1) % len(facet.corners)]
    begins = (au - wall.start[0]) * wall.along[0] + (av - wall.start[1]) * wall.along[1]
    size = math.hypot(bu - au, bv - av)
    return ((wall.first - begins) / size, (wall.last - begins) / size)
