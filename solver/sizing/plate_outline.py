"""The closure plate's outline: straight walls round the hole that the swept tyre needs, each with the wanted gap."""

from __future__ import annotations

import math

import numpy as np

from solver.body.swept import SweptRevolved
from solver.panel import PanelFrame
from solver.stock import StockUnits, round_up
from solver.vectors import Array, Index, distinct

DIRECTIONS = tuple(math.radians(45.0 * i) for i in range(8))
"""Outward directions of the outline's edges: the four sides of the panel and its four corners."""
SHORTEST_EDGE = 60.0
"""A shorter edge saves less metal than its bend costs work. Common practice, no source."""
GRID = 16.0
"""Pitch in mm of the points on the panel that are tried for the hole's first outline."""
FACE_PITCH = 8.0
BETWEEN_SAMPLES = 0.5
"""By how much, mm, a face may be nearer to the tyre between samples a pitch p apart: p²/4 over the tyre's smallest
radius with the gap, twice 33 mm, in both directions."""
WIDEN_STEPS = 40
THINNED = 7
"""One of so many poses is looked at first; then those that turn out to matter as well, until all are cleared."""
ROUNDS = 8
SEEN = 2.0
"""mm beyond the wanted gap within which a pose that was left out is looked at from then on."""


def hole_outline(
    swept: SweptRevolved, frame: PanelFrame, gap: float, depth: float, above: float, units: StockUnits
) -> tuple[Array, float] | None:
    """Corners (k, 2) of the walls' inside faces in the panel's plane, counter-clockwise, and the least gap that they
    leave, mm; no corners where the tyre stays clear of the panel, None where no outline clears it.

    depth, above: the walls' reach behind the panel and towards the wheel, mm
    """
    normals = np.array([(math.cos(a), math.sin(a)) for a in DIRECTIONS])
    poses = np.arange(0, swept.count, THINNED)
    points = _hole_points(_only(swept, poses), frame, gap, above)
    if not len(points):
        return np.empty((0, 2)), math.inf
    reach = (points @ normals.T).max(axis=0)
    times = np.ones(len(reach))
    for _ in range(ROUNDS):
        some = _only(swept, poses)
        for _ in range(WIDEN_STEPS):
            reach = np.array([round_up(r, units) for r in reach.tolist()])
            corners, kept = _polygon(normals, reach)
            if len(corners) < 3:
                return None
            faces, starts = _faces(frame, corners, depth, above, 2 * FACE_PITCH)
            near = np.minimum.reduceat(some.distances(faces).min(axis=1), starts)
            if not _widen(reach, times, kept, gap + BETWEEN_SAMPLES - near):
                break
        else:
            return None
        faces, starts = _faces(frame, corners, depth, above, FACE_PITCH)
        every = swept.distances(faces)
        least = every.min(axis=1)
        if not _widen(reach, times, kept, gap + BETWEEN_SAMPLES - np.minimum.reduceat(least, starts)):
            return corners, float(least.min()) - BETWEEN_SAMPLES
        # The poses that were left out and matter; few do.
        more = every.argmin(axis=1)[least < gap + BETWEEN_SAMPLES + SEEN]
        poses = distinct(np.concatenate([poses, more]))
    return None


def _widen(reach: Array, times: Array, kept: list[int], lacking: Array) -> bool:
    """Move those walls out that lack gap; whether any does.

    kept: the walls' directions, in the order of ``lacking``; times: how often each has its lack added
    """
    for i, short in zip(kept, lacking.tolist(), strict=True):
        if short > 0:
            # A face that grazes the tyre gains little by each step, so they grow.
            reach[i] += times[i] * short
            times[i] += 0.5
    return bool(lacking.max() > 0)


def _only(swept: SweptRevolved, poses: Index) -> SweptRevolved:
    return SweptRevolved(swept.solid, swept.centres[poses], swept.axes[poses])


def _faces(
    frame: PanelFrame, corners: Array, depth: float, above: float, pitch: float
) -> tuple[Array, Index]:
    """Points (k, 3) on all walls' inside faces, tabs included, closer together than ``pitch``, and where each wall's
    begin."""
    ends = np.roll(corners, -1, axis=0)
    counts = [
        max(2, int(math.dist(a, b) / pitch) + 2) for a, b in zip(corners.tolist(), ends.tolist(), strict=True)
    ]
    share = np.concatenate([np.arange(count) / (count - 1) for count in counts])[:, None]
    along = np.repeat(corners, counts, axis=0) * (1 - share) + np.repeat(ends, counts, axis=0) * share
    heights = np.linspace(-depth, above, max(3, int((depth + above) / pitch) + 2))
    points = frame.to_car(along)[:, None] + heights[:, None] * frame.towards_wheel
    return points.reshape(-1, 3), np.cumsum([0, *counts[:-1]]) * len(heights)


def _hole_points(swept: SweptRevolved, frame: PanelFrame, gap: float, above: float) -> Array:
    """Points (k, 2) of the panel's plane over which the tyre comes within the gap at the tabs' ends, where the hole is
    widest."""
    low, high = frame.outline.min(axis=0) - GRID, frame.outline.max(axis=0) + GRID
    # From edge to edge, so that a mirrored panel has mirrored points.
    axes = [np.linspace(a, b, math.ceil((b - a) / GRID) + 1) for a, b in zip(low, high, strict=True)]
    plane = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    near = swept.distances(frame.to_car(plane, above)).min(axis=1)
    return np.asarray(plane[near < gap])


def _polygon(normals: Array, reach: Array) -> tuple[Array, list[int]]:
    """Corners of the convex outline n · p ≤ reach and the direction of the edge that starts at each.

    An edge that is too short for a bend of its own is left out by letting its neighbours meet.
    """
    kept, directions, reach = list(range(len(normals))), normals.tolist(), reach.tolist()
    while len(kept) >= 3:
        corners = []
        for k, i in enumerate(kept):
            before = kept[k - 1]
            (ax, ay), (bx, by) = directions[before], directions[i]
            determinant = ax * by - ay * bx
            if abs(determinant) < 1e-9:
                return np.empty((0, 2)), []
            # Cramer's rule: where the two edges' lines meet.
            x = (reach[before] * by - ay * reach[i]) / determinant
            corners.append((x, (ax * reach[i] - reach[before] * bx) / determinant))
        lengths = []
        for (px, py), (qx, qy), i in zip(corners, corners[1:] + corners[:1], kept, strict=True):
            nx, ny = directions[i]
            lengths.append(nx * (qy - py) - ny * (qx - px))
        if min(lengths) >= SHORTEST_EDGE:
            return np.array(corners), kept
        kept.pop(lengths.index(min(lengths)))
    return np.empty((0, 2)), []


def grown(outline: Array, by: float) -> Array:
    """A convex outline with every edge moved out by ``by`` mm."""
    edges = np.roll(outline, -1, axis=0) - outline
    edges = edges / np.hypot(edges[:, :1], edges[:, 1:])
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    reach = np.sum(normals * outline, axis=1) + by
    before = np.roll(normals, 1, axis=0), np.roll(reach, 1)
    return np.array(
        [
            np.linalg.solve(np.array([n0, n1]), np.array([r0, r1]))
            for n0, r0, n1, r1 in zip(*before, normals, reach, strict=True)
        ]
    )
