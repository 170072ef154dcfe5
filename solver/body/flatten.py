"""A piece of the body laid flat: projected where it is flat enough, else developed with as little stretch as can be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.body.coarse import coarsened, nearest_on, shares_in
from solver.body.develop import developed, turned_onto
from solver.body.surface import Surface, edges_of
from solver.body.unfold import Unfolding, largest_piece
from solver.errors import GeometryError
from solver.vectors import Array, cross, length, unit

FLAT = 3.0
"""mm off its mean plane, up to which a piece is projected."""
STEEP = 0.985
"""Cosine of the angle to the mean plane, 10°, up to which projecting shortens nothing by more than 1.5 %."""
MOST_POINTS, FEW_POINTS = 600, 100
FINEST = 8.0
"""Points that a piece is laid flat with, and that it is laid out with first; the least pitch between them in mm. Paper
does not follow finer bends, and a chord of 20 mm stands off a bend of 300 mm radius by 0.2 mm."""
MOST_STRETCH = 0.08
"""Share by which lengths in a layout may be wrong before it is of no use as a template."""
FOLDED = 0.005
"""Share of a layout's area that may lie the wrong way round, as slivers of a noisy scan do."""


@dataclass(frozen=True, eq=False)
class Layout:
    """A piece of a surface laid flat.

    coarse: the piece, in mm and car axes; flat: its points in the plane, (n, 2), mm, seen from the tyre
    developed: True where it was developed, False where projected
    stretch: greatest share by which a length in the layout is longer or shorter than on the surface
    """

    coarse: Surface
    flat: Array
    developed: bool
    stretch: float

    def place(self, points: Array) -> tuple[Array, Array]:
        """Points (k, 3) of the surface in the plane, (k, 2), and how far each is off the piece, mm.

        Making the piece coarse draws its edge in by half a pitch, so a point beyond it is placed as if its triangle
        went on.
        """
        triangle, far = nearest_on(self.coarse, points)
        share = shares_in(self.coarse, triangle, points)
        corners = self.flat[self.coarse.triangles[triangle]]
        return np.einsum("ki,kij->kj", share, corners), far


def laid_flat(surface: Surface, towards: Array, up: Array | None = None) -> Layout:
    """The layout of one connected mesh.

    towards: a point (3,) on the side that the layout is looked at from, such as the wheel's centre
    up: direction that points up in the layout where it can, (3,); None for the car's

    Raises:
        GeometryError: the mesh is too small, or so bent that it folds over itself when it is laid flat.
    """
    coarse = coarsened(surface, MOST_POINTS, FINEST)
    if len(coarse.triangles) < 2:
        raise GeometryError(f"'{surface.name}' is too small a piece to lay flat")
    coarse = largest_piece(coarse)
    across, upward, normal, origin = _frame(coarse, towards, up)
    local = coarse.points - origin
    flat = np.stack([local @ across, local @ upward], axis=1)
    off = local @ normal
    steepness = np.abs(unit(_area_normals(coarse)) @ normal)
    if np.abs(off).max() <= FLAT and np.quantile(steepness, 0.02) > STEEP:
        return Layout(coarse, flat, False, _stretch(coarse, flat))
    first, facing = _first_layout(coarse, normal)
    laid = turned_onto(developed(coarse, turned_onto(first, flat), facing), flat)
    stretch = _stretch(coarse, laid)
    if stretch > MOST_STRETCH or _folds(coarse, laid, facing):
        raise GeometryError(
            f"'{surface.name}' is bent so much both ways where it would be cut that no flat template fits it; "
            "split it into one body a panel, or take the cut line's points from the table"
        )
    return Layout(coarse, laid, True, stretch)


def _first_layout(surface: Surface, normal: Array) -> tuple[Array, Array]:
    """A layout to start from, (n, 2), and which way each triangle faces in it.

    A few large triangles are unfolded and developed, as noise bends small ones too much; the rest is laid on them.
    What faces up in the layout is what faces the looker.
    """
    facing = Unfolding(surface).facing
    facing *= np.sign(facing @ (_area_normals(surface) @ normal)) or 1.0
    few = largest_piece(coarsened(surface, FEW_POINTS, FINEST))
    unfolding = Unfolding(few)
    flat = developed(few, unfolding.layout(), unfolding.facing)
    if unfolding.facing @ (_area_normals(few) @ normal) < 0:
        flat = flat * [1.0, -1.0]
    return Layout(few, flat, True, 0.0).place(surface.points)[0], facing


def _area_normals(surface: Surface) -> Array:
    """Square to each triangle and as long as twice its area, (t, 3)."""
    a, b, c = (surface.points[surface.triangles[:, i]] for i in range(3))
    return cross(b - a, c - a)


def _frame(surface: Surface, towards: Array, up: Array | None) -> tuple[Array, Array, Array, Array]:
    """Directions across and up in the mean plane, its normal towards the looker, and its middle."""
    origin = surface.points.mean(axis=0)
    normal = np.linalg.svd(surface.points - origin, full_matrices=False)[2][2]
    normal = normal if normal @ (towards - origin) >= 0 else -normal
    vertical = np.array([0.0, 0.0, 1.0]) if up is None else up
    across = np.cross(vertical, normal)
    if float(np.linalg.norm(across)) < 0.1:
        across = np.cross(np.array([1.0, 0.0, 0.0]), normal)
    across = unit(across)
    return across, np.cross(normal, across), normal, origin


def _stretch(surface: Surface, flat: Array) -> float:
    pairs, _, _ = edges_of(surface.triangles)
    real = length(surface.points[pairs[:, 1]] - surface.points[pairs[:, 0]])
    laid = np.hypot(*(flat[pairs[:, 1]] - flat[pairs[:, 0]]).T)
    return float(np.abs(laid / real - 1).max())


def _folds(surface: Surface, flat: Array, facing: Array) -> bool:
    """Whether neighbouring triangles lie on top of each other anywhere: they run round different ways then."""
    corners = flat[surface.triangles]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    turned = facing * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    return bool(-turned[turned < 0].sum() > FOLDED * np.abs(turned).sum())
