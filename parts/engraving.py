"""Words sunk into a body: into the largest flat or outer round side that has room for them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from parts import lettering
from parts.flats import Array, Flat, Segments, edge_of, flats, nearest_spot
from parts.solid_mesh import Body, corners_of, placed, slab, without
from solver.families.base import Outline, outline_area

DEPTH = 0.4
"""mm: two layers of a home printer, half of the thinnest sheet."""

UNITS = (2.0, 1.5, 1.2, 1.0, 0.8, 0.6)
"""Stroke widths to try, mm: from letters 10 mm tall down to 3 mm."""

FACES = 4
"""Sides to try that do not mate, the largest first: those in sight as it prints, then those on the bed."""

DEEPEST_MIDDLE = 0.3
"""mm by which a letter on a round side may be deeper in its middle than at its edges."""

WIDEST = max(x for letter in lettering.LETTERS.values() for x, _ in letter)
"""Units."""

Layouts = Sequence[tuple[str, ...]]

Mates = Callable[[tuple[float, float, float], tuple[float, float, float]], bool]
"""Whether a side lies against another part, by its middle and its outward normal there."""


@dataclass(frozen=True, eq=False)
class Cylinder:
    """An outer round side of the part: a point on its axis, its three axes with z along it, its radius; mm."""

    origin: Array
    x: Array
    y: Array
    z: Array
    radius: float


@dataclass(frozen=True, eq=False)
class _Sheet:
    """A side laid flat, read in one direction.

    boundary: its edge; frame: origin, x, y, z of the plane that touches the side at a point of the sheet
    radius: of a round side, inf for a flat one; across: index of the direction that goes round it
    """

    boundary: Segments
    frame: Callable[[float, float], tuple[Array, Array, Array, Array]]
    radius: float = math.inf
    across: int = 0


@dataclass(frozen=True, eq=False)
class _Side:
    """A side: its area, its middle, the normal there, whether it mates, what lays it flat to be read both ways."""

    area: float
    middle: Array
    normal: Array
    mates: bool
    sheets: Callable[[], Sequence[_Sheet]]


def engraved(
    body: Body,
    layouts: Layouts,
    cylinders: Sequence[Cylinder] = (),
    mates: Mates = lambda point, normal: False,
    down: Array | None = None,
) -> Body | None:
    """Sink words into a body; None when no side has room for them.

    layouts: ways to set the words in lines, the ones that are tried first come first
    down: normal of the side that lies on the bed, where words come out ragged

    The cut is held against the letters' area times their depth, so words that broke through a wall or ran
    over an edge are not used.
    """
    corners = corners_of(body)
    for side in _sides(corners, layouts, cylinders, mates, down):
        place = _place(side, layouts)
        if place is None:
            continue
        sheet, (x, y), lines, unit = place
        letters = lettering.glyphs(lines, unit)
        cuts = [_cut(sheet, letter, x, y) for letter in letters]
        found = without(body, [tool for tool, _ in cuts])
        gone = body.volume() - found.volume()
        # On a round side the mesh lies within its chord tolerance of the round.
        leeway = 1e-3 if math.isinf(sheet.radius) else 0.05 * sum(letter.area for letter in letters)
        if abs(gone - sum(volume for _, volume in cuts)) <= leeway:
            return found
    return None


def _sides(
    corners: Array, layouts: Layouts, cylinders: Sequence[Cylinder], mates: Mates, down: Array | None
) -> Iterator[_Side]:
    least = min(
        math.prod(side + 2 for side in lettering.block_size(layout)) * UNITS[-1] ** 2 for layout in layouts
    )
    found = [
        _flat(each, mates)
        for flat in flats(corners, least, most=12)
        for each in flat.islands()
        if each.area > least
    ]
    found += [side for each in cylinders for side in _round(corners, each, mates) if side.area > least]
    # Of two equal sides the upper one.
    found.sort(key=lambda side: (-round(side.area, 2), *(-np.round(side.middle[::-1], 3))))
    free = [side for side in found if not side.mates]
    for wanted in (False, True):
        apt = [side for side in free if (down is not None and float(side.normal @ down) > 0.99) == wanted]
        yield from apt[:FACES]


def _flat(flat: Flat, mates: Mates) -> _Side:
    def sheets() -> list[_Sheet]:
        found = []
        for x, y in flat.frames():

            def frame(u: float, v: float, x: Array = x, y: Array = y) -> tuple[Array, Array, Array, Array]:
                return flat.middle + u * x + v * y, x, y, flat.normal

            found.append(_Sheet(flat.boundary(flat.middle, x, y), frame))
        return found

    return _Side(flat.area, flat.middle, flat.normal, _mating(mates, flat.middle, flat.normal), sheets)


def _mating(mates: Mates, point: Array, normal: Array) -> bool:
    (a, b, c), (d, e, f) = point.tolist(), normal.tolist()
    return mates((a, b, c), (d, e, f))


def _round(corners: Array, cylinder: Cylinder, mates: Mates) -> Iterator[_Side]:
    """What is left of an outer round side, unrolled: read along it, and read round it."""
    c = cylinder
    local = (corners - c.origin) @ np.stack([c.x, c.y, c.z]).T
    on = (np.abs(np.hypot(local[..., 0], local[..., 1]) - c.radius) < 1e-4).all(axis=1)
    doubled = np.cross(local[:, 1] - local[:, 0], local[:, 2] - local[:, 0])
    on &= (doubled[:, :2] * local.mean(axis=1)[:, :2]).sum(axis=1) > 1e-9
    if not on.any():
        return
    # Angles are counted from the middle of what is left, so that a part of the round is not torn apart.
    heading = np.arctan2(*np.round(local[on].mean(axis=1)[:, 1::-1].mean(axis=0), 6))
    angles = np.angle(np.exp(1j * (np.arctan2(local[on][..., 1], local[on][..., 0]) - heading)))
    # A whole round is cut open where the angle jumps.
    whole = np.ptp(angles, axis=1) < np.pi
    sheet = np.stack([angles * c.radius, local[on][..., 2], np.zeros_like(angles)], axis=-1)[whole]
    if not len(sheet):
        return
    middle = (sheet[..., 1].min() + sheet[..., 1].max()) / 2
    rounds = edge_of(sheet)[..., :2] - (0.0, middle)
    area = float(np.linalg.norm(doubled[on], axis=1).sum() / 2)

    def read_round(u: float, v: float) -> tuple[Array, Array, Array, Array]:
        angle = u / c.radius + heading
        out = np.cos(angle) * c.x + np.sin(angle) * c.y
        return c.origin + c.radius * out + (v + middle) * c.z, np.cross(c.z, out), c.z, out

    def read_along(u: float, v: float) -> tuple[Array, Array, Array, Array]:
        point, across, along, out = read_round(-v, u)
        return point, along, -across, out

    turned = np.stack([rounds[..., 1], -rounds[..., 0]], axis=-1)
    point, _, _, out = read_round(0.0, 0.0)
    yield _Side(
        area,
        point,
        out,
        _mating(mates, point, out),
        lambda: (
            _Sheet(turned, read_along, c.radius, across=1),
            _Sheet(rounds, read_round, c.radius, across=0),
        ),
    )


def _place(
    side: _Side, layouts: Layouts
) -> tuple[_Sheet, tuple[float, float], tuple[str, ...], float] | None:
    """Sheet, middle, lines and stroke of the largest lettering that fits, nearest to the side's middle."""
    sheets = side.sheets()
    for unit, layout in itertools.product(UNITS, layouts):
        width, height = lettering.block_size(layout)
        for sheet in sheets:
            # A letter's width or its height, whichever goes round.
            half = (WIDEST if sheet.across == 0 else lettering.CAP_HEIGHT) * unit / 2
            if half**2 / (2 * sheet.radius) > DEEPEST_MIDDLE:
                continue
            # One stroke free all round.
            spot = nearest_spot(sheet.boundary, (width + 2) * unit, (height + 2) * unit)
            if spot is not None:
                return sheet, spot, layout, unit
    return None


