"""What is asked of every car: lock, over-centre margin, gaps, and the other goals that a job sets."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.car import Goal, Side
from solver.clearance import Obstacle, gap
from solver.corner import Pose, pose_corner
from solver.measures import camber_angle, caster_angle, contact_centre
from solver.uncertainty.bands import Outcome
from solver.uncertainty.task import NEAR, Swept
from solver.uncertainty.variants import SIDES, Variants
from solver.vectors import Array, Mask

LEAST_MARGIN = 1e-4
"""rad; less is over-centre."""


def outcomes_of(
    designed: Variants, at_design: Swept, variants: Variants, swept: Swept, goal: Goal
) -> list[Outcome]:
    """Every quantity over the sound cars; ``designed`` is the car as designed alone."""
    sound = swept.sound
    found = []
    for number, turn in enumerate(SIDES):
        name = f"lock, {turn} turn"
        nominal = float(at_design.lock[0, number])
        found.append(Outcome("lock", name, True, nominal, swept.lock[sound, number], goal.lock))
    for number, turn in enumerate(SIDES):
        name = f"over-centre margin at the stop, {turn} turn"
        nominal = float(at_design.margin[0, number])
        values = swept.margin[sound, number]
        # Whatever margin is wanted, one that is used up is none.
        wanted = max(goal.over_centre_margin, LEAST_MARGIN)
        found.append(Outcome("margin", name, True, nominal, values, wanted))
    most = goal.clearance + NEAR
    for side in SIDES:
        for k, bar in enumerate(variants.bars[side].names):
            nominal = float(at_design.gaps[side][0, k])
            values = swept.gaps[side][sound, k]
            name = f"{side} tyre to {bar}"
            found.append(Outcome("gap", name, False, nominal, values, goal.clearance, most=most))
    for (name, nominal_strut), (_, strut) in zip(_strut(designed), _strut(variants), strict=True):
        values = np.minimum(strut[sound], most)
        nominal = min(float(nominal_strut[0]), most)
        found.append(Outcome("gap", name, False, nominal, values, goal.clearance, most=most))
    if variants.stack.left.shifts.spacer > 0:
        rack = variants.stack.car.rack
        nominal = float(designed.thread[0])
        name = "thread engaged in the rack"
        found.append(Outcome("thread", name, False, nominal, variants.thread[sound], rack.stud_diameter))
    found += _standing(designed, variants, sound, goal)
    return found


def _strut(variants: Variants) -> Iterator[tuple[str, Array]]:
    """Gap from tyre to strut tube, (n,), of each side: it turns with the wheel, so one pose tells."""
    stack = variants.stack
    for stacked in stack.sides:
        pose = _straight(variants, stacked.side)
        foot = np.broadcast_to(stacked.points["damper_point"], pose.ball_joint.shape)
        up = stacked.corner.damper_direction * stack.car.strut.tube_length
        tube = Obstacle("strut tube", foot, foot + up, 0.0, "knuckle")
        values = gap(stack.tyre.grown(), tube, pose) - variants.tube_radius
        yield f"{stacked.side} tyre to strut tube", values


def _straight(variants: Variants, side: Side) -> Pose:
    """One side at ride height, rack centred, (n,)."""
    stack = variants.stack
    stacked = stack.left if side == "left" else stack.right
    return pose_corner(stacked.corner, stacked.ride_angle, np.zeros(len(stack)))


def _standing(designed: Variants, variants: Variants, sound: Mask, goal: Goal) -> Iterator[Outcome]:
    """Goals that are read off the car as it stands."""
    radius = variants.stack.loaded_radius
    if goal.track is not None:
        tracks = []
        for cars in (designed, variants):
            left, right = (contact_centre(_straight(cars, side), radius)[..., 1] for side in SIDES)
            tracks.append(left - right)
        yield Outcome("track", "track", False, float(tracks[0][0]), tracks[1][sound], goal.track)
    for side in SIDES:
        nominal, poses = _straight(designed, side), _straight(variants, side)
        if goal.camber is not None:
            at_design, values = float(camber_angle(nominal)[0]), camber_angle(poses)[sound]
            least, greatest = goal.camber
            yield Outcome("camber", f"camber, {side} wheel, at least", True, at_design, values, least)
            yield Outcome(
                "camber", f"camber, {side} wheel, at most", True, at_design, values, greatest, at_most=True
            )
        if goal.least_caster is not None:
            at_design, values = float(caster_angle(nominal)[0]), caster_angle(poses)[sound]
            yield Outcome("caster", f"caster, {side} wheel", True, at_design, values, goal.least_caster)
