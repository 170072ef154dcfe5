"""A mock-up cut apart: pieces with holes for locating pins, and what holds them in line.

Walls thick enough get pin holes in the cut; a sheet gets holes through it beside the cut, for a strap with
pins that lies across. Pins and straps are printed with the pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from parts.flats import Array, flat_at, flats, spots
from parts.solid_mesh import SIDES, Body, corners_of, joined, placed, rod, slab, without

PINS = (6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.75)
"""Diameters to try, mm; the last is that of filament."""

LEAST_RIM = 0.6
"""mm of wall that stays beside a pin hole."""

PIN_DEPTH = 2.0
"""Depth of a pin hole over the pin's diameter."""

END_PLAY = 0.5
"""mm by which a pin is shorter than its two holes."""

STRAP = (30.0, 14.0, 2.0)
"""Length across the cut, width and thickness of a strap, mm."""

STRAP_PIN = 4.0
"""mm."""

THICKEST_SHEET = 8.0
"""mm; what is thicker has room for pins in the cut."""

SIDES_TRIED = 12
"""Flat sides of a body that may take a strap."""

OFF_MIDDLE = (0.0, 3.7, -3.7, 8.3, -8.3, 14.9, -14.9, 23.0, -23.0)
"""mm from the middle, places to try for a cut: where it would be worst it runs along a face or through a hole."""


@dataclass(frozen=True, eq=False)
class Parted:
    """What a cut leaves.

    bodies: pieces of the part
    joiners: pins and straps, with what they are called; none where there is no room for any
    """

    bodies: tuple[Body, ...]
    joiners: tuple[tuple[str, Body], ...]


def parted(body: Body, middle: Array, normal: Array, up: Array, clearance: float) -> Parted:
    """Cut a body in two, and give the halves what they are put together by. Walls may fall off as further pieces.

    middle: a point on the plane, which is moved a little where that would be better; normal: of the plane
    up: away from the side that the body lies on, where straps go
    clearance: between pin and hole, each side, mm
    """
    plain: list[Body] = []
    for off in OFF_MIDDLE:
        point = middle + off * normal
        halves = body.split_by_plane(normal.tolist(), float(point @ normal))
        pieces = [piece for half in halves for piece in half.decompose()]
        if any(half.is_empty() for half in halves):
            continue
        if not plain or len(pieces) < len(plain):
            plain = pieces
        if len(pieces) > 2:
            continue
        tools, joiners = _pins(halves, point, normal, clearance)
        if not tools:
            tools, joiners = _straps(body, point, normal, up, clearance)
        bodies = tuple(without(half, tools) for half in halves)
        if tools and all(len(each.decompose()) == 1 for each in bodies):
            return Parted(bodies, tuple(joiners))
    return Parted(tuple(sorted(plain, key=_order)), ())


def _order(body: Body) -> tuple[float, ...]:
    return (-round(body.volume(), 3), *(round(x, 3) for x in body.bounding_box()))


Joint = tuple[list[Body], list[tuple[str, Body]]]
"""Drills, and what goes into the holes."""


def _pins(halves: Sequence[Body], point: Array, normal: Array, clearance: float) -> Joint:
    """Two drills along the normal, as far apart as the cut has room, and the pins for them."""
    cut = flat_at(corners_of(halves[0]), point, normal)
    sheets = []
    for side in cut.islands() if cut else ():
        x, y = side.frames()[0]
        sheets.append((side.middle, x, y, side.boundary(side.middle, x, y)))
    for diameter in PINS:
        hole = diameter + 2 * clearance
        size = hole + 2 * LEAST_RIM
        found = []
        for middle, x, y, boundary in sheets:
            found += [middle + u * x + v * y for u, v in spots(boundary, size, size).tolist()]
        pair = _farthest(found, 2 * size)
        if len(pair) < 2:
            continue
        depth = PIN_DEPTH * diameter
        x, y = _across(normal)
        drills = [placed(rod(hole, 2 * depth), at - depth * normal, x, y, normal) for at in pair]
        # Where a drill meets a hole or leaves a wall, it has not the whole of its metal to take.
        whole = sum(drill.volume() for drill in drills)
        met = sum((drill ^ half).volume() for drill in drills for half in halves)
        if abs(met - whole) <= 1e-3 * whole:
            pin = rod(diameter * math.cos(math.pi / SIDES), 2 * depth - END_PLAY)
            return drills, [(f"pin {diameter:g} mm", pin)] * 2
    return [], []


def _straps(body: Body, point: Array, normal: Array, up: Array, clearance: float) -> Joint:
    """Holes through a sheet beside the cut, and the straps with pins that go into them."""
    length, width, _ = STRAP
    hole = STRAP_PIN + 2 * clearance
    sides = list(flats(corners_of(body), most=SIDES_TRIED))
    for top in (side for side in sides if side.normal @ up > 0.9999):
        height = float((top.middle - point) @ up)
        below = [float((top.middle - side.middle) @ up) for side in sides if side.normal @ up < -0.9999]
        sheet = min((gap for gap in below if gap > 1e-3), default=math.inf)
        if sheet > THICKEST_SHEET:
            continue
        origin, along = point + height * up, np.cross(up, normal)
        at = spots(top.boundary(origin, normal, along), length, width, on_axis=True)
        places = _farthest([origin + v * along for _, v in at.tolist()], length)
        drills = [
            placed(
                rod(hole, 4 * sheet), place + side * length / 4 * normal - 2 * sheet * up, normal, along, up
            )
            for place in places
            for side in (-1.0, 1.0)
        ]
        taken = [(drill ^ body).volume() for drill in drills]
        # A quarter of each drill is in a sheet of that thickness and nothing else.
        if drills and all(abs(4 * t - d.volume()) < 1e-2 * t for t, d in zip(taken, drills, strict=True)):
            return drills, [(f"strap for {sheet:.3g} mm", _strap(sheet))] * len(places)
    return [], []


def _strap(sheet: float) -> Body:
    """On its back, pins upwards; they end flush with the sheet's far side."""
    length, width, thickness = STRAP
    corners = np.array([(-length, -width), (length, -width), (length, width), (-length, width)]) / 2
    axes = np.eye(3)
    pin = rod(STRAP_PIN * math.cos(math.pi / SIDES), sheet + thickness / 2)
    pins = [placed(pin, np.array((x, 0.0, thickness / 2)), *axes) for x in (-length / 4, length / 4)]
    return joined([slab([corners], thickness), *pins])


def _across(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors square to a normal and to each other."""
    axis = np.eye(3)[int(np.argmin(np.round(np.abs(normal), 6)))]
    x = np.cross(axis, normal)
    x = x / np.linalg.norm(x)
    return x, np.cross(normal, x)


def _farthest(points: Sequence[Array], least: float) -> list[Array]:
    """Two that lie far apart, one where they would be nearer than the least, none of none."""
    if not points:
        return []
    every = np.array(points)

    def far_from(point: Array) -> Array:
        found: Array = every[int(np.argmax(np.round(np.linalg.norm(every - point, axis=1), 6)))]
        return found

    first = far_from(every.mean(axis=0))
    second = far_from(first)
    return [first, second] if np.linalg.norm(second - first) > least else [first]
