"""One front corner in closed form: arm angle and rack displacement in, pose of the knuckle out.

The knuckle and the strut's lower half are one rigid body. The ball joint lies on a circle about the arm's
pivots; the damper axis, fixed in the knuckle, passes through the strut top, which leaves a quadratic for its
length; the last freedom, a turn about the steering axis, follows from the tie rod's length as
A cos d + B sin d = C. Its two roots are the two ways to assemble the linkage and meet at over-centre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.vectors import (
    Array,
    apply,
    cross,
    dot,
    length,
    rotate,
    rotation_about,
    rotation_between,
    spread,
    unit,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Reach(IntEnum):
    """Whether a pose exists, and if not, what fails."""

    REACHABLE = 0
    OVER_CENTRE = 1
    STRUT_TOO_SHORT = 2


@dataclass(frozen=True, eq=False)
class Corner:
    """Geometry of one corner, or of a stack of n that are posed together; mm, car axes.

    Arrays have shape (3,), in a stack (n, 3); ``tie_rod`` and ``branch`` (), in a stack (n,).
    Points marked *knuckle* are fixed in the knuckle and given in the car axes of the measured pose;
    ``arm_ball`` is fixed in the arm, ``knuckle_ball`` in the knuckle, and they meet in the ball joint.

    side: +1 left, −1 right
    pivot, pivot_axis: a point on the arm's axis and its unit vector; a positive arm angle lifts the ball joint
    tie_rod: length between joint centres
    branch: +1 or −1, which of the two ways the linkage is assembled
    """

    side: int
    pivot: Array
    pivot_axis: Array
    arm_ball: Array
    strut_top: Array
    inner_joint: Array
    rack_direction: Array
    knuckle_ball: Array
    damper_point: Array
    damper_direction: Array
    pickup: Array
    wheel_centre: Array
    spin_axis: Array
    tie_rod: Array
    branch: Array

    def over(self, axes: int) -> Corner:
        """The same with ``axes`` axes of length 1 behind a stack's own, so that it broadcasts over a grid of poses."""
        if self.pickup.ndim == 1 or not axes:
            return self
        n, ones = len(self.pickup), (1,) * axes
        spread: dict[str, Any] = {
            name: value.reshape(n, *ones, *value.shape[1:])
            for name, value in vars(self).items()
            if isinstance(value, np.ndarray)
        }
        return replace(self, **spread)


@dataclass(frozen=True, eq=False)
class Pose:
    """Poses of one corner; points in mm and car axes, shape (..., 3).

    Where ``reach`` is not REACHABLE no pose exists and all numbers of that place are NaN: look at ``reach``
    before using them.

    closure: C / √(A² + B²) of the linkage's equation: the linkage closes where it is between −1 and 1, is over centre
        where it is one of them, and beyond tells how much is lacking
    """

    corner: Corner
    reach: NDArray[np.int8]
    ball_joint: Array
    steering_axis: Array
    rotation: Array
    inner_joint: Array
    damper_length: Array
    closure: Array

    @property
    def reachable(self) -> NDArray[np.bool_]:
        """True where a pose exists."""
        return np.asarray(self.reach == Reach.REACHABLE)

    def point(self, knuckle_point: Array) -> Array:
        """Where a point of the knuckle, given in the measured pose, is in each pose."""
        return self.ball_joint + apply(self.rotation, knuckle_point - self.corner.knuckle_ball)

    @property
    def pickup(self) -> Array:
        """Tie-rod pickup."""
        return self.point(self.corner.pickup)

    @property
    def wheel_centre(self) -> Array:
        """Wheel centre, in the wheel's centre plane."""
        return self.point(self.corner.wheel_centre)

    @property
    def spin_axis(self) -> Array:
        """Unit vector of the wheel's axis, pointing left."""
        return apply(self.rotation, self.corner.spin_axis)


def ball_joint_at(corner: Corner, arm_angle: Array) -> Array:
    """The ball joint for arm angles in radians, shape (..., 3)."""
    return corner.pivot + rotate(corner.arm_ball - corner.pivot, corner.pivot_axis, arm_angle)


def pose_corner(corner: Corner, arm_angle: Array, rack: Array) -> Pose:
    """Poses for arm angles in radians and rack displacements in mm (positive left), broadcast together.

    For a stack of n corners both have n or 1 as their first length.
    """
    arm_angle, rack = np.asarray(arm_angle, float), np.asarray(rack, float)
    shape = np.broadcast_shapes(arm_angle.shape, rack.shape)
    corner = corner.over(len(shape) - 1)
    # What hangs on the arm angle alone is not computed again for every rack displacement.
    ball, axis, level, damper_length = _hung_knuckle(corner, arm_angle)
    inner = corner.inner_joint + rack[..., None] * corner.rack_direction
    arm = apply(level, corner.pickup - corner.knuckle_ball)
    a, b, c = _rod_equation(arm, axis, inner - ball, corner.tie_rod)
    amplitude = np.hypot(a, b)
    with np.errstate(invalid="ignore"):
        closure = c / amplitude
        angle = np.arctan2(b, a) + corner.branch * np.arccos(closure)
    reach = np.where(np.abs(closure) <= 1.0, Reach.REACHABLE, Reach.OVER_CENTRE)
    reach = np.where(np.isfinite(damper_length), reach, Reach.STRUT_TOO_SHORT).astype(np.int8)
    rotation = rotation_about(axis, angle) @ level
    ball, axis, inner = (spread(item, (*shape, 3)) for item in (ball, axis, inner))
    return Pose(corner, reach, ball, axis, rotation, inner, spread(damper_length, shape), closure)


