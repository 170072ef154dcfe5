"""What must not fall below a threshold while the wheels are steered: margins, gaps and joint angles over a sweep."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from solver.body.revolved import tyre_solid
from solver.car import Goal, Side, WheelWell
from solver.clearance import gap, obstacles
from solver.corner import Pose, over_centre_angle
from solver.front_end import Assembly, FrontEnd, points_of
from solver.joints import articulation, limited
from solver.panel import PanelFrame, depths, outside_by, panel_frame
from solver.tyre import Tyre, nearest_point_distance
from solver.vectors import Array

if TYPE_CHECKING:
    from collections.abc import Mapping

OVER_CENTRE = "over-centre margin"
TYRE_ON = "tyre on "
TOLD = 10.0
"""Gaps are exact up to this much over the wanted clearance, mm; beyond, all that is told is that they are larger."""
PAST_OVER_CENTRE = -1e-3
"""Margin of a pose that can't be reached, rad: less than none, so that it also falls short of a goal of none."""
Unit = Literal["mm", "rad"]


@dataclass(frozen=True, eq=False)
class Margin:
    """One quantity of one wheel over the sweep.

    values: (2, n, m), turn × rack × travel; infinite where it says nothing
    threshold: that it must not fall below, in its unit
    counts: whether it ends the lock. A panel that is cut away doesn't, nor does what steering can't change.
    """

    name: str
    side: Side
    values: Array
    threshold: float
    unit: Unit
    counts: bool = True


def margins_of(front_end: FrontEnd, goal: Goal, poses: Mapping[Side, Pose]) -> Iterator[Margin]:
    """Every quantity of both wheels, for poses of each side (2, n, m)."""
    for assembly in front_end.sides:
        pose = poses[assembly.side]
        yield from _over_centre(assembly, goal, pose)
        yield from _bars(front_end, assembly, goal, pose)
        yield from _joints(front_end, assembly, pose)
        yield from _wells(front_end, assembly, goal, pose)


def over_centre_margin(pose: Pose) -> Array:
    """Over-centre margin of each pose in radians, `PAST_OVER_CENTRE` where it can't be reached."""
    return np.where(pose.reachable, np.nan_to_num(over_centre_angle(pose)), PAST_OVER_CENTRE)


def _over_centre(assembly: Assembly, goal: Goal, pose: Pose) -> Iterator[Margin]:
    angle = over_centre_margin(pose)
    # Only a wheel whose margin shrinks with the turn can come over centre in it.
    angle = np.minimum.accumulate(angle, axis=1)
    yield Margin(OVER_CENTRE, assembly.side, angle, goal.over_centre_margin, "rad")


def _bars(front_end: FrontEnd, assembly: Assembly, goal: Goal, pose: Pose) -> Iterator[Margin]:
    tyre = front_end.tyre.grown()
    for obstacle in obstacles(front_end, assembly):
        turns = obstacle.fixed_to == "knuckle"
        # What turns with the wheel is as near in one pose as in any other.
        seen = _first(pose) if turns else pose
        gaps = np.nan_to_num(gap(tyre, obstacle, seen, enough=goal.clearance + TOLD), nan=np.inf)
        values = np.broadcast_to(gaps, pose.reach.shape)
        yield Margin(
            f"{TYRE_ON}{obstacle.name}", assembly.side, values, goal.clearance, "mm", counts=not turns
        )


def _first(pose: Pose) -> Pose:
    """The first pose alone, in an array of as many axes."""
    axes = pose.reach.ndim
    cut = (slice(0, 1),) * axes
    arrays: dict[str, Any] = {
        name: value[cut] for name, value in vars(pose).items() if isinstance(value, np.ndarray)
    }
    return replace(pose, **arrays)


def _joints(front_end: FrontEnd, assembly: Assembly, pose: Pose) -> Iterator[Margin]:
    limits = front_end.car.joints
    if limits is None:
        return
    bent = articulation(points_of(front_end.car, assembly.side), pose)
    for name, limit, angle in limited(limits, bent, pose):
        yield Margin(name, assembly.side, np.nan_to_num(limit - angle, nan=np.inf), 0.0, "rad")


def _wells(front_end: FrontEnd, assembly: Assembly, goal: Goal, pose: Pose) -> Iterator[Margin]:
    for well in front_end.car.wheel_wells:
        if well.side == assembly.side:
            gaps = panel_gaps(front_end, well, pose, goal.clearance)
            yield Margin(
                f"{TYRE_ON}{well.name}, uncut", assembly.side, gaps, goal.clearance, "mm", counts=False
            )


def panel_gaps(front_end: FrontEnd, well: WheelWell, pose: Pose, enough: float) -> Array:
    """Gap in mm between the grown tyre and a panel as it was measured, in each pose; exact where it is less than
    ``enough``, and no less than that elsewhere.

    The tyre's foremost point square to the panel's plane tells the gap where it lies over the panel. Where it lies
    beside it the panel's edge is nearest: `solver.tyre.nearest_point_distance` along each.
    """
    tyre = front_end.tyre.grown()
    straight = pose.wheel_centre.reshape(-1, 3)[0]
    frame = panel_frame(well, straight)
    shape = pose.reach.shape
    centres, axes = pose.wheel_centre.reshape(-1, 3), pose.spin_axis.reshape(-1, 3)
    through = depths(tyre_solid(tyre), centres, axes, frame)
    gaps = np.where(pose.reachable.ravel(), np.nan_to_num(-through, nan=np.inf), np.inf)
    for i in np.flatnonzero(gaps < enough).tolist():
        centre, axis = centres[i], axes[i]
        beside = outside_by(frame.outline, _foremost(tyre, centre, axis, frame))
        if beside > 0:
            near = beside < 2 * tyre.outside_diameter
            gaps[i] = _edge_gap(tyre, centre, axis, frame) if near else math.inf
    return np.asarray(gaps.reshape(shape))


def _foremost(tyre: Tyre, centre: Array, axis: Array, frame: PanelFrame) -> Array:
    """The tyre's foremost point towards a panel in one pose, in the panel's plane (2,)."""
    behind = -frame.towards_wheel
    along = float(axis @ behind)
    radial = behind - along * axis
    size = float(np.linalg.norm(radial))
    rounding = tyre.shoulder_radius
    point = centre + math.copysign(tyre.section_width / 2 - rounding, along) * axis + rounding * behind
    if size > 1e-9:
        point = point + (tyre.outside_diameter / 2 - rounding) / size * radial
    offset = point - frame.origin
    return np.array([offset @ frame.across, offset @ frame.up])


def _edge_gap(tyre: Tyre, centre: Array, axis: Array, frame: PanelFrame) -> float:
    corners = frame.to_car(frame.outline)
    ends = np.roll(corners, -1, axis=0)
    centre, axis = np.broadcast_to(centre, corners.shape), np.broadcast_to(axis, corners.shape)
    return float(nearest_point_distance(tyre, corners, ends, centre, axis).min())
