"""A mesh through a point cloud where it is a single sheet, as seen square to its mean plane."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.body.surface import Surface
from solver.errors import GeometryError
from solver.vectors import Array

FINEST, COARSEST = 2.0, 25.0
"""Pitch of the mesh, mm."""
POINTS_A_CELL = 7.0
"""That the pitch is chosen for: enough to average a scanner's noise, and one cell in a thousand stays empty."""
THICKEST = 4.0
"""mm; a cell whose points lie farther apart than this and than its pitch is no single sheet: two layers, or a wall
seen along itself."""
WORST_SHARE = 0.05
"""Share of cells that may be so: at edges and folds some always are."""
AREA_CELL = 10.0
"""Edge of the cells by which the cloud's area is estimated, mm."""


def height_field(cloud: Surface) -> Surface:
    """Triangles between the mean points of square cells.

    Raises:
        GeometryError: too few points, or the cloud is no single sheet.
    """
    points = cloud.points
    if len(points) < 12:
        raise GeometryError(
            f"'{cloud.name}' has {len(points)} points near the cut, too few for a surface; measure more of them, "
            "some 20 mm apart, or the edge of a flat panel as a panel"
        )
    middle = points.mean(axis=0)
    axes = np.linalg.svd(points - middle, full_matrices=False)[2]
    if np.linalg.det(axes) < 0:
        axes[2] = -axes[2]
    local = (points - middle) @ axes.T
    occupied = len(np.unique(np.floor(local[:, :2] / AREA_CELL), axis=0))
    pitch = AREA_CELL * float(np.sqrt(POINTS_A_CELL * occupied / len(points)))
    pitch = min(max(pitch, FINEST), COARSEST)
    cell = np.floor((local[:, :2] - local[:, :2].min(axis=0)) / pitch).astype(np.int64)
    wide = int(cell[:, 1].max()) + 2
    codes, number = np.unique(cell[:, 0] * wide + cell[:, 1], return_inverse=True)
    number = number.reshape(-1)
    _check_sheet(cloud.name, local, number, pitch)
    count = np.bincount(number)
    mean = np.stack([np.bincount(number, local[:, i]) / count for i in range(3)], axis=1)
    triangles = _between_cells(codes, wide)
    if not len(triangles):
        raise GeometryError(
            f"'{cloud.name}' has too few points near the cut for a surface; measure more of them"
        )
    mesh = replace(cloud, points=mean @ axes + middle, triangles=triangles)
    return mesh.with_triangles(triangles)


def _check_sheet(name: str, local: Array, number: np.ndarray, pitch: float) -> None:
    height = local[:, 2]
    count = np.bincount(number)
    mean = np.bincount(number, height) / count
    spread = np.sqrt(np.bincount(number, (height - mean[number]) ** 2) / count)
    several = count >= 3
    thick = 2 * spread[several] > max(THICKEST, pitch)
    share = float(thick.mean()) if several.any() else 0.0
    if share > WORST_SHARE:
        raise GeometryError(
            f"'{name}' is no single sheet where it would be cut: {100 * share:.0f} % of it has points in layers, or "
            "stands square to the rest. A template needs a triangle mesh of it, as most scanners export, or the cloud "
            "split into one body a panel"
        )


def _between_cells(codes: np.ndarray, wide: int) -> np.ndarray:
    """Two triangles between four cells that are neighbours, one where one of the four is empty."""

    def at(wanted: np.ndarray) -> np.ndarray:
        place = np.minimum(np.searchsorted(codes, wanted), len(codes) - 1)
        return np.where(codes[place] == wanted, place, -1)

    # Every square of four cells, by its least corner, also where that is the empty one.
    corners = np.unique(np.concatenate([codes, codes - 1, codes - wide, codes - wide - 1]))
    a, b, c, d = at(corners), at(corners + wide), at(corners + wide + 1), at(corners + 1)
    squares = np.stack([a, b, c, d], axis=1)
    here = squares >= 0
    whole = squares[here.all(axis=1)]
    found = [whole[:, [0, 1, 2]], whole[:, [0, 2, 3]]]
    for missing, kept in enumerate(([1, 2, 3], [0, 2, 3], [0, 1, 3], [0, 1, 2])):
        three = (here.sum(axis=1) == 3) & ~here[:, missing]
        found.append(squares[three][:, kept])
    return np.concatenate(found).astype(np.int64)
