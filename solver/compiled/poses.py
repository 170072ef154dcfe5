"""Poses by the million: `solver.corner.pose_corner` for large batches, on every core."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np

from solver.corner import Corner, Pose, pose_corner
from solver.vectors import Array

TOGETHER = 16_384
"""Poses of one chunk: its results are still in the processor's cache when the next one begins."""

PAYS = 300_000
"""Poses from which on loading the compiler pays; compiling, once for each version of the code, never counts."""

FIELDS = (
    "pivot",
    "pivot_axis",
    "arm_ball",
    "strut_top",
    "inner_joint",
    "rack_direction",
    "knuckle_ball",
    "damper_point",
    "damper_direction",
    "pickup",
    "wheel_centre",
    "spin_axis",
)
"""Vectors of a packed corner, three numbers each; tie rod and branch follow."""


def packed(corner: Corner) -> Array:
    """A stack of n corners as rows of 38 numbers, (n, 38); one corner as one row."""
    rows = [np.atleast_2d(getattr(corner, name)) for name in FIELDS]
    rows += [np.reshape(getattr(corner, name), (len(rows[0]), 1)) for name in ("tie_rod", "branch")]
    return np.ascontiguousarray(np.concatenate(rows, axis=1), dtype=float)


def pose_many(corner: Corner, arm_angle: Array, rack: Array, cores: int | None = None) -> Pose:
    """What `solver.corner.pose_corner` gives, for batches of hundreds of thousands of poses and more.

    Beside the result, 169 bytes a pose, and the two inputs spread out to its shape it takes no memory worth
    mentioning. Below 300,000 poses, or without a compiler, the NumPy form is used, chunk by chunk.

    cores: threads; as many as the machine has for this process if None
    """
    arm_angle, rack = np.asarray(arm_angle, float), np.asarray(rack, float)
    shape = np.broadcast_shapes(arm_angle.shape, rack.shape)
    count = int(np.prod(shape))
    rows = packed(corner)
    fill = _compiled() if count >= max(PAYS, 1) else None
    if fill is None:
        return _by_numpy(corner, arm_angle, rack, shape)
    angles, racks = (np.ascontiguousarray(np.broadcast_to(x, shape)).reshape(-1) for x in (arm_angle, rack))
    reach = np.empty(count, np.int8)
    vectors, rotation, scalars = np.empty((count, 9)), np.empty((count, 9)), np.empty((2, count))
    each = count // len(rows)

    def chunk(first: int, last: int) -> None:
        fill(rows, each, angles, racks, first, last, reach, vectors, rotation, scalars)

    in_chunks(chunk, count, TOGETHER, cores)
    ball, axis, inner = (vectors[:, i : i + 3].reshape(*shape, 3) for i in (0, 3, 6))
    return Pose(
        corner.over(len(shape) - 1),
        reach.reshape(shape),
        ball,
        axis,
        rotation.reshape(*shape, 3, 3),
        inner,
        scalars[0].reshape(shape),
        scalars[1].reshape(shape),
    )


def in_chunks(work: Callable[[int, int], Any], count: int, together: int, cores: int | None = None) -> None:
    """Call ``work`` with first and last of chunks that together cover ``count``, on so many threads."""
    starts = range(0, count, together)
    cores = min(cores or cores_here(), len(starts))
    if cores < 2:
        for first in starts:
            work(first, min(first + together, count))
        return
    with ThreadPoolExecutor(cores) as threads:
        for done in [threads.submit(work, first, min(first + together, count)) for first in starts]:
            done.result()


def cores_here() -> int:
    """Processors that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def compiled_before() -> bool:
    """Whether compiled code is to be had at once: without a compiler there is nothing to wait for either."""
    try:
        from solver.compiled.start import cache_folder
    except ImportError:
        return True
    folder = cache_folder()
    return folder is not None and folder.is_dir()


def _compiled() -> Callable[..., None] | None:
    try:
        from solver.compiled.corner import fill_poses
    except ImportError:
        return None
    return fill_poses


def _by_numpy(corner: Corner, arm_angle: Array, rack: Array, shape: tuple[int, ...]) -> Pose:
    count = int(np.prod(shape))
    if count <= TOGETHER or not shape:
        return pose_corner(corner, arm_angle, rack)
    if corner.pickup.ndim > 1:
        # A stack's first axis is its corners': they go in whole ones.
        together = max(1, TOGETHER * shape[0] // count)
        spread = [np.broadcast_to(x, shape) for x in (arm_angle, rack)]
    else:
        together = TOGETHER
        spread = [np.broadcast_to(x, shape).reshape(-1) for x in (arm_angle, rack)]
    parts = [
        pose_corner(_part(corner, i, i + together), spread[0][i : i + together], spread[1][i : i + together])
        for i in range(0, len(spread[0]), together)
    ]
    arrays = [
        np.concatenate([getattr(part, name) for part in parts])
        for name in (
            "reach",
            "ball_joint",
            "steering_axis",
            "rotation",
            "inner_joint",
            "damper_length",
            "closure",
        )
    ]
    inner_axes = (0, 1, 1, 2, 1, 0, 0)
    shaped = [
        array.reshape(*shape, *array.shape[array.ndim - axes :])
        for array, axes in zip(arrays, inner_axes, strict=True)
    ]
    return Pose(corner.over(len(shape) - 1), *shaped)


def _part(corner: Corner, first: int, last: int) -> Corner:
    if corner.pickup.ndim == 1:
        return corner
    cut: dict[str, Any] = {
        name: value[first:last] if isinstance(value, np.ndarray) else value
        for name, value in vars(corner).items()
    }
    return Corner(**cut)
