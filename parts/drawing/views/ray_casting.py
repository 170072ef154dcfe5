"""Hidden-line removal by rays, for solids on which the kernel's own takes seconds.

Every edge and every outline of a cylinder is walked along in small steps; from each step a ray goes to the eye,
and where a triangle of a fine mesh is in its way, the step is hidden. Where that changes is found by bisection on
the exact curve: the mesh decides what is seen, but not where a line is drawn.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from parts import mesh
from parts.drawing.views.axes import Axes, Picture
from parts.drawing.views.curves import Curve, Point, tidy
from parts.drawing.views.edges import fitted
from parts.drawing.views.outlines import Walk, edges_of, outlines
from parts.kernel import cq

Array = NDArray[np.float64]
Near = NDArray[np.intp]
Seen = NDArray[np.bool_]

MESH, MESH_ANGLE = 0.05, 0.2
"""mm and rad, of the mesh that hides."""
LIFT = 0.1
"""mm by which a ray starts off its edge: more than the mesh stands off the solid."""
STEP, FEWEST, MOST = 1.5, 24, 120
"""mm between two steps along a curve, and the least and largest number of them."""
HALVINGS = 14

_meshed: WeakKeyDictionary[cq.Shape, Array] = WeakKeyDictionary()
"""All views of a part look at the same mesh."""


def cast_rays(solid: cq.Shape, axes: Axes, hidden: bool) -> Picture:
    """As `parts.drawing.views.projection.project`; of curved faces only cylinders get an outline."""
    frame = np.array([axes.right, axes.up, axes.towards])
    if solid not in _meshed:
        _meshed[solid] = mesh.triangles(solid, MESH, MESH_ANGLE).astype(np.float64)
    eye = _Eye(_meshed[solid] @ frame.T)
    walks = [(sharp, *_in_steps(walk, frame)) for sharp, walk in edges_of(solid, axes.towards)]
    walks += [(True, *_in_steps(walk, frame)) for walk in outlines(solid, axes.towards)]
    found: dict[tuple[bool, bool], list[Curve]] = {(a, b): [] for a in (True, False) for b in (True, False)}
    for number, shown, points in _pieces([walk[1:] for walk in walks], eye):
        # A ray starts off its edge, so that the last of a hidden one seems to be seen.
        curve = fitted(points) if _longer(points, 2 * LIFT) else None
        if curve is not None:
            found[walks[number][0], shown].append(curve)
    visible = tidy(found[True, True])
    return Picture(
        visible,
        tidy(found[True, False], less=visible) if hidden else (),
        tidy(found[False, True], less=visible),
    )


class _Eye:
    """Tells what of a set of points, (n, 3) in the view's frame, can be seen past triangles."""

    def __init__(self, triangles: Array) -> None:
        (ax, ay), (bx, by), (cx, cy) = triangles[:, :, :2].transpose(1, 2, 0)
        area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        # Faces seen edge on hide nothing that their neighbours don't.
        kept = np.abs(area) > 1e-9
        self.triangles, self.area = triangles[kept], area[kept]
        self.low, self.high = self.triangles.min(axis=1), self.triangles.max(axis=1)

    def near(self, points: Array) -> Near:
        """Numbers of the triangles that may be in the way of any of the points, or of a curve through them."""
        # Between two steps a curve bulges by far less than a quarter of their distance.
        bulge = float(np.abs(np.diff(points, axis=0)).max()) / 4
        low, high = points.min(axis=0) - bulge, points.max(axis=0) + bulge
        return np.nonzero((self.high >= low).all(axis=1) & (self.low[:, :2] <= high[:2]).all(axis=1))[0]

    def sees(self, points: Array) -> Seen:
        """Whether nothing is in the way of each point."""
        return np.asarray(~self._covers(points[:, None], self.near(points)).any(axis=1))

    def sees_among(self, points: Array, among: Near, of: Near) -> Seen:
        """The same, asked of few triangles; of: for each of these the number of the point that it may hide."""
        return np.asarray(np.bincount(of, self._covers(points[of], among), len(points)) == 0)

    def _covers(self, points: Array, among: Near) -> Seen:
        """Whether a triangle is in the way; points and triangles are broadcast."""
        a, b, c = self.triangles[among].transpose(1, 2, 0)
        x, y, z = (points[..., axis] for axis in range(3))
        u = ((b[0] - x) * (c[1] - y) - (b[1] - y) * (c[0] - x)) / self.area[among]
        v = ((c[0] - x) * (a[1] - y) - (c[1] - y) * (a[0] - x)) / self.area[among]
        w = 1.0 - u - v
        above = u * a[2] + v * b[2] + w * c[2] > z + LIFT
        return np.asarray(above & (u >= 0) & (v >= 0) & (w >= 0))


def _in_steps(walk: Walk, frame: Array) -> tuple[Callable[[float], Array], Array]:
    """A walk in the view's frame, and its steps there, (n, 3)."""

    def at(share: float) -> Array:
        return np.asarray(frame @ walk(share))

    steps = np.array([at(i / FEWEST) for i in range(FEWEST + 1)])
    count = min(MOST, int(np.linalg.norm(np.diff(steps, axis=0), axis=1).sum() / STEP))
    if count > FEWEST:
        steps = np.array([at(i / count) for i in range(count + 1)])
    return at, steps


def _pieces(
    walks: list[tuple[Callable[[float], Array], Array]], eye: _Eye
) -> Iterator[tuple[int, bool, list[Point]]]:
    """Pieces of walks by their number, whether each is seen, and its points in the view's plane."""
    seen = [eye.sees(steps) for _, steps in walks]
    changes = [(n, i) for n, s in enumerate(seen) for i in np.nonzero(s[1:] != s[:-1])[0].tolist()]
    low = np.array([i / (len(seen[n]) - 1) for n, i in changes])
    high = np.array([(i + 1) / (len(seen[n]) - 1) for n, i in changes])
    before = np.array([seen[n][i] for n, i in changes])
    # All changes are narrowed down at once, each among the few triangles that are near it.
    near = [eye.near(walks[n][1][i : i + 2]) for n, i in changes]
    of = np.repeat(np.arange(len(changes)), [len(each) for each in near])
    among = np.concatenate(near) if near else of
    for _ in range(HALVINGS if changes else 0):
        middle = (low + high) / 2
        there = np.array([walks[n][0](m) for (n, _), m in zip(changes, middle.tolist(), strict=True)])
        same = eye.sees_among(there, among, of) == before
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    found = dict(zip(changes, low.tolist(), strict=True))
    for n, (at, steps) in enumerate(walks):
        points = [_flat(steps[0])]
        for i in range(len(steps) - 1):
            if (n, i) in found:
                change = _flat(at(found[n, i]))
                yield n, bool(seen[n][i]), [*points, change]
                points = [change]
            points.append(_flat(steps[i + 1]))
        yield n, bool(seen[n][-1]), points


def _flat(point: Array) -> Point:
    return (float(point[0]), float(point[1]))


def _longer(points: list[Point], than: float) -> bool:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(points)) > than
