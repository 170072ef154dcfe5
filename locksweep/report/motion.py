"""The moving front end as rigid transforms: a frame for each body that moves, posed over rack × wheel travel.

Every point is given where it was when the car was measured. What a page needs to draw any pose is then one turn and
one shift for each frame, and both come from the solver's poses.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from locksweep.report.numbers import UNIT, plain
from solver.car import Side
from solver.clearance import arm_angle_of
from solver.corner import Pose
from solver.front_end import FrontEnd
from solver.measures import axis_on_ground, contact_centre
from solver.state import State
from solver.sweep import TURNS
from solver.vectors import Array, apply, rotation_about

RACK_STEPS = 24
"""From straight ahead to the end of each turn."""
TRAVELS = 7
"""From full droop to full bump."""
SAME = 0.3
"""mm of rack between two places of the grid below which they are one."""
SHIFT = 3
"""Decimals of a frame's shift in mm."""


@dataclass(frozen=True, eq=False)
class Grid:
    """The poses that a page can show, the same for the car as measured and as modified.

    turned: (n,) rack displacements from the end of the left turn to that of the right one, mm, positive to the left
        turn; both conditions' locks are among them, so that each can stand exactly at its own
    travel: (m,) wheel travels, bump positive, mm
    """

    turned: Array
    travel: Array

    def signed(self, front_end: FrontEnd) -> Array:
        """(n,) displacements of the rack, positive to the car's left."""
        return self.turned * front_end.left_sign

    def reach(self, state: State) -> tuple[int, int]:
        """First and last index of the grid that one condition reaches before its limits."""
        left, right = state.left_turn.rack, state.right_turn.rack
        within = np.flatnonzero((self.turned <= left + 1e-6) & (self.turned >= -right - 1e-6))
        return int(within[0]), int(within[-1])

    @property
    def centre(self) -> int:
        """Index of the rack's middle."""
        return int(np.argmin(np.abs(self.turned)))

    @property
    def ride_height(self) -> int:
        """Index of ride height."""
        return int(np.argmin(np.abs(self.travel)))


def grid_of(measured: State, modified: State) -> Grid:
    """Even steps to the farther of the two locks each way, with the nearer one put in."""
    ends = []
    for turn in TURNS:
        locks = np.unique([measured.turn(turn).rack, modified.turn(turn).rack])
        steps = np.linspace(0.0, locks[-1], RACK_STEPS + 1)
        # A step that all but falls on a lock would be one pose shown twice.
        apart = np.min(np.abs(steps[:, None] - locks), axis=1) > SAME
        ends.append(np.sort(np.concatenate([steps[apart], locks])))
    turned = np.concatenate([-ends[1][::-1], ends[0][1:]])[::-1]
    return Grid(turned, modified.front_end.travels(TRAVELS))


def poses_of(front_end: FrontEnd, grid: Grid) -> dict[Side, Pose]:
    """Both corners over the grid, (n, m)."""
    rack = grid.signed(front_end)
    return {a.side: front_end.poses(a, rack, grid.travel) for a in front_end.sides}


def frames(front_end: FrontEnd, grid: Grid, poses: dict[Side, Pose]) -> dict[str, Any]:
    """Every frame with its poses, row by row over rack × travel.

    A pose is a unit quaternion x, y, z, w and a shift in mm that take a point of the measured pose to where it is. A
    frame that only rack or travel moves has a grid of one along the other.
    """
    n, m = len(grid.turned), len(grid.travel)
    direction = front_end.left.corner.rack_direction
    shift = grid.signed(front_end)[:, None] * direction
    found = {
        "body": _frame(np.eye(3)[None], np.zeros((1, 3)), (1, 1)),
        "rack": _frame(np.broadcast_to(np.eye(3), (n, 3, 3)), shift, (n, 1)),
    }
    for side, pose in poses.items():
        corner = pose.corner
        turn = pose.rotation
        knuckle = pose.ball_joint - apply(turn, np.broadcast_to(corner.knuckle_ball, pose.ball_joint.shape))
        knuckle = np.where(pose.reachable[..., None], knuckle, np.nan)
        found[f"{side} knuckle"] = _frame(turn.reshape(-1, 3, 3), knuckle.reshape(-1, 3), (n, m))
        about = np.broadcast_to(corner.pivot_axis, (m, 3))
        swung = rotation_about(about, arm_angle_of(pose)[0])
        arm = corner.pivot - apply(swung, np.broadcast_to(corner.pivot, (m, 3)))
        found[f"{side} arm"] = _frame(swung, arm, (1, m))
    return found


def tracks(front_end: FrontEnd, grid: Grid, poses: dict[Side, Pose]) -> list[dict[str, Any]]:
    """Points on the ground that are the solver's own: contact centres, and where the steering axes meet the ground."""
    shape = [len(grid.turned), len(grid.travel)]
    found = []
    for side, pose in poses.items():
        contact = contact_centre(pose, front_end.loaded_radius)
        foot = axis_on_ground(pose, contact[..., 2])
        for name, points in (("contact centre", contact), ("foot of the steering axis", foot)):
            hidden = np.where(pose.reachable[..., None], points, np.nan)
            rows = [None if None in row else row for row in plain(hidden.reshape(-1, 3))]
            found.append({"name": name, "side": side, "shape": shape, "points_mm": rows})
    return found


def placing(rotation: Array, shift: Array) -> list[float]:
    """One turn (3, 3) and shift (3,) as x, y, z, w and mm."""
    return [*plain(quaternions(rotation[None])[0], UNIT), *plain(shift, SHIFT)]


def quaternions(rotations: Array) -> Array:
    """Unit quaternions x, y, z, w of rotation matrices (k, 3, 3), w never negative; (k, 4).

    From the largest of the four squares, so that none is divided by next to nothing (Shepperd, 1978).
    """
    r = rotations
    trace = np.trace(r, axis1=-2, axis2=-1)
    squares = np.stack([*(1 + 2 * r[:, i, i] - trace for i in range(3)), 1 + trace], axis=-1)
    largest = np.argmax(np.nan_to_num(squares), axis=-1)
    outer = np.empty((len(r), 4, 4))
    for i in range(3):
        j, k = (i + 1) % 3, (i + 2) % 3
        outer[:, i, i] = squares[:, i]
        outer[:, i, j] = outer[:, j, i] = r[:, i, j] + r[:, j, i]
        outer[:, i, 3] = outer[:, 3, i] = r[:, k, j] - r[:, j, k]
    outer[:, 3, 3] = squares[:, 3]
    row = outer[np.arange(len(r)), largest]
    with np.errstate(invalid="ignore"):
        whole = row / np.sqrt((row**2).sum(axis=-1, keepdims=True))
    return np.asarray(np.where(whole[:, 3:] < 0, -whole, whole))


def _frame(rotations: Array, shifts: Array, shape: tuple[int, int]) -> dict[str, Any]:
    turns, moves = plain(quaternions(rotations), UNIT), plain(shifts, SHIFT)
    rows = [None if None in (*q, *t) else [*q, *t] for q, t in zip(turns, moves, strict=True)]
    return {"shape": list(shape), "poses": rows}
