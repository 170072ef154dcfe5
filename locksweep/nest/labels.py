"""Where a piece's name or number fits."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from locksweep.nest.layout import Placed
from solver.cutting.edges import edges_of, on_edge
from solver.cutting.inside import holds
from solver.families.base import outline_box

GRID = 16


class Room(NamedTuple):
    """The middle of a place in the metal, mm, and how far it is from the nearest cut or bend."""

    at: tuple[float, float]
    radius: float


def roomiest(placed: Placed) -> Room:
    """Of the places on a grid over a piece the one that is furthest from all cuts, bends and marks."""
    (left, low), (right, high) = outline_box(placed.outer)
    shares = np.arange(1, GRID) / GRID
    x, y = np.meshgrid(left + (right - left) * shares, low + (high - low) * shares)
    grid = np.stack([x.ravel(), y.ravel()], axis=-1)
    lines = [*(bend for bend, _ in placed.bends), *placed.marks]
    cuts = [placed.outer, *placed.inner, *(((*a, 0.0), (*b, 0.0)) for a, b in lines)]
    far = np.min(
        [np.hypot(*np.moveaxis(on_edge(grid, edges_of(c)) - grid[:, None], -1, 0)).min(-1) for c in cuts],
        axis=0,
    )
    for number in np.argsort(-far, kind="stable"):
        at = (float(grid[number, 0]), float(grid[number, 1]))
        if holds(placed.outer, at) and not any(holds(hole, at) for hole in placed.inner):
            return Room(at, float(far[number]))
    return Room(((left + right) / 2, (low + high) / 2), 0.0)
