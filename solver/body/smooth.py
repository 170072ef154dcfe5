"""A scanner's noise taken off a mesh that is finer than what is to be cut from it.

Taubin, "A signal processing approach to fair surface design" (1995): each point goes part of the way to the middle of
its neighbours, then a little farther back, so that bumps fade and the sheet does not shrink.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.body.surface import Surface, edges_of

TOWARDS, BACK = 0.5, -0.526
"""Shares of the way; the pass band 1/0.5 − 1/0.526 = 0.1, as the paper advises."""
ROUNDS = 8


def smoothed(surface: Surface) -> Surface:
    """With every point but those on the mesh's edge moved, by about the noise."""
    pairs, _, count = edges_of(surface.triangles)
    size = len(surface.points)
    start, end = np.concatenate([pairs, pairs[:, ::-1]]).T
    neighbours = np.maximum(np.bincount(start, minlength=size), 1)
    held = np.zeros(size, np.bool_)
    held[pairs[count != 2]] = True
    points = surface.points
    for _ in range(ROUNDS):
        for share in (TOWARDS, BACK):
            middle = np.stack(
                [np.bincount(start, points[end, i], size) / neighbours for i in range(3)], axis=1
            )
            points = np.where(held[:, None], points, points + share * (middle - points))
    return replace(surface, points=points)
