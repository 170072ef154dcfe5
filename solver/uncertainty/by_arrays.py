"""Sweeps with arrays: the reference of `solver.compiled.sweep`, and what is used without a compiler."""

from __future__ import annotations

from typing import Any

import numpy as np

from solver.assembling import arm_angles
from solver.clearance import Obstacle, gap
from solver.corner import Corner, Pose, over_centre_angle, pose_corner
from solver.measures import steer_angle
from solver.stack import StackedCorner
from solver.tyre import Tyre
from solver.uncertainty.task import (
    BARS,
    END,
    MARGIN,
    NEAR,
    RIDE,
    STOP,
    TO_WANTED,
    Raw,
    Task,
    to_stop,
    to_wanted,
)
from solver.uncertainty.variants import SIDES, TOLERANCE, Bars
from solver.vectors import Array

TOGETHER = 100
"""Cars of one chunk: some tens of MB of poses."""
HALVINGS = 30
"""Of a rack displacement that is looked for: to 10⁻⁷ mm."""


def sweep_arrays(task: Task) -> Raw:
    """Every car, a chunk at a time."""
    stack, count = task.variants.stack, len(task.variants)
    left, right = (_arm_angles(task, stacked) for stacked in stack.sides)
    many = len(task.bars["left"].in_arm)
    raw = Raw(
        np.zeros((count, 2)),
        np.zeros((count, 2), np.int64),
        np.zeros((count, 2)),
        np.zeros((count, 2, many)),
        (left, right),
    )
    for first in range(0, count, TOGETHER):
        here = slice(first, first + TOGETHER)
        raw.lock[here], raw.limit[here], raw.margin[here], raw.gaps[here] = _chunk(task, here, (left, right))
    return raw


def _arm_angles(task: Task, stacked: StackedCorner) -> Array:
    ground = task.variants.ground[stacked.side][:, None]
    ride, radius = stacked.ride_angle[:, None], task.variants.stack.loaded_radius
    return arm_angles(stacked.corner, ride, radius, ground, task.travel[None, :], TOLERANCE)


def _chunk(task: Task, here: slice, of_arms: tuple[Array, Array]) -> tuple[Array, Array, Array, Array]:
    stack, plan, bars = task.variants.stack, task.plan, task.bars
    stops, ends = task.stops[here], task.ends[here]
    angles = [angle[here] for angle in of_arms]
    corners = [_part(stacked.corner, here) for stacked in stack.sides]
    ride = [angle[:, RIDE] for angle in angles]
    signs = np.array([stack.left_sign, -stack.left_sign])
    racks = []
    for turn in (0, 1):
        up_to = _rack_for(corners[turn], ride[turn], signs[turn], plan.wanted[turn], stops[:, turn])
        beyond = up_to[:, None] + to_stop() * (stops[:, turn] - up_to)[:, None]
        racks.append(np.concatenate([up_to[:, None] * to_wanted(), beyond], axis=1))
    rack = np.stack(racks, axis=1)
    signed = (signs[:, None] * rack)[..., None]
    met = np.minimum(stops, ends)
    limit = np.where(ends < stops, END, STOP)
    margin = np.full(stops.shape, np.inf)
    many = len(bars["left"].in_arm)
    gaps = np.full((len(stops), 2, many), plan.goal.clearance + NEAR)
    tyre = stack.tyre.grown()
    for number, side in enumerate(SIDES):
        pose = pose_corner(corners[number], angles[number][:, None, None, :], signed)
        angle = np.where(pose.reachable, np.nan_to_num(over_centre_angle(pose)), 0.0)
        margin = np.minimum(margin, angle.min(axis=(2, 3)))
        _meet(met, limit, _crossings(rack, angle, plan.goal.over_centre_margin), MARGIN)
        for k in range(many):
            values = np.nan_to_num(_gap(tyre, bars[side], here, k, pose), nan=np.inf)
            least = values[:, :, :TO_WANTED].min(axis=(1, 2, 3))
            gaps[:, number, k] = np.minimum(gaps[:, number, k], least)
            _meet(met, limit, _crossings(rack, values, plan.goal.clearance), BARS + number * many + k)
    lock = [_lock_at(corners[turn], ride[turn], signs[turn], met[:, turn]) for turn in (0, 1)]
    return np.stack(lock, axis=1), limit, margin, gaps


def _part(corner: Corner, here: slice) -> Corner:
    cut: dict[str, Any] = {k: v[here] if isinstance(v, np.ndarray) else v for k, v in vars(corner).items()}
    return Corner(**cut)


def _gap(tyre: Tyre, bars: Bars, here: slice, k: int, pose: Pose) -> Array:
    ends = bars.ends[here, k].reshape(-1, 1, 1, 1, 6)
    obstacle = Obstacle("", ends[..., :3], ends[..., 3:], 0.0, "arm" if bars.in_arm[k] else "body")
    radius = bars.radius[here, k].reshape(-1, 1, 1, 1)
    return gap(tyre, obstacle, pose) - radius


def _steer(corner: Corner, ride: Array, rack: Array) -> Array:
    """Size of the inner wheel's steer angle at ride height, (n,), NaN where there is no pose."""
    return np.abs(steer_angle(pose_corner(corner, ride, rack)))


def _rack_for(corner: Corner, ride: Array, sign: int, lock: float, stops: Array) -> Array:
    """Rack displacement that gives a lock, or at which over-centre or the stop keeps the wheel from it."""
    low, high = np.zeros_like(stops), stops.copy()
    with np.errstate(invalid="ignore"):
        beyond = _steer(corner, ride, sign * stops) < lock
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            less = _steer(corner, ride, sign * middle) < lock
            low, high = np.where(less, middle, low), np.where(less, high, middle)
    return np.where(beyond, stops, low)


def _lock_at(corner: Corner, ride: Array, sign: int, rack: Array) -> Array:
    """Steer at a displacement; where over-centre comes before it, what the wheel has just short of that."""
    found = _steer(corner, ride, sign * rack)
    lost = np.isnan(found)
    if not lost.any():
        return found
    low, high, best = np.zeros_like(rack), rack.copy(), np.zeros_like(rack)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        steer = _steer(corner, ride, sign * middle)
        there = ~np.isnan(steer)
        low, high = np.where(there, middle, low), np.where(there, high, middle)
        best = np.where(there, steer, best)
    return np.where(lost, best, found)


def _crossings(rack: Array, values: Array, threshold: float) -> Array:
    """Least displacement (n, 2) at which any travel's value falls below a threshold, linear between; else infinite.

    rack: (n, 2, j); values: (n, 2, j, m)
    """
    below = values < threshold
    first = below.argmax(axis=2)
    index = np.maximum(first - 1, 0)[:, :, None, :]
    before, after = (np.take_along_axis(values, i, axis=2)[:, :, 0] for i in (index, first[:, :, None, :]))
    start, end = (
        np.take_along_axis(rack[..., None], i, axis=2)[:, :, 0] for i in (index, first[:, :, None, :])
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(np.isfinite(before - after), (before - threshold) / (before - after), 0.0)
        place = np.where(first == 0, 0.0, start + share * (end - start))
    return np.asarray(np.where(below.any(axis=2), place, np.inf).min(axis=2))


def _meet(met: Array, limit: Array, place: Array, number: int) -> None:
    sooner = place < met
    met[sooner] = place[sooner]
    limit[sooner] = number
