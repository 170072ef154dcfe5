"""Plates that carry nothing but must not hum."""

from __future__ import annotations

import math

from solver.strength.materials import Material

POISSON = 0.29
"""Of steel (Shigley, table A-5); aluminium's 0.33 changes a frequency by 1 %."""


def plate_frequency(length: float, width: float, thickness: float, material: Material) -> float:
    """First natural frequency in Hz of a rectangular plate, mm, simply supported all round.

    f = π/2 (1/a² + 1/b²) √(D/ρt) with D = E t³/12(1 − ν²): for a square Harris, Shock and Vibration Handbook,
    coefficient 5.70.
    """
    # Newtons, millimetres and tonnes go together.
    stiffness = material.modulus * 1e3 * thickness**3 / (12 * (1 - POISSON**2))
    by_area = material.density * 1e-12 * thickness
    return math.pi / 2 * (1 / length**2 + 1 / width**2) * math.sqrt(stiffness / by_area)
