"""The least clearance of one point between the poses of the grid, where the grid's nearest pose says to look."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.body.sweep import Cause, WheelSweep, part_of
from solver.car import FixedTo
from solver.clearance import in_arm_frame
from solver.measures import steer_angle
from solver.vectors import Array

AROUND = 7
"""Poses along rack and travel that are tried in each round."""
ROUNDS = 5
"""Each round's poses are three times as close: after five the tyre moves 0.03 mm between them."""


def closest(point: Array, sweep: WheelSweep, number: int, fixed_to: FixedTo = "body") -> tuple[float, Cause]:
    """Least distance in mm of a point (3,) from the tyre around the pose of a number, and the pose it has.

    Never more than at that pose. It is the least of all if the grid's own nearest pose lies in the same hollow,
    which `solver.body.resolution` bounds the loss of where it doesn't.
    """
    part, row, column = part_of(sweep, number)
    solid = sweep.tyre().solid
    racks, travels = part.rack, part.travel
    rack, travel = float(racks[row]), float(travels[column])
    step = [_widest_gap(racks, row), _widest_gap(travels, column)]
    start = sweep.cause(number)
    best = np.inf
    for _ in range(ROUNDS):
        share = np.linspace(-1, 1, AROUND)
        tried_rack = np.unique(np.clip(rack + step[0] * share, racks[0], racks[-1]))
        tried_travel = np.unique(np.clip(travel + step[1] * share, travels[0], travels[-1]))
        pose = part.front_end.poses(part.assembly, tried_rack, tried_travel)
        centre, axis = pose.wheel_centre, pose.spin_axis
        if fixed_to == "arm":
            tip = in_arm_frame(pose, centre + axis)
            centre = in_arm_frame(pose, centre)
            axis = tip - centre
        found = np.where(pose.reachable, solid.distance(point, centre, axis), np.inf)
        i, j = np.unravel_index(int(found.argmin()), found.shape)
        if found[i, j] < best:
            best, rack, travel = float(found[i, j]), float(tried_rack[i]), float(tried_travel[j])
            start = replace(start, rack=rack, travel=travel, steer=float(steer_angle(pose)[i, j]))
        step = [step[0] / 3, step[1] / 3]
    # In case rounding put the pose itself out of what was tried.
    given = float(sweep.tyre(fixed_to).distances(point[None], np.array([number]))[0, 0])
    return (best, start) if best < given else (given, sweep.cause(number))


def _widest_gap(places: Array, index: int) -> float:
    around = np.diff(places[max(index - 1, 0) : index + 2])
    return float(around.max(initial=0.0))
