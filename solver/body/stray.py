"""What of a scan is no body: points that are no numbers, points far from the car, specks that float in the air.

Nothing is set aside in silence. Specks near the tyre are kept in the account with their place, since a speck may be
the end of a bolt.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.body.clusters import clusters
from solver.body.surface import Surface
from solver.vectors import Array

FARTHEST = 6000.0
"""From the origin, mm: no car's body reaches farther from its front wheels."""
CELL, CELLS_DOUBLED = 12.0, 6
"""mm; what is farther apart than twice a cell's diagonal, 42 mm, hangs together by triangles only or not at all. For
sparser points cells are doubled up to so many times, until each holds several."""
SEVERAL = 4.0
"""Points that a cell must hold in the mean."""
SPECK_POINTS = 25
"""A cluster with fewer points is a speck. A scanner puts thousands on anything of a bolt's size."""
SPECK_SHARE = 0.002
"""The same as a share of all points: whichever is less counts."""
FEWEST = 500
"""Points of a cloud from which on specks are looked for: a smaller one was measured point by point."""


@dataclass(frozen=True, eq=False)
class SetAside:
    """What was taken out of a scan.

    no_numbers: points with a coordinate that is no finite number
    far: points more than 6 m from the origin; farthest: of them, mm
    specks: points of clusters too small to be a part of the body, (k, 3); clusters: how many
    triangles: that went with any of these points
    """

    no_numbers: int
    far: int
    farthest: float
    specks: Array
    clusters: int
    triangles: int

    @property
    def count(self) -> int:
        """All points together."""
        return self.no_numbers + self.far + len(self.specks)


def without_strays(surface: Surface) -> tuple[Surface, SetAside]:
    """The body without its strays, and what they were."""
    whole = len(surface.triangles)
    finite = np.asarray(np.isfinite(surface.points).all(axis=1))
    no_numbers = int((~finite).sum())
    surface = surface.only(finite)
    # Largest coordinate first: its square may be beyond any number.
    reach = np.abs(surface.points).max(axis=1, initial=0.0)
    near = np.asarray(reach <= FARTHEST)
    far, farthest = int((~near).sum()), float(reach[~near].max(initial=0.0))
    surface = surface.only(near)
    count = len(surface.points)
    nothing = np.empty((0, 3))
    if count < FEWEST:
        return surface, SetAside(no_numbers, far, farthest, nothing, 0, whole - len(surface.triangles))
    label = clusters(surface.points, _cell(surface.points), surface.triangles)
    sizes = np.bincount(label)
    small = sizes < max(min(SPECK_POINTS, SPECK_SHARE * count), 2)
    speck = small[label]
    kept = surface.only(~speck)
    lost = whole - len(kept.triangles)
    return kept, SetAside(no_numbers, far, farthest, surface.points[speck], int(small.sum()), lost)


def _cell(points: Array) -> float:
    """Edge of cells that suits how close points lie."""
    cell = CELL
    for _ in range(CELLS_DOUBLED):
        numbers = np.floor((points - points.min(axis=0)) / cell).astype(np.int64)
        if len(points) >= SEVERAL * len(np.unique(numbers @ [1 << 42, 1 << 21, 1])):
            break
        cell *= 2
    return cell
