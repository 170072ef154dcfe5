"""How far the joints of a corner are bent, and the thread that is left on its tie rod.

A joint has a free direction and a bent one. A tie-rod end turns freely about its stud, and a ball joint about
its own: that is what steering does to them. What their housings limit is the tilt of the stud, and it is counted
from where the joint stood as the car was measured.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.assembling import Points, arrays_of
from solver.car import Car, CornerPoints, JointLimits
from solver.clearance import in_arm
from solver.corner import Pose
from solver.front_end import Assembly
from solver.vectors import Array, apply, cross, dot, length, unit

INNER_JOINT = "inner tie-rod joint"
OUTER_JOINT = "outer tie-rod joint"
BALL_JOINT = "ball joint"


@dataclass(frozen=True, eq=False)
class Articulation:
    """Angles of one corner's joints in each pose, rad, not negative; shape of the poses, NaN where they are.

    rod_inner: between the tie rod and its measured direction, seen from the body
    rod_outer: of the tie rod out of the plane square to its stud, the stud carried by the knuckle
    rod_swing: between the tie rod and its measured direction, both seen from the knuckle. Most of it is the free
        turn about the stud, so no joint's limit applies to it; it tells where a boot or a grease nipple ends up.
    ball_joint: between the measured steering axis carried by the knuckle and the same carried by the arm
    """

    rod_inner: Array
    rod_outer: Array
    rod_swing: Array
    ball_joint: Array

    def left(self, limits: JointLimits) -> dict[str, float | None]:
        """For each joint, rad left to its limit in the worst pose that exists: negative past it, None without."""
        found: dict[str, float | None] = {}
        for name, limit in vars(limits).items():
            angles = getattr(self, name)
            angles = angles[np.isfinite(angles)]
            found[name] = float(limit - angles.max()) if limit is not None and angles.size else None
        return found


def articulation(points: CornerPoints, pose: Pose, stud: Array | None = None) -> Articulation:
    """Joint angles of one corner in each pose; ``points`` are that corner's as measured.

    ``stud``: direction of the outer tie-rod stud as measured, (3,), of any length. Without it the stud is taken
    to stand square to the measured rod and as upright as that allows, which is how it is fitted. A pickup that
    was moved is taken to keep the stud's direction.
    """
    return bent_joints(arrays_of(points), pose, stud)


def bent_joints(points: Points, pose: Pose, stud: Array | None = None) -> Articulation:
    """The same for points that are broadcast against the poses, so that a stack may hold corners of both sides."""
    rest = unit(points["pickup"] - points["inner_joint"])
    upright = np.array([0.0, 0.0, 1.0]) if stud is None else np.asarray(stud, float)
    pin = unit(upright - rest * dot(upright, rest)[..., None]) if stud is None else unit(upright)
    axis = unit(points["strut_top"] - points["ball_joint"])
    rod = unit(pose.pickup - pose.inner_joint)
    shape = rod.shape
    in_knuckle = apply(pose.rotation, axis)
    pivot = pose.corner.pivot
    by_arm = in_arm(np.broadcast_to(pivot + axis, shape), pose) - pivot
    # From 90° at rest, or from whatever a given stud makes of it.
    tilt = np.arcsin(np.clip(dot(rod, apply(pose.rotation, pin)), -1.0, 1.0))
    return Articulation(
        rod_inner=_between(rod, np.broadcast_to(rest, shape)),
        rod_outer=np.abs(tilt - np.arcsin(dot(rest, pin))),
        rod_swing=_between(rod, apply(pose.rotation, rest)),
        ball_joint=_between(in_knuckle, by_arm),
    )


def limited(limits: JointLimits, bent: Articulation, pose: Pose) -> Iterator[tuple[str, float, Array]]:
    """Each joint whose limit is known: its name, the limit, and by how much it is bent in each pose; rad."""
    each = (
        (INNER_JOINT, limits.rod_inner, rod_to_rack(pose)),
        (OUTER_JOINT, limits.rod_outer, bent.rod_outer),
        (BALL_JOINT, limits.ball_joint, bent.ball_joint),
    )
    for name, limit, angle in each:
        if limit is not None:
            yield name, limit, angle


def rod_to_rack(pose: Pose) -> Array:
    """Angle between the tie rod and the rack's axis, rad: what the inner joint is bent by, its housing being screwed
    on the rack."""
    along = np.broadcast_to(pose.corner.side * pose.corner.rack_direction, pose.pickup.shape)
    return _between(unit(pose.pickup - pose.inner_joint), along)


def thread_left(car: Car, assembly: Assembly) -> tuple[float, float] | None:
    """How far, mm, the tie rod can still be screwed out and in within the range of the rods at hand.

    Negative where the rod would have to be that much beyond the range; None when the car doesn't say what the
    rods at hand adjust to.
    """
    if car.tie_rod_range is None:
        return None
    shortest, longest = car.tie_rod_range
    rod = float(assembly.corner.tie_rod)
    return longest - rod, rod - shortest


def _between(a: Array, b: Array) -> Array:
    """Angle between unit vectors, rad; exact for small angles too, where the arc cosine is not."""
    return np.arctan2(length(cross(a, b)), dot(a, b))