def pose_with_steer(corner: Corner, arm_angle: Array, steer: float | Array) -> tuple[Pose, Array]:
    """Poses with a given steer angle in radians and no tie rod, and the tie-rod length that would hold them.

    The wheel plane's trace has the direction h = (cos steer, sin steer, 0) where spin axis · h = 0, again
    A cos d + B sin d = C; the root nearest to the measured pose is taken.
    """
    arm_angle = np.asarray(arm_angle, float)
    corner = corner.over(arm_angle.ndim - 1)
    ball, axis, level, damper_length = _hung_knuckle(corner, arm_angle)
    heading = np.stack([np.cos(steer), np.sin(steer), np.zeros_like(steer)], axis=-1)
    spin = apply(level, corner.spin_axis)
    along = dot(spin, axis) * dot(axis, heading)
    a, b, c = dot(spin, heading) - along, dot(cross(axis, spin), heading), -along
    with np.errstate(invalid="ignore"):
        half = np.arccos(c / np.hypot(a, b))
    middle = np.arctan2(b, a)
    roots = [_wrap(middle + half), _wrap(middle - half)]
    angle = np.where(np.abs(roots[0]) < np.abs(roots[1]), roots[0], roots[1])
    rotation = rotation_about(axis, angle) @ level
    inner = np.broadcast_to(corner.inner_joint, axis.shape)
    reach = np.where(np.isfinite(damper_length), Reach.REACHABLE, Reach.STRUT_TOO_SHORT).astype(np.int8)
    pose = Pose(corner, reach, ball, axis, rotation, inner, damper_length, np.zeros_like(damper_length))
    return pose, length(pose.pickup - inner)


def branch_at(pose: Pose) -> Array:
    """Which of the two assemblies each pose is, +1 or −1: from the sign of the tie rod's lever about the axis."""
    arm = pose.pickup - pose.ball_joint
    lever = dot(pose.steering_axis, cross(arm, pose.inner_joint - pose.ball_joint))
    return np.where(lever > 0, -1.0, 1.0)


def over_centre_angle(pose: Pose) -> Array:
    """How far steering arm and tie rod are from a straight line, in the plane square to the steering axis; rad."""
    axis = pose.steering_axis
    arm = pose.pickup - pose.ball_joint
    rod = pose.inner_joint - pose.pickup
    sine = np.abs(dot(axis, cross(arm, rod)))
    arm = arm - axis * dot(axis, arm)[..., None]
    rod = rod - axis * dot(axis, rod)[..., None]
    return np.arctan2(sine, np.abs(dot(arm, rod)))


def over_centre_rack(corner: Corner, arm_angle: float) -> tuple[float, float]:
    """Rack displacements in mm at which the linkage goes over centre, nearest below and above zero.

    With the arm at rest A and B are linear in the rack displacement and C quadratic, so over-centre,
    A² + B² = C², is a quartic. Infinite where there is none on that side.
    """
    ball, axis, level, _ = _hung_knuckle(corner, np.asarray(arm_angle, float))
    arm = apply(level, corner.pickup - corner.knuckle_ball)
    samples = np.linspace(-200.0, 200.0, 5)
    inner = corner.inner_joint + samples[:, None] * corner.rack_direction
    a, b, c = _rod_equation(arm, axis, inner - ball, corner.tie_rod)
    scaled = samples / 200.0
    quartic = np.linalg.solve(np.vander(scaled, 5), a**2 + b**2 - c**2)
    roots = np.roots(quartic) * 200.0
    real = roots[np.abs(roots.imag) < 1e-6 * (1 + np.abs(roots))].real
    below, above = real[real < 0], real[real > 0]
    return (
        float(below.max()) if below.size else -np.inf,
        float(above.min()) if above.size else np.inf,
    )


def _hung_knuckle(corner: Corner, arm_angle: Array) -> tuple[Array, Array, Array, Array]:
    """Ball joint, steering axis, the rotation that lays the knuckle on that axis, and damper length."""
    ball = ball_joint_at(corner, arm_angle)
    to_top = corner.strut_top - ball
    offset = corner.damper_point - corner.knuckle_ball
    half = dot(offset, corner.damper_direction)
    discriminant = half**2 - dot(offset, offset) + dot(to_top, to_top)
    with np.errstate(invalid="ignore"):
        damper_length = -half + np.sqrt(discriminant)
    in_knuckle = unit(offset + damper_length[..., None] * corner.damper_direction)
    axis = unit(to_top)
    return ball, axis, rotation_between(in_knuckle, axis), damper_length


def _rod_equation(arm: Array, axis: Array, inner: Array, rod: Array) -> tuple[Array, Array, Array]:
    """A, B and C of the turn about the steering axis; ``arm`` and ``inner`` are seen from the ball joint."""
    along = dot(arm, axis) * dot(inner, axis)
    a = dot(arm, inner) - along
    b = dot(cross(axis, arm), inner)
    c = (dot(arm, arm) + dot(inner, inner) - rod**2) / 2 - along
    return a, b, c


def _wrap(angle: Array) -> Array:
    """Into −π to π."""
    result: Array = (angle + np.pi) % (2 * np.pi) - np.pi
    return result
