"""The corner as a planar linkage: a steering axis that stands upright, everything else at one height."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solver.corner import Corner

HEIGHT = 200.0

Flat = tuple[float, float]


def upright_corner(
    axis: Flat, pickup: Flat, inner_joint: Flat, rack_direction: Flat, tie_rod: float, branch: int
) -> Corner:
    """Points in the x-y plane, mm; the wheel's plane runs along x in the measured pose."""

    def at(point: Flat, z: float = HEIGHT) -> NDArray[np.float64]:
        return np.array([point[0], point[1], z])

    return Corner(
        side=1,
        pivot=at((axis[0], axis[1] - 300.0)),
        pivot_axis=np.array([1.0, 0.0, 0.0]),
        arm_ball=at(axis),
        strut_top=at(axis, HEIGHT + 400.0),
        inner_joint=at(inner_joint),
        rack_direction=at(rack_direction, 0.0),
        knuckle_ball=at(axis),
        damper_point=at(axis, HEIGHT + 150.0),
        damper_direction=np.array([0.0, 0.0, 1.0]),
        pickup=at(pickup),
        wheel_centre=at((axis[0], axis[1] + 40.0), 300.0),
        spin_axis=np.array([0.0, 1.0, 0.0]),
        tie_rod=tie_rod,
        branch=branch,
    )
