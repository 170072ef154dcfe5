"""Statics of one corner in closed form, over whole arrays of poses and loads at once.

Knuckle, wheel and strut are one rigid body. Unknown are the arm's force at the ball joint (3), the body's at the strut
top (3) and the tie rod's tension (1); known are six equations of equilibrium and that the arm can carry no moment
about its pivots. Eliminated by hand, since the line from ball joint to strut top carries no moment about itself:
the rod follows from moments about it, the strut top's cross force from the moments square to it, its force along it
from the arm's pivots, and the ball joint from what is left.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from solver.corner import Pose
from solver.vectors import Array, cross, dot, length, unit


class Reactions(NamedTuple):
    """What a load makes in the members; N, shapes (...) and (..., 3), broadcast from loads and poses.

    ball_joint: force on the arm's outer end; strut_top: on the body; tie_rod: positive in tension
    pad: force of a stop's pad on the knuckle, 0 where none is met
    """

    ball_joint: Array
    strut_top: Array
    tie_rod: Array
    pad: Array

    def rows(self, index: Any) -> Reactions:
        """Those loads alone that an index chooses."""
        return Reactions(*(column[index] for column in self))


class Holding(NamedTuple):
    """What of a pose the statics need; vectors (..., 3).

    axis: unit vector from the ball joint to the strut top, ``span`` mm apart
    rod: unit vector from the pickup to the inner joint; rod_moment: its moment about the ball joint
    lever: of the rod about the axis, mm; nothing at over-centre
    arm: what a force at the ball joint times this gives as moment about the arm's pivots
    """

    pose: Pose
    axis: Array
    span: Array
    rod: Array
    rod_moment: Array
    lever: Array
    arm: Array


def holding(pose: Pose) -> Holding:
    """The lever arms of poses."""
    ball = pose.ball_joint
    to_top = pose.corner.strut_top - ball
    span = length(to_top)
    axis = to_top / span[..., None]
    pickup = pose.pickup
    rod = unit(pose.inner_joint - pickup)
    rod_moment = cross(pickup - ball, rod)
    arm = cross(np.broadcast_to(pose.corner.pivot_axis, ball.shape), ball - pose.corner.pivot)
    return Holding(pose, axis, span, rod, rod_moment, dot(axis, rod_moment), arm)


def react(hold: Holding, force: Array, moment: Array) -> Reactions:
    """Members under a force on the wheel and its moment about the ball joint, both (..., 3); N and N mm."""
    tie_rod = -dot(hold.axis, moment) / hold.lever
    ball, top = _hung(hold, *_with_rod(hold, force, moment, tie_rod))
    return Reactions(ball, top, tie_rod, np.zeros_like(tie_rod))


def react_on_pad(
    hold: Holding,
    force: Array,
    moment: Array,
    tie_rod: Array,
    at: Array,
    normal: Array,
    factor: Array | float = 1.0,
) -> Reactions:
    """The same where the knuckle rests on a pad of the arm and the rod's tension is what the rack makes of it.

    at: where they meet, (..., 3); normal: unit vector of the pad's push on the knuckle. The pad carries what is left
    about the steering axis; where that would have to be a pull it carries nothing.
    factor: by which a hit makes the pad's force larger. What this adds about the steering axis is the inertia of the
    turning wheel, which adds no force.
    """
    loaded, turned = _with_rod(hold, force, moment, tie_rod)
    arm = cross(at - hold.pose.ball_joint, normal)
    with np.errstate(divide="ignore", invalid="ignore"):
        pad = np.maximum(-dot(hold.axis, turned) / dot(hold.axis, arm), 0.0) * factor
    loaded = loaded + pad[..., None] * normal
    turned = turned + pad[..., None] * arm
    on_arm = -pad * dot(hold.pose.corner.pivot_axis, cross(at - hold.pose.corner.pivot, normal))
    ball, top = _hung(hold, loaded, turned, on_arm)
    return Reactions(ball, top, np.broadcast_to(tie_rod, pad.shape), pad)


def residual(hold: Holding, force: Array, moment: Array, found: Reactions) -> tuple[Array, Array]:
    """Unbalanced force in N and moment in N mm, about the wheel centre, of loads and the members' forces.

    Summed up anew, member by member, about a point that the solution does not know.
    """
    pose = hold.pose
    centre = pose.wheel_centre
    pull = found.tie_rod[..., None] * hold.rod
    unbalanced = force - found.ball_joint - found.strut_top + pull
    turning = (
        moment
        + cross(pose.ball_joint - centre, force)
        - cross(pose.ball_joint - centre, found.ball_joint)
        - cross(pose.corner.strut_top - centre, found.strut_top)
        + cross(pose.pickup - centre, pull)
    )
    return length(unbalanced), length(turning)


def _with_rod(hold: Holding, force: Array, moment: Array, tie_rod: Array) -> tuple[Array, Array]:
    pull = tie_rod[..., None]
    return force + pull * hold.rod, moment + pull * hold.rod_moment


def _hung(hold: Holding, force: Array, moment: Array, on_arm: Array | float = 0.0) -> tuple[Array, Array]:
    """Forces on arm and body from what arm and top mount hold together, all else included in the load.

    on_arm: moment about the arm's pivots of what else acts on the arm, N mm
    """
    across = cross(hold.axis, moment) / hold.span[..., None]
    rest = force + across
    along = -(on_arm + dot(hold.arm, rest)) / dot(hold.arm, hold.axis)
    on_knuckle = across + along[..., None] * hold.axis
    return force + on_knuckle, -on_knuckle
