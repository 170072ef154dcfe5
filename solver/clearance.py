"""Gaps between the tyre's solid and everything else of the corner, over whole sweeps of poses."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.car import FixedTo
from solver.corner import Pose
from solver.front_end import Assembly, FrontEnd, link_of, moved_with_arm, points_of
from solver.tyre import Tyre, nearest_point_distance
from solver.vectors import Array, cross, dot, rotate

ARM_ROOT_SHARE = 0.85
"""Share of the link, from its inner end, that is taken as the arm. The rest is the ball joint's housing, which
lies inside the rim by design and turns with neither body nor wheel."""


@dataclass(frozen=True)
class Obstacle:
    """A round bar near one wheel; mm, car axes of the measured pose."""

    name: str
    start: Array
    end: Array
    radius: float
    fixed_to: FixedTo


def obstacles(front_end: FrontEnd, assembly: Assembly) -> Iterator[Obstacle]:
    """Arm, strut tube and the keep-clear objects of one side."""
    car = front_end.car
    points = points_of(car, assembly.side)
    link = link_of(car, assembly.side)
    reach = (link.length + front_end.changes.arm_extension) * ARM_ROOT_SHARE
    yield Obstacle("lower arm", link.start, link.start + link.along * reach, car.arm.clear_radius, "arm")
    foot = np.array(points.damper_point)
    up = assembly.corner.damper_direction
    yield Obstacle("strut tube", foot, foot + up * car.strut.tube_length, car.strut.tube_radius, "knuckle")
    for item in car.keep_clear:
        if item.side == assembly.side:
            ends = [np.array(item.start), np.array(item.end)]
            if item.fixed_to == "arm":
                extension = front_end.changes.arm_extension
                ends = [moved_with_arm(car, assembly.side, extension, end) for end in ends]
            yield Obstacle(item.name, ends[0], ends[1], item.radius, item.fixed_to)


def gap(tyre: Tyre, obstacle: Obstacle, pose: Pose, enough: float = math.inf) -> Array:
    """Gap in mm between an obstacle and the tyre's solid in each pose, negative where they overlap.

    NaN where the pose doesn't exist. Gaps over ``enough`` are told more coarsely, but never as less than that.
    """
    start, end = (_placed(point, obstacle.fixed_to, pose) for point in (obstacle.start, obstacle.end))
    distance = nearest_point_distance(
        tyre, start, end, pose.wheel_centre, pose.spin_axis, enough + obstacle.radius
    )
    return np.where(pose.reachable, distance - obstacle.radius, np.nan)


def _placed(point: Array, fixed_to: FixedTo, pose: Pose) -> Array:
    """A point of the measured pose, carried along by what it is fixed to."""
    if fixed_to == "knuckle":
        return pose.point(point)
    placed = np.broadcast_to(point, pose.ball_joint.shape)
    return in_arm(placed, pose) if fixed_to == "arm" else placed


def in_arm(point: Array, pose: Pose) -> Array:
    """A point fixed in the arm, given in the measured pose, in each pose; shapes (..., 3)."""
    corner = pose.corner
    return corner.pivot + rotate(point - corner.pivot, corner.pivot_axis, arm_angle_of(pose))


def in_arm_frame(pose: Pose, points: Array) -> Array:
    """Points of the car, turned back with the arm to where they are seen from the measured arm; shapes (..., 3)."""
    corner = pose.corner
    return corner.pivot + rotate(points - corner.pivot, corner.pivot_axis, -arm_angle_of(pose))


def arm_angle_of(pose: Pose) -> Array:
    """Arm angle in radians, read back from where the ball joint is."""
    corner = pose.corner
    rest = np.broadcast_to(corner.arm_ball - corner.pivot, pose.ball_joint.shape)
    now = pose.ball_joint - corner.pivot
    axis = corner.pivot_axis
    along = dot(rest, axis) * dot(now, axis)
    return np.arctan2(dot(cross(rest, now), axis), dot(rest, now) - along)
