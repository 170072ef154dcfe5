"""Both corners posed from straight ahead to the end of each turn, over the suspension's travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.car import Side
from solver.corner import Pose
from solver.front_end import FrontEnd
from solver.vectors import Array

RACK_POINTS = 27
TRAVEL_POINTS = 5


@dataclass(frozen=True, eq=False)
class Sweep:
    """Poses of both corners over rack × travel for both turns, left turn first.

    rack: (2, n) displacements from the centre for each turn, mm, positive
    travel: (m,) wheel travels, mm
    left, right: poses of shape (2, n, m)
    """

    rack: Array
    travel: Array
    left: Pose
    right: Pose

    def pose(self, side: Side) -> Pose:
        """Poses of one side, shape (2, n, m)."""
        return self.left if side == "left" else self.right


TURNS: tuple[Side, Side] = ("left", "right")


def rack_sign(front_end: FrontEnd, turn: Side) -> int:
    """Sign of the rack's displacement that turns the wheels to the left or right."""
    return front_end.left_sign if turn == "left" else -front_end.left_sign


def sweep(
    front_end: FrontEnd,
    reach: dict[Side, float],
    points: int = RACK_POINTS,
    travels: int = TRAVEL_POINTS,
    start: float = 0.0,
) -> Sweep:
    """Both corners to a rack displacement of ``reach`` mm in each turn, over all travel.

    start: share of the way at which the sweep begins, 0 for straight ahead
    """
    rack = np.stack([np.linspace(start * reach[turn], reach[turn], points) for turn in TURNS])
    signed = rack * np.array([[rack_sign(front_end, turn)] for turn in TURNS])
    travel = front_end.travels(travels)
    left, right = (front_end.poses(a, signed, travel) for a in front_end.sides)
    return Sweep(rack, travel, left, right)
