"""Loads that come at once, or with a mass behind them."""

from __future__ import annotations

import numpy as np

from solver.vectors import Array


def impact_force(steady: Array | float, energy: Array | float, stiffness: float) -> Array:
    """Largest force in N on what a moving body meets: F = W + √(W² + 2 E k).

    Energy balance of a linear spring (Shigley, 9th edition, section 4-17, W h there being the energy E).

    steady: W, N, what keeps pushing; energy: E of the motion when they meet, N mm; stiffness: k, N/mm. Without
    motion a load that is applied at once counts twice; where nothing pushes and nothing moves there is no force.
    """
    return np.asarray(steady) + np.sqrt(np.square(steady) + 2 * np.asarray(energy) * stiffness)
