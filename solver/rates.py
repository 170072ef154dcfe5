"""How a pose moves when the arm or the rack does: exact derivatives, without a step to choose.

The knuckle is a rigid body, so its motion is the velocity v of the ball joint and an angular velocity w. The
damper axis is fixed in the knuckle and passes through the strut top, which the body holds: the knuckle's point
there moves along the damper, v + w × (L k) ∥ d with the steering axis k, its length L to the strut top and the
damper's direction d. That gives the part of w square to k. The tie rod keeps its length, and that gives the part
along k. Derived by us; the tests compare it with differences of poses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.corner import Pose
from solver.vectors import Array, apply, cross, dot, length


@dataclass(frozen=True, eq=False)
class Motion:
    """Motion of the knuckle in each pose: per radian of arm angle, or per mm of rack displacement.

    ball: velocity of the ball joint, (..., 3), mm
    turn: angular velocity of the knuckle, (..., 3), rad

    NaN where the pose doesn't exist; not finite where it is exactly over-centre.
    """

    pose: Pose
    ball: Array
    turn: Array

    def point(self, at: Array) -> Array:
        """Velocity of the knuckle's point that is at ``at``, (..., 3), in the pose."""
        return self.ball + cross(self.turn, at - self.pose.ball_joint)


def moved_by_arm(pose: Pose) -> Motion:
    """Motion per radian of arm angle, the rack held."""
    corner, axis = pose.corner, pose.steering_axis
    axle = np.broadcast_to(corner.pivot_axis, axis.shape)
    ball = cross(axle, pose.ball_joint - corner.pivot)
    damper = apply(pose.rotation, corner.damper_direction)
    along = dot(ball, axis) / dot(damper, axis)
    # The strut top's share of the motion, less that of the ball joint, over the distance of the two.
    lean = (along[..., None] * damper - ball) / length(corner.strut_top - pose.ball_joint)[..., None]
    return _with_tie_rod(pose, ball, cross(axis, lean), np.zeros(3))


def moved_by_rack(pose: Pose) -> Motion:
    """Motion per mm of rack displacement to the left, the arm held: a turn about the steering axis."""
    still = np.zeros_like(pose.steering_axis)
    return _with_tie_rod(pose, still, still, pose.corner.rack_direction)


def _with_tie_rod(pose: Pose, ball: Array, lean: Array, inner: Array) -> Motion:
    """Adds the turn about the steering axis that keeps the tie rod's length; ``inner`` is its inner end's velocity."""
    axis, pickup = pose.steering_axis, pose.pickup
    arm, rod = pickup - pose.ball_joint, pickup - pose.inner_joint
    lever = dot(cross(axis, arm), rod)
    with np.errstate(divide="ignore", invalid="ignore"):
        about_axis = dot(inner - ball - cross(lean, arm), rod) / lever
        return Motion(pose, ball, lean + about_axis[..., None] * axis)


def steer_rate(motion: Motion) -> Array:
    """Rate of the steer angle (`solver.measures.steer_angle`), rad."""
    spin = motion.pose.spin_axis
    moved = cross(motion.turn, spin)
    level = spin[..., 0] ** 2 + spin[..., 1] ** 2
    rate: Array = (spin[..., 0] * moved[..., 1] - spin[..., 1] * moved[..., 0]) / level
    return rate


def camber_rate(motion: Motion) -> Array:
    """Rate of the camber (`solver.measures.camber_angle`), rad."""
    spin = motion.pose.spin_axis
    rise = cross(motion.turn, spin)[..., 2]
    return -motion.pose.corner.side * rise / np.sqrt(1 - spin[..., 2] ** 2)


def contact_rate(motion: Motion, loaded_radius: float) -> Array:
    """Rate of the contact centre (`solver.measures.contact_centre`), (..., 3), mm.

    The contact centre is the disc's lowest point and no point of the knuckle: it stays lowest while the knuckle
    turns about the wheel's axis.
    """
    pose = motion.pose
    spin = pose.spin_axis
    moved = cross(motion.turn, spin)
    tilt, rise = spin[..., 2:], moved[..., 2:]
    level = np.sqrt(1 - tilt**2)
    # In the wheel's plane straight down: u = (s sz − z) / √(1 − sz²) with the wheel's axis s.
    down = spin * tilt
    down[..., 2] -= 1.0
    swing = (moved * tilt + spin * rise) / level + down * tilt * rise / level**3
    rate: Array = motion.point(pose.wheel_centre) + loaded_radius * swing
    return rate
