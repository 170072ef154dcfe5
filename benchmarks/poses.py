"""Poses of one corner: the closed form against root-finding of the raw constraints, on one core.

Run as a process of its own, so that the number of threads can be set before NumPy is loaded. Prints JSON.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from time import perf_counter

import numpy as np
from scipy.optimize import root

from locksweep.demo_jobs import demo_path
from locksweep.job.load import load_job
from solver.car import Changes
from solver.corner import Corner, pose_corner
from solver.front_end import assemble

Vector = tuple[float, float, float]

GRID = (200, 50)
"""Rack displacements × arm angles."""


def raw_constraints(corner: Corner) -> Callable[[list[float], float, float], list[float]]:
    """The six constraints of the knuckle's six unknowns: a rotation vector and where its ball joint is, in m.

    Plain floats, as that is quicker than arrays of three.
    """
    ball = corner.knuckle_ball
    pickup = _tuple((corner.pickup - ball) / 1000)
    damper = _tuple((corner.damper_point - ball) / 1000)
    along = corner.damper_direction
    aside = np.cross(along, [1.0, 0.0, 0.0])
    aside /= np.linalg.norm(aside)
    across, ahead = _tuple(aside), _tuple(np.cross(along, aside))
    top, pivot = _tuple(corner.strut_top / 1000), _tuple(corner.pivot / 1000)
    axis, arm = _tuple(corner.pivot_axis), _tuple((corner.arm_ball - corner.pivot) / 1000)
    inner, rack_direction, rod = (
        _tuple(corner.inner_joint / 1000),
        _tuple(corner.rack_direction),
        corner.tie_rod / 1000,
    )

    def residuals(unknown: list[float], arm_angle: float, rack: float) -> list[float]:
        rotation = (unknown[0], unknown[1], unknown[2])
        held = _turned(arm, axis, arm_angle)
        apart = [unknown[3 + i] - pivot[i] - held[i] for i in range(3)]
        at = (unknown[3], unknown[4], unknown[5])
        foot, one, other, end = (_by_vector(v, rotation) for v in (damper, across, ahead, pickup))
        to_top = [top[i] - at[i] - foot[i] for i in range(3)]
        reach = [at[i] + end[i] - inner[i] - rack * rack_direction[i] for i in range(3)]
        return [
            *apart,
            _dot(one, to_top),
            _dot(other, to_top),
            math.sqrt(_dot(reach, reach)) - rod,
        ]

    return residuals


def _tuple(vector: np.ndarray) -> Vector:
    x, y, z = (float(value) for value in vector)
    return (x, y, z)


def _dot(a: Vector | list[float], b: Vector | list[float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _by_vector(v: Vector, rotation: Vector) -> Vector:
    angle = math.sqrt(_dot(rotation, rotation))
    if angle < 1e-12:
        return v
    return _turned(v, (rotation[0] / angle, rotation[1] / angle, rotation[2] / angle), angle)


def _turned(v: Vector, axis: Vector, angle: float) -> Vector:
    c, s = math.cos(angle), math.sin(angle)
    share = (1 - c) * _dot(v, axis)
    return (
        c * v[0] + s * (axis[1] * v[2] - axis[2] * v[1]) + share * axis[0],
        c * v[1] + s * (axis[2] * v[0] - axis[0] * v[2]) + share * axis[1],
        c * v[2] + s * (axis[0] * v[1] - axis[1] * v[0]) + share * axis[2],
    )


def closed_form_rate(corner: Corner, rack: np.ndarray, angles: np.ndarray) -> float:
    """Poses per second, the best of ten rounds of some tenth of a second."""
    best = 0.0
    for _ in range(10):
        start, poses = perf_counter(), 0
        while (spent := perf_counter() - start) < 0.1:
            pose = pose_corner(corner, angles, rack[:, None])
            poses += pose.reach.size
        best = max(best, poses / spent)
    return best


def root_finding(corner: Corner, rack: np.ndarray, angles: np.ndarray) -> tuple[float, float]:
    """Poses per second, each started from the one next to it; and the largest difference in mm.

    Every tenth rack displacement and arm angle is taken.
    """
    residuals = raw_constraints(corner)
    pose = pose_corner(corner, angles, rack[:, None])
    worst, count, spent = 0.0, 0, 0.0
    for column in range(0, len(angles), 10):
        guess = np.concatenate([np.zeros(3), corner.knuckle_ball / 1000])
        # Outwards from the middle of the rack, where the measured pose is a good start.
        for row in range(len(rack) // 2, len(rack), 10):
            start = perf_counter()
            guess = root(residuals, guess, args=(float(angles[column]), float(rack[row]) / 1000)).x
            spent += perf_counter() - start
            count += 1
            found = 1000 * guess[3:]
            worst = max(worst, float(np.abs(found - pose.ball_joint[row, column]).max()))
    return count / spent, worst


def main() -> None:
    """Measure and print."""
    assembly = assemble(load_job(demo_path("alder-coupe")).car, Changes()).left
    rack, angles = np.linspace(-66.0, 66.0, GRID[0]), np.linspace(-0.15, 0.15, GRID[1])
    rate, worst = root_finding(assembly.corner, rack, angles)
    print(
        json.dumps(
            {
                "closed form": closed_form_rate(assembly.corner, rack, angles),
                "root-finding": rate,
                "difference": worst,
            }
        )
    )


if __name__ == "__main__":
    main()
