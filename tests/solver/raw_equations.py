"""The pose of a corner from its raw constraints by root-finding; shares nothing with the closed form.

Unknown is where the knuckle is: six numbers, a rotation vector and a displacement. The constraints are what a
builder sees: the knuckle's ball joint is where the arm holds it (3), the strut top lies on the damper's axis
(2), the tie rod has its length (1). A seventh unknown, the arm's angle, goes with a seventh constraint, the
height of the tyre's lowest point.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from solver.corner import Corner

Numbers = NDArray[np.float64]

SCALE = 1000.0
"""Lengths are divided by this in mm, so that they weigh as much as radians."""


class RawCorner:
    """One corner and the knuckle's pose in it."""

    def __init__(self, corner: Corner) -> None:
        self.corner = corner
        along = corner.damper_direction
        aside = np.cross(along, [1.0, 0.0, 0.0])
        self.square = np.array([aside, np.cross(along, aside)]) / np.linalg.norm(aside)

    def knuckle(self, unknown: Numbers, point: Numbers) -> Numbers:
        """Where a point of the knuckle is."""
        ball = self.corner.knuckle_ball
        turned: Numbers = Rotation.from_rotvec(unknown[:3]).apply(point - ball)
        return turned + ball + unknown[3:6] * SCALE

    def direction(self, unknown: Numbers, direction: Numbers) -> Numbers:
        """Where a direction of the knuckle points."""
        turned: Numbers = Rotation.from_rotvec(unknown[:3]).apply(direction)
        return turned

    def residuals(self, unknown: Numbers, arm_angle: float, rack: float) -> Numbers:
        """All six are zero in a pose."""
        corner = self.corner
        swing = Rotation.from_rotvec(arm_angle * corner.pivot_axis)
        held = corner.pivot + swing.apply(corner.arm_ball - corner.pivot)
        apart = self.knuckle(unknown, corner.knuckle_ball) - held
        # The strut top seen from the knuckle must lie on the damper's axis.
        back = Rotation.from_rotvec(unknown[:3]).inv()
        top = back.apply(corner.strut_top - self.knuckle(unknown, corner.damper_point))
        inner = corner.inner_joint + rack * corner.rack_direction
        rod = np.linalg.norm(self.knuckle(unknown, corner.pickup) - inner) - corner.tie_rod
        return np.concatenate([apart, self.square @ top, [rod]]) / SCALE

    def lowest(self, unknown: Numbers, radius: float) -> float:
        """Height of the lowest point of a disc in the wheel's plane, by the level share of its spin axis."""
        spin = self.direction(unknown, self.corner.spin_axis)
        centre = self.knuckle(unknown, self.corner.wheel_centre)
        return float(centre[2] - radius * np.hypot(spin[0], spin[1]))

    def solve(self, arm_angle: float, rack: float, guess: Numbers) -> Numbers:
        """The six unknowns."""
        return _root(lambda u: self.residuals(u, arm_angle, rack), guess)

    def solve_standing(self, height: float, radius: float, guess: Numbers) -> Numbers:
        """The seven unknowns, the last one the arm's angle, with the rack centred."""

        def residuals(u: Numbers) -> Numbers:
            off = (self.lowest(u[:6], radius) - height) / SCALE
            return np.append(self.residuals(u[:6], float(u[6]), 0.0), off)

        return _root(residuals, guess)


def _root(function: Callable[[Numbers], Numbers], guess: Numbers) -> Numbers:
    # The differences that make up the Jacobian are shares of the unknowns, which must not be nearly zero.
    found = root(lambda u: function(u - 1.0), guess + 1.0, method="hybr", options={"xtol": 1e-14})
    # The last steps can't shrink any more at this tolerance, so the residual decides.
    if np.abs(found.fun).max() > 1e-13:
        raise ArithmeticError(f"no pose found: {found.message}, residual {found.fun}")
    solution: Numbers = found.x - 1.0
    return solution
