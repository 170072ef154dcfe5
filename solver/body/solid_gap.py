"""How near the swept tyre comes to flat faces, such as those of a plate: to within a bound, not just at samples."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from solver.body.between import closest
from solver.body.nearest import nearest
from solver.body.sweep import Cause, WheelSweep
from solver.vectors import Array, length

FINEST = 0.25
"""mm: triangles are cut into four until none that may hold the nearest place is larger about its middle than this."""


class FaceGap(NamedTuple):
    """The nearest place of some faces to the swept tyre.

    face: number of the triangle that it lies on; point: (3,), car axes
    distance: there, mm, negative inside; the least of all is less by at most `FINEST`, and by what hides between poses
    pose: number of the grid's pose that is nearest there
    """

    face: int
    point: Array
    distance: float
    cause: Cause
    pose: int


def least_gap(triangles: Array, sweep: WheelSweep) -> FaceGap:
    """Least distance of triangles (m, 3, 3) in mm and car axes, fixed to the body, from one wheel's swept tyre.

    A distance changes by no more than a point moves: a triangle whose middle is farther than the nearest place so far
    by more than its corners are from its middle holds no nearer one, and is left out.
    """
    tyre = sweep.tyre()
    faces = np.arange(len(triangles))
    best = (np.inf, 0, triangles[0, 0], 0)
    while len(triangles):
        middles = triangles.mean(axis=1)
        sizes = length(triangles - middles[:, None]).max(axis=1)
        found = nearest(middles, tyre)
        first = int(found.distance.argmin())
        if found.distance[first] < best[0]:
            best = (float(found.distance[first]), int(faces[first]), middles[first], int(found.pose[first]))
        open_ = (found.distance - sizes < best[0]) & (sizes > FINEST)
        triangles, faces = _in_four(triangles[open_]), np.repeat(faces[open_], 4)
    _, face, point, pose = best
    distance, cause = closest(point, sweep, pose)
    return FaceGap(face, point, distance, cause, pose)


def _in_four(triangles: Array) -> Array:
    """Each triangle cut at the middles of its edges, (4 m, 3, 3), those of one following each other."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    parts = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.stack([np.stack(part, axis=1) for part in parts], axis=1).reshape(-1, 3, 3)
