"""The lower arm: the link that is cut, its other leg, and the forces at its pivots."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from solver.car import CornerPoints
from solver.clearance import arm_angle_of
from solver.corner import Pose
from solver.front_end import Link
from solver.vectors import Array, cross, length, rotate, unit

ALONG, LEVEL, SQUARE = 0, 1, 2
"""Axes of the arm: along the link outwards, in the arm's plane square to it, square to that plane."""


class LinkLoads(NamedTuple):
    """Forces and bending of the lengthened link for any number of loads (k,); mm, N.

    A link that starts between the pivots is a cantilever: its moment grows from the ball joint inwards. One that
    starts at a pivot is pinned there and held in the arm's plane by the other leg, a two-force member: a beam with an
    overhang, whose moment is largest where the leg joins it.

    whole: ball joint to start; leg: ball joint to the other leg's joint, infinite for a cantilever
    ball: (k, 3) force of the knuckle on the link's end, axes of the arm
    push, couple: (k, 3) force of a stop bracket on the arm and its moment about the ball joint; pad_at: mm from the
        ball joint from which on they act, infinite where there is none
    leg_force: positive in tension; leg_along, leg_level: the leg's direction in the arm's plane
    """

    whole: Array
    leg: Array
    ball: Array
    push: Array
    couple: Array
    pad_at: Array
    leg_force: Array
    leg_along: Array
    leg_level: Array

    def axial(self, from_ball: float | Array) -> Array:
        """Force along the link at a distance from the ball joint, positive in tension."""
        force = self.ball[:, ALONG] + (from_ball >= self.pad_at) * self.push[:, ALONG]
        return np.asarray(force + (from_ball > self.leg) * self.leg_force * self.leg_along)

    def level_moment(self, from_ball: float | Array) -> Array:
        """Bending moment in the arm's plane, N mm, signed."""
        pad = from_ball * self.push[:, LEVEL] + self.couple[:, SQUARE]
        moment = from_ball * self.ball[:, LEVEL] + (from_ball >= self.pad_at) * pad
        beyond = np.where(from_ball > self.leg, from_ball - self.leg, 0.0)
        return np.asarray(moment + beyond * self.leg_force * self.leg_level)

    def moment(self, from_ball: float | Array) -> Array:
        """Size of the bending moment, N mm."""
        pad = self.couple[:, LEVEL] - from_ball * self.push[:, SQUARE]
        square = (from_ball >= self.pad_at) * pad - from_ball * self.ball[:, SQUARE]
        return np.hypot(self.level_moment(from_ball), square)

    def torque(self, from_ball: float | Array) -> Array:
        """Moment about the link, N mm: nothing but what a stop bracket makes."""
        return np.asarray((from_ball >= self.pad_at) * self.couple[:, ALONG])


def link_loads(
    link: Link,
    extension: float,
    pose: Pose,
    on_arm: Array,
    push: Array | None = None,
    at: Array | None = None,
) -> LinkLoads:
    """The link's loads from the force of the knuckle on the arm, (k, 3) over as many poses, car axes.

    push, at: force of a stop bracket on the arm, and the place in the car that it acts at
    """
    corner = pose.corner
    along_rest = link.along
    square_rest = unit(cross(along_rest, corner.pivot_axis))
    square_rest = square_rest * np.sign(square_rest[2])
    level_rest = cross(square_rest, along_rest)
    # The car's vectors are turned back with the arm, all axes at once.
    axes = np.stack([along_rest, level_rest, square_rest], axis=-1)
    angle = -arm_angle_of(pose)

    def in_arm(vector: Array) -> Array:
        return np.asarray(rotate(vector, corner.pivot_axis, angle) @ axes)

    ball = in_arm(on_arm)
    count = len(ball)
    whole = link.length + extension
    pushed, couple, pad_at = np.zeros_like(ball), np.zeros_like(ball), np.full(count, np.inf)
    if push is not None and at is not None:
        pushed, couple = in_arm(push), in_arm(cross(at - pose.ball_joint, push))
        pad_at = np.maximum(0.0, -in_arm(at - pose.ball_joint)[:, ALONG])
    if link.leg is None:
        return LinkLoads(
            np.full(count, whole), np.full(count, np.inf), ball, pushed, couple, pad_at, *np.zeros((3, count))
        )
    # The leg's joint moves outwards with the ball joint; the leg has to be made longer to meet it there.
    joint = link.start + (whole - link.leg) * link.along
    leg = unit(link.leg_pivot - joint)
    leg_along, leg_level = float(leg @ along_rest), float(leg @ level_rest)
    # Moments in the arm's plane about the link's pinned start.
    turning = couple[:, SQUARE] + whole * (ball[:, LEVEL] + pushed[:, LEVEL])
    force = -turning / ((whole - link.leg) * leg_level)
    sizes = (np.full(count, size) for size in (whole, link.leg, leg_along, leg_level))
    wholes, legs, alongs, levels = sizes
    return LinkLoads(wholes, legs, ball, pushed, couple, pad_at, force, alongs, levels)


def pivot_loads(
    points: CornerPoints, pose: Pose, on_arm: Array, push: Array | None = None, at: Array | None = None
) -> Array:
    """Radial forces on the arm's front and rear pivot and the thrust along their axis, (3, k), N.

    A rigid arm on two pivots; how they share the thrust depends on their bushes, so each may have to take it alone.
    """
    front, rear = np.array(points.arm_front_pivot), np.array(points.arm_rear_pivot)
    apart = float(length(front - rear))
    axis = unit(front - rear)
    whole, turning = on_arm, cross(pose.ball_joint - rear, on_arm)
    if push is not None and at is not None:
        whole, turning = whole + push, turning + cross(at - rear, push)
    at_front = cross(axis, turning) / apart
    thrust = whole @ axis
    at_rear = thrust[:, None] * axis - whole - at_front
    return np.stack([length(at_front), length(at_rear), np.abs(thrust)])
