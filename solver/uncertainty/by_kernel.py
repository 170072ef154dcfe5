"""Sweeps in compiled code, on every core: `solver.uncertainty.by_arrays` some thirty times as fast."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from solver.assembling import ARM_SWING
from solver.compiled.poses import in_chunks, packed
from solver.compiled.sweep import sweep_all
from solver.compiled.travel import fill_angles
from solver.stack import StackedCorner
from solver.uncertainty.task import NEAR, RIDE, Raw, Task, to_stop, to_wanted
from solver.uncertainty.variants import SIDES
from solver.vectors import Array

TOGETHER = 250
"""Cars of one chunk: a few hundredths of a second, so that all threads end at about the same time."""


def sweep_kernel(task: Task, cores: int | None) -> Raw:
    """Every car; cores: threads, all if None."""
    stack, goal, count = task.variants.stack, task.plan.goal, len(task.variants)
    left, right = (_angles(task, side, cores) for side in stack.sides)
    raw = Raw(
        lock=np.zeros((count, 2)),
        limit=np.zeros((count, 2), np.int64),
        margin=np.zeros((count, 2)),
        gaps=np.zeros((count, 2, len(task.bars["left"].in_arm))),
        angles=(left, right),
    )
    tyre = stack.tyre.grown()
    outer, inner = tyre.outside_diameter / 2, tyre.rim_diameter / 2
    given: tuple[Any, ...] = (
        np.stack([packed(side.corner) for side in stack.sides]),
        np.stack([left, right]),
        RIDE,
        float(stack.left_sign),
        np.ascontiguousarray(task.stops),
        np.ascontiguousarray(task.ends),
        np.array(task.plan.wanted, float),
        float(goal.over_centre_margin),
        float(goal.clearance),
        float(goal.clearance + NEAR),
        np.array([tyre.section_width / 2, (outer + inner) / 2, (outer - inner) / 2, tyre.shoulder_radius]),
        np.stack([task.bars[side].ends for side in SIDES]),
        np.stack([task.bars[side].radius for side in SIDES]),
        np.stack([task.bars[side].in_arm for side in SIDES]),
        to_wanted(),
        to_stop(),
    )
    found = (raw.lock, raw.limit, raw.margin, raw.gaps)
    kernel: Callable[..., None] = sweep_all
    in_chunks(lambda first, last: kernel(*given, first, last, *found), count, TOGETHER, cores)
    return raw


def _angles(task: Task, stacked: StackedCorner, cores: int | None) -> Array:
    stack = task.variants.stack
    corners = packed(stacked.corner)
    ground, ride = (
        np.ascontiguousarray(task.variants.ground[stacked.side]),
        np.ascontiguousarray(stacked.ride_angle),
    )
    radius, most = float(stack.loaded_radius), 2 * ARM_SWING
    angles = np.empty((len(stack), len(task.travel)))
    in_chunks(
        lambda first, last: fill_angles(
            corners, ride, radius, ground, task.travel, most, first, last, angles
        ),
        len(stack),
        TOGETHER,
        cores,
    )
    return angles
