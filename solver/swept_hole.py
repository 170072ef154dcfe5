"""What the swept tyre takes out of a nearly flat panel: how deep it reaches and where it comes through."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.car import Side, WheelWell
from solver.front_end import FrontEnd
from solver.sweep import sweep
from solver.tyre import Tyre
from solver.vectors import Array, unit

if TYPE_CHECKING:
    from numpy.typing import NDArray

GRID = 16.0
"""Pitch in mm of the points on the panel that are tried for the hole's first outline."""


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

    def to_car(self, points: Array, height: float = 0.0) -> Array:
        """Points (k, 2) of the plane, lifted by ``height`` mm towards the wheel, in car axes (k, 3)."""
        flat = self.origin + points[..., :1] * self.across + points[..., 1:] * self.up
        return np.asarray(flat + height * self.towards_wheel)


@dataclass(frozen=True, eq=False)
class TyreSweep:
    """Wheel centres and axes (n, 3) of every pose of one wheel's sweep that matters, with its grown tyre."""

    tyre: Tyre
    centres: Array
    axes: Array

    def distance(self, points: Array) -> Array:
        """Least distance in mm from points (k, 3) to the tyre over the sweep."""
        return np.asarray(self.tyre.distance(points[:, None, :], self.centres, self.axes).min(axis=1))

    def depth(self, frame: PanelFrame) -> Array:
        """How far the tyre reaches through a plane in each pose, mm, negative when it stays short of it.

        Support function of a disc with rounded shoulders: centre, half width and radius along the plane's
        normal, each less the shoulder radius, and the shoulder radius itself.
        """
        tyre = self.tyre
        behind = -frame.towards_wheel
        tilt = np.abs(self.axes @ behind)
        rounding = tyre.shoulder_radius
        half, radius = tyre.section_width / 2 - rounding, tyre.outside_diameter / 2 - rounding
        reach = half * tilt + radius * np.sqrt(np.maximum(1 - tilt**2, 0)) + rounding
        return np.asarray((self.centres - frame.origin) @ behind + reach)

    def only(self, keep: NDArray[np.bool_]) -> TyreSweep:
        """The poses for which ``keep`` is true."""
        return TyreSweep(self.tyre, self.centres[keep], self.axes[keep])


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


def tyre_sweeps(front_end: FrontEnd, racks: dict[Side, float]) -> dict[Side, TyreSweep]:
    """Every pose of each wheel between its locks, at ``racks`` mm for each turn, over all suspension travel."""
    swept = sweep(front_end, racks, points=25, travels=9)
    tyre = front_end.tyre.grown()
    found: dict[Side, TyreSweep] = {}
    for assembly in front_end.sides:
        pose = swept.pose(assembly.side)
        keep = pose.reachable
        found[assembly.side] = TyreSweep(tyre, pose.wheel_centre[keep], pose.spin_axis[keep])
    return found


def hole_points(swept: TyreSweep, frame: PanelFrame, gap: float, depths: tuple[float, ...]) -> Array:
    """Points (k, 2) of the panel's plane over which the tyre comes within ``gap`` at any of the depths.

    ``depths`` are mm behind the plane, negative towards the wheel.
    """
    low, high = frame.outline.min(axis=0) - GRID, frame.outline.max(axis=0) + GRID
    axes = [np.arange(a, b + GRID, GRID) for a, b in zip(low, high, strict=True)]
    plane = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    found = [plane[swept.distance(frame.to_car(plane, -depth)) < gap] for depth in depths]
    return np.concatenate(found)


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
