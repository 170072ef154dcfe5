"""Fillet and plug welds."""

from __future__ import annotations

import math

import numpy as np

from solver.tables import rows
from solver.vectors import Array

FILLER_YIELD = 393.0
"""Yield strength of E70 filler, MPa: 57 ksi (Shigley, table 9-3; from memory)."""
SHEAR_SHARE = 0.577
"""Yield in shear as a share of yield in tension, by distortion energy (Shigley, section 5-5)."""


def weld_yield() -> float:
    """Throat stress in MPa at which the weld metal yields in shear."""
    return SHEAR_SHARE * FILLER_YIELD


def round_weld_stress(
    leg: float, radius: float, force: Array | float, moment: Array | float, torque: Array | float = 0.0
) -> Array:
    """Throat stress in MPa of a fillet weld round a tube under axial force, bending and torsion.

    Throat area A = 1.414 π h r, unit second moment π r³ and unit polar moment 2 π r³ (Shigley, tables 9-1 and 9-2).
    """
    area = 1.414 * math.pi * leg * radius
    second = 0.707 * leg * math.pi * radius**3
    direct = np.abs(force) / area + np.abs(moment) * radius / second
    return np.hypot(direct, np.abs(torque) * radius / (2 * second))


def rectangle_weld_stress(
    leg: float,
    width: float,
    depth: float,
    shear: Array | float,
    moment: Array | float,
    torque: Array | float = 0.0,
) -> Array:
    """Throat stress in MPa of a fillet weld all round a rectangle, bent about its width.

    Throat area A = 1.414 h (b + d), unit second moment d² (3 b + d) / 6, unit polar moment (b + d)³ / 6 (Shigley,
    tables 9-1 and 9-2). All three are added as if they were square to each other, torsion at its far corner.
    """
    area = 1.414 * leg * (width + depth)
    second = 0.707 * leg * depth**2 * (3 * width + depth) / 6
    polar = 0.707 * leg * (width + depth) ** 3 / 6
    direct = np.hypot(np.abs(shear) / area, np.abs(moment) * depth / 2 / second)
    return np.hypot(direct, np.abs(torque) * math.hypot(width, depth) / 2 / polar)


def plug_stress(diameter: float, count: int, force: Array | float) -> Array:
    """Shear stress in MPa of round plug welds that share a force: F over the holes' area in the faying surface."""
    return np.abs(force) / (count * math.pi / 4 * diameter**2)


def least_leg(thickness: float) -> float:
    """Least leg in mm of a fillet weld on a plate of that thickness, under loads that come and go (AWS D1.1)."""
    for row in rows("fillet_legs"):
        if thickness <= float(row["up_to"]):
            return max(float(row["least"]), float(row["least_cyclic"]))
    return float(rows("fillet_legs")[-1]["least"])
