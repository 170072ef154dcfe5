"""What is read off a pose, each measure defined once. Angles in radians, lengths in mm, axes of ISO 8855."""

from __future__ import annotations

import math

import numpy as np

from solver.corner import Pose
from solver.vectors import Array, dot


def steer_angle(pose: Pose) -> Array:
    """Angle between the x axis and the wheel plane's trace on the ground, positive to the left (ISO 8855)."""
    spin = pose.spin_axis
    return np.arctan2(-spin[..., 0], spin[..., 1])


def camber_angle(pose: Pose) -> Array:
    """Angle of the wheel plane to the vertical, negative when the top leans in."""
    return -pose.corner.side * np.arcsin(pose.spin_axis[..., 2])


def caster_angle(pose: Pose) -> Array:
    """Lean of the steering axis in side view, positive when its top is further back (ISO 8855)."""
    axis = pose.steering_axis
    return np.arctan2(-axis[..., 0], axis[..., 2])


def inclination_angle(pose: Pose) -> Array:
    """Lean of the steering axis in front view, positive when its top is further in (ISO 8855)."""
    axis = pose.steering_axis
    return np.arctan2(-pose.corner.side * axis[..., 1], axis[..., 2])


def contact_centre(pose: Pose, loaded_radius: float) -> Array:
    """Lowest point of a thin disc in the wheel's centre plane, shape (..., 3)."""
    spin = pose.spin_axis
    down = np.zeros_like(spin)
    down[..., 2] = -1.0
    in_plane = down - spin * dot(down, spin)[..., None]
    return pose.wheel_centre + loaded_radius * in_plane / np.sqrt(dot(in_plane, in_plane))[..., None]


def axis_on_ground(pose: Pose, height: Array) -> Array:
    """Where the steering axis meets the level plane at ``height``, shape (..., 3)."""
    axis = pose.steering_axis
    share = (height - pose.ball_joint[..., 2]) / axis[..., 2]
    return pose.ball_joint + share[..., None] * axis


def scrub_radius_and_trail(pose: Pose, loaded_radius: float) -> tuple[Array, Array]:
    """Scrub radius and mechanical trail, in the wheel's own frame at the height of its contact centre.

    Scrub radius is positive when the contact centre is outside of the steering axis, trail when it is
    behind it.
    """
    contact = contact_centre(pose, loaded_radius)
    offset = axis_on_ground(pose, contact[..., 2]) - contact
    steer = steer_angle(pose)
    ahead = offset[..., 0] * np.cos(steer) + offset[..., 1] * np.sin(steer)
    to_left = -offset[..., 0] * np.sin(steer) + offset[..., 1] * np.cos(steer)
    return -pose.corner.side * to_left, ahead


def ideal_outer_angle(inner: Array, axis_distance: Array, wheelbase: float) -> Array:
    """Steer angle of the outer wheel without slip: cot(outer) = cot(inner) + axis distance / wheelbase."""
    inner = np.asarray(inner, float)
    size = np.abs(inner)
    result: Array = np.sign(inner) * np.arctan2(
        np.sin(size), np.cos(size) + np.sin(size) * axis_distance / wheelbase
    )
    return result


def percent_ackermann(inner: Array | float, outer: Array | float, ideal_outer: Array | float) -> Array:
    """100 (inner − outer) / (inner − ideal outer). Other definitions exist and disagree with this one by a lot."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return 100 * np.subtract(inner, outer) / np.subtract(inner, ideal_outer)


def kerb_to_kerb(outer: float, contact_ahead: float, wheelbase: float, section_width: float) -> float:
    """Turning circle between kerbs, mm: twice the radius of the outer front tyre's outer edge.

    The outer front wheel rolls without slip about a centre on the rear axle's line: its contact centre,
    ``contact_ahead`` of the front axle's line, runs on a radius of (wheelbase + contact_ahead) / sin(outer).
    """
    return 2 * ((wheelbase + contact_ahead) / math.sin(abs(outer)) + section_width / 2)
