"""Gaps from the tyre to bars for a whole stack of designs, by samples along the bars and parabolas between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.clearance import arm_angle_of
from solver.corner import Pose
from solver.search.bars import Bars
from solver.tyre import Tyre
from solver.vectors import Array, rotate

if TYPE_CHECKING:
    from numpy.typing import NDArray


FINER = np.array([-0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75])
"""Places about the nearest sample that are looked at, in sample pitches."""


def tyre_gaps(bars: Bars, tyre: Tyre, pose: Pose, extension: Array, alike: bool) -> Array:
    """Gap in mm between tyre and each bar in each pose, (2 n, turn, k, m, bars), poses (2 n, turn, k, m).

    extension: of the arms of each design, (n,), mm
    alike: whether all designs lie within a hair of the first one: then the place on a bar that is nearest for it is
        nearest for all
    """
    if not bars.names:
        return np.empty((*pose.reach.shape, 0))
    count = len(extension)
    centre, axis = pose.wheel_centre[..., None, :], pose.spin_axis[..., None, :]
    start, pitch = _lines(bars, pose, extension)

    def distance(place: Array, wheels: slice, bar: NDArray[np.intp] | slice = slice(None)) -> Array:
        on_bar = start[wheels][..., bar, :] + place[..., None] * pitch[wheels][..., bar, :]
        return tyre.distance(on_bar, centre[wheels], axis[wheels])

    seen = slice(None, None, count) if alike else slice(None)
    samples = np.concatenate([np.arange(each, dtype=float) for each in bars.counts])
    sampled = distance(samples, seen, bars.of_sample)
    place = np.stack(
        [sampled[..., a : a + n].argmin(axis=-1) for a, n in zip(bars.firsts, bars.counts, strict=True)],
        axis=-1,
    )
    # Twice closer about the nearest sample, then by a parabola.
    finer = np.clip(place[..., None, :] + FINER[:, None], 0.0, bars.counts - 1.0)
    near = np.stack([distance(finer[..., i, :], seen) for i in range(len(FINER))], axis=-2)
    place, least = _least(finer, near)
    between = np.clip(_vertex(finer, near), 0.0, bars.counts - 1.0)
    found = distance(between, seen)
    if alike:
        place = np.where(found < least, between, place)
        return distance(np.repeat(place, count, axis=0), slice(None)) - bars.radii
    return np.minimum(found, least) - bars.radii


def _lines(bars: Bars, pose: Pose, extension: Array) -> tuple[Array, Array]:
    """First sample on each bar in each pose, and the way to the next one, (2 n, 1, 1, m or 1, bars, 3)."""
    count = len(extension)
    longer = np.tile(extension, 2)[:, None, None]
    start, pitch = (
        (np.repeat(still, count, axis=0) + longer * np.repeat(per_mm, count, axis=0))[:, None, None, None]
        for still, per_mm in ((bars.start, bars.start_per_mm), (bars.pitch, bars.pitch_per_mm))
    )
    if not bars.on_arm.any():
        return start, pitch
    # The arm's angle hangs on the suspension's travel alone.
    corner, angle = pose.corner, arm_angle_of(pose)[:, :1, :1, :, None]
    pivot, axis = corner.pivot[..., None, :], corner.pivot_axis[..., None, :]
    carried = bars.on_arm[:, None]
    return (
        np.where(carried, pivot + rotate(start - pivot, axis, angle), start),
        np.where(carried, rotate(pitch, axis, angle), pitch),
    )


def _least(places: Array, near: Array) -> tuple[Array, Array]:
    """The place (…, bars) of the least of some distances (…, places, bars), and that distance."""
    at = near.argmin(axis=-2)[..., None, :]
    return np.take_along_axis(places, at, axis=-2)[..., 0, :], np.take_along_axis(near, at, axis=-2)[
        ..., 0, :
    ]


def _vertex(places: Array, near: Array) -> Array:
    """Where the parabola through the nearest place and its neighbours is least, (…, bars)."""
    at = np.clip(near.argmin(axis=-2), 1, len(FINER) - 2)[..., None, :]
    before, here, after = (np.take_along_axis(near, at + k, axis=-2)[..., 0, :] for k in (-1, 0, 1))
    bend = np.maximum(before - 2 * here + after, 1e-9)
    width = FINER[1] - FINER[0]
    vertex: Array = np.take_along_axis(places, at, axis=-2)[..., 0, :] + width * np.clip(
        (before - after) / (2 * bend), -1.0, 1.0
    )
    return vertex
