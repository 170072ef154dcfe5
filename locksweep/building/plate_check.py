"""A built closure plate held against what it was sized for: the swept tyre, and its own blank folded back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from solver.body.nearest import nearest
from solver.body.sweep import Grid, wheel_sweeps
from solver.body.swept import SweptRevolved
from solver.car import Side
from solver.families.closure_plate import ClosurePlateDimensions
from solver.folding import Folded
from solver.front_end import FrontEnd
from solver.part import Part, Placement, Refusal
from solver.vectors import Array, Mask, length

if TYPE_CHECKING:
    from parts.kernel import cq

GRID = Grid()
"""Finer than what the plate was sized with, so that it is not held against itself."""
FINEST = 0.05
"""mm to which a least distance is worked out."""
AT_ONCE = 400_000
"""Distances up to which all poses are held against all triangles, and poses that are too far are left out."""
ON_FACE = 1e-3
"""mm. The kernel keeps faces to 1e-7 and bends as true cylinders; coordinates are written to 1e-3."""
STEP = 0.2
"""How far into the sheet and out of it places beside the blank's edge are looked at, mm: less than half a mitre."""
MOST_SHOWN = 3


def swept_tyres(front_end: FrontEnd) -> dict[Side, SweptRevolved]:
    """Both tyres over the whole sweep, to the rack's own stop."""
    return {side: found.tyre() for side, found in wheel_sweeps(front_end, GRID).items()}


def refused(part: Part, solid: cq.Solid, tyres: dict[Side, SweptRevolved], gap: float) -> Refusal | None:
    """Why a built plate is not to be made; None for one that keeps what was promised.

    gap: wanted between plate and tyre, mm
    """
    assert part.placement is not None
    side: Side = "left" if part.placement.origin[1] > 0 else "right"
    least = clearance(solid, part.placement, tyres[side], enough=gap)
    if least < gap - FINEST:
        return Refusal(
            part.name,
            "plate would touch the sweep",
            f"the built solid's faces come to {least:.2f} mm of the swept tyre, {gap:.2f} mm are wanted",
            "a little more clearance in [goal], or a thinner sheet; the other parts are not concerned",
        )
    assert isinstance(part.dimensions, ClosurePlateDimensions)
    wrong = list(blank_faults(part.dimensions, solid))
    if wrong:
        return Refusal(
            part.name,
            "blank does not fold to the plate",
            "; ".join(wrong[:MOST_SHOWN])
            + (f"; and {len(wrong) - MOST_SHOWN} more" if len(wrong) > MOST_SHOWN else ""),
            "do not cut it; another plate thickness changes all of the blank",
        )
    return None


def clearance(solid: cq.Solid, placement: Placement, tyre: SweptRevolved, enough: float = math.inf) -> float:
    """Least distance of a solid's own faces from the swept tyre, mm, low by at most `FINEST`; where it is no less than
    ``enough``, that is all that is told.

    Branch and bound over the triangles of the faces: a triangle is no nearer than its middle less its radius, and the
    least distance is no more than that of any middle. Those that may hold it are quartered until they are small, and
    poses that are too far from all of them are left out.
    """
    from parts.probe import triangles

    corners, numbers = map(np.array, triangles(solid))
    waiting, least = in_car(corners, placement)[numbers], math.inf
    while True:
        middles = waiting.mean(axis=1)
        radii = length(waiting - middles[:, None]).max(axis=1)
        if len(middles) * tyre.count > AT_ONCE:
            found = nearest(middles, tyre).distance
        else:
            every = tyre.distances(middles)
            found = every.min(axis=1)
            near = (every - radii[:, None] <= min(least, float(found.min()), enough)).any(axis=0)
            tyre = SweptRevolved(tyre.solid, tyre.centres[near], tyre.axes[near])
        least = min(least, float(found.min()))
        kept = (found - radii <= least) & (found - radii < enough)
        if not kept.any():
            return min(least, enough)
        if (radii[kept] < FINEST).all():
            return float((found - radii)[kept].min())
        waiting = _quartered(waiting[kept])


def _quartered(triangles: Array) -> Array:
    """Each of the triangles (k, 3, 3) halved at its longest edge, and each half again."""
    for _ in range(2):
        longest = length(np.roll(triangles, -1, axis=1) - triangles).argmax(axis=1)
        rows = np.arange(len(triangles))
        a, b, c = (triangles[rows, (longest + i) % 3] for i in range(3))
        middle = (a + b) / 2
        triangles = np.concatenate([np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)])
    return triangles


def _place(point: Array) -> tuple[float, float, float]:
    x, y, z = point.tolist()
    return (x, y, z)


def _axes(placement: Placement) -> Array:
    """Rows: the part's axes in the car."""
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    return np.stack([x, np.cross(z, x), z])


def in_car(points: Array, placement: Placement) -> Array:
    """Points (k, 3) of a part's frame in the car's axes."""
    return np.asarray(points @ _axes(placement) + np.array(placement.origin))


def blank_faults(d: ClosurePlateDimensions, solid: cq.Solid) -> Iterator[str]:
    """Places of the folded blank that are not where the solid's metal is: its edge lies on the solid's faces, just
    inside of it there is metal, just outside there is none."""
    from parts.probe import states

    pattern, facet = d.flat_pattern(), d.drained
    fixed = _middle_of(d)
    folded = Folded(pattern, d.bend_table(), d.thickness, fixed)
    slope = np.array([facet.vector(1, 0), (0.0, 1.0, 0.0), facet.up])
    origin = np.array(facet.place(-facet.flat, 0.0, -d.k_factor * d.thickness))
    for piece in range(len(folded.pieces)):
        corners = folded.pieces[piece]
        ends = np.roll(corners, -1, axis=0)
        along = ends - corners
        size = np.hypot(*along.T)
        cut = (size > 4 * STEP) & ~_on_bends(corners, ends, pattern.bends)
        middle, normal = (corners + ends)[cut] / 2, np.column_stack([along[:, 1], -along[:, 0]])[cut]
        normal = normal / size[cut][:, None]
        for off, wanted in ((0.0, "on"), (-STEP, "inside"), (STEP, "outside")):
            places = folded.place(piece, middle + off * normal) @ slope + origin
            for place, state in zip(places, states(solid, map(_place, places), ON_FACE), strict=True):
                if state != wanted:
                    at = ", ".join(f"{value:.2f}" for value in place)
                    yield f"the folded blank's edge at ({at}) mm is {state} of the solid, {wanted} is meant"


def _middle_of(d: ClosurePlateDimensions) -> Array:
    """A place of the blank on the facet with the drain hole."""
    facet = d.drained
    middle = np.array(facet.corners).mean(axis=0)
    return np.array([facet.flat + middle[0], middle[1]])


def _on_bends(
    corners: Array, ends: Array, bends: tuple[tuple[tuple[float, float], tuple[float, float]], ...]
) -> Mask:
    """Which edges of a piece are bend lines and not cut."""
    found = np.zeros(len(corners), bool)
    for start, end in bends:
        for a, b in ((start, end), (end, start)):
            found |= np.hypot(*(corners - np.array(a)).T) + np.hypot(*(ends - np.array(b)).T) < 1e-5
    return found
