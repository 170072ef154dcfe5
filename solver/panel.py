"""A nearly flat panel of a wheel well: its plane, its edge, and how far a swept tyre reaches through it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.body.revolved import Revolved
from solver.car import WheelWell
from solver.vectors import Array, unit


@dataclass(frozen=True, eq=False)
class PanelFrame:
    """A panel's mean plane; mm, car axes.

    origin: middle of the measured points; across: level in the plane; up: upwards in the plane
    towards_wheel: unit vector square to it, on the tyre's side. across × up = towards_wheel.
    flatness: largest distance of a measured point from the plane
    outline: (k, 2) the measured points in the plane
    """

    origin: Array
    across: Array
    up: Array
    towards_wheel: Array
    flatness: float
    outline: Array

    def to_car(self, points: Array, height: float | Array = 0.0) -> Array:
        """Points (k, 2) of the plane, lifted by ``height`` mm, one for all or (k,), towards the wheel: (k, 3)."""
        flat = self.origin + points[..., :1] * self.across + points[..., 1:] * self.up
        return np.asarray(flat + np.asarray(height)[..., None] * self.towards_wheel)


def panel_frame(well: WheelWell, wheel_centre: Array) -> PanelFrame:
    """Mean plane of a panel's points by least squares, seen from the wheel."""
    points = np.array(well.panel)
    origin = points.mean(axis=0)
    normal = np.linalg.svd(points - origin)[2][2]
    normal = normal if normal @ (wheel_centre - origin) > 0 else -normal
    vertical = np.array([0.0, 0.0, 1.0])
    across = np.cross(vertical, normal)
    if float(np.linalg.norm(across)) < 0.1:
        across = np.cross(np.array([1.0, 0.0, 0.0]), normal)
    across = unit(across)
    up = np.cross(normal, across)
    offset = points - origin
    outline = np.column_stack([offset @ across, offset @ up])
    return PanelFrame(origin, across, up, normal, float(np.abs(offset @ normal).max()), outline)


def reach(solid: Revolved, centres: Array, axes: Array, direction: Array) -> Array:
    """How far a tyre's solid in poses (n, 3) reaches along unit vectors: (n,) for one, (n, m) for (3, m); mm from the
    car's origin.

    Support function of a disc with rounded shoulders: half width and radius along the direction, each less the
    shoulder radius, and the shoulder radius itself.
    """
    tilt = np.abs(axes @ direction)
    half, radius = (solid.far - solid.near) / 2 - solid.rounding, solid.outer - solid.rounding
    out = half * tilt + radius * np.sqrt(np.maximum(1 - tilt**2, 0)) + solid.rounding
    return np.asarray(centres @ direction + out)


def depths(solid: Revolved, centres: Array, axes: Array, frame: PanelFrame) -> Array:
    """How far the tyre reaches through a panel's plane in each pose, mm, negative when it stays short of it."""
    behind = -frame.towards_wheel
    return np.asarray(reach(solid, centres, axes, behind) - frame.origin @ behind)


def outside_by(outline: Array, point: Array) -> float:
    """How far a point lies outside of a convex outline (k, 2), mm; negative inside."""
    middle = outline.mean(axis=0)
    worst = -math.inf
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        edge = (b - a) / float(np.hypot(*(b - a)))
        normal = np.array([edge[1], -edge[0]])
        if normal @ (middle - a) > 0:
            normal = -normal
        worst = max(worst, float(normal @ (point - a)))
    return worst