def _cut(sheet: _Sheet, letter: lettering.Glyph, x: float, y: float) -> tuple[Body, float]:
    """What a letter takes away, and its volume in mm³; from below the side to above it."""
    points = np.array([(px, py) for px, py, _ in letter.outline])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    half = float(np.ptp(points[:, sheet.across])) / 2
    sagitta = 0.0 if math.isinf(sheet.radius) else sheet.radius - math.sqrt(sheet.radius**2 - half**2)
    outlines = [
        np.array([(px, py) for px, py, _ in outline]) - middle
        for outline in (letter.outline, *letter.islands)
    ]
    depth = DEPTH + sagitta
    tool = slab([outlines[0], *(each[::-1] for each in outlines[1:])], depth + DEPTH)
    origin, along, up, out = sheet.frame(x + middle[0], y + middle[1])
    volume = _pocket(outlines[0], sheet, depth) - sum(_pocket(each, sheet, depth) for each in outlines[1:])
    return placed(tool, origin - depth * out, along, up, out), volume


def _pocket(outline: Array, sheet: _Sheet, depth: float) -> float:
    """Volume under an outline, mm³: its area times the depth; on a round side ∫(√(R² − s²) − R) dA comes to it.

    By Green's theorem that is ∮ of the primitive ½(s√(R² − s²) + R² asin(s/R)) − R s along the edges; eight
    Gauss points an edge are exact to rounding for what is so small a part of the round.
    """
    closed: Outline = tuple((float(x), float(y), 0.0) for x, y in outline)
    flat = outline_area(closed) * depth
    if math.isinf(sheet.radius):
        return flat
    nodes, weights = np.polynomial.legendre.leggauss(8)
    start, end = outline[:, :, None], np.roll(outline, -1, axis=0)[:, :, None]
    along = start + (end - start) * (nodes + 1) / 2
    s, R = along[:, sheet.across], sheet.radius
    primitive = (s * np.sqrt(R**2 - s**2) + R**2 * np.arcsin(s / R)) / 2 - R * s
    step = (end - start)[:, 1 - sheet.across]
    sign = 1.0 if sheet.across == 0 else -1.0
    return flat + sign * float((primitive * weights * step / 2).sum())
