"""Natural frequency of a plate against Harris, Shock and Vibration Handbook: square plate, all edges supported.

ω = 5.70 √(E t² / (ρ a⁴ (1 − ν²))).
"""

from __future__ import annotations

import math

import pytest

from solver.strength.materials import material
from solver.strength.plates import POISSON, plate_frequency


@pytest.mark.parametrize(("side", "thickness"), [(100.0, 1.5), (250.0, 2.0)])
def test_square_plate(side: float, thickness: float) -> None:
    """The book's coefficient has three figures."""
    steel = material("S235JR")
    root = (
        steel.modulus * 1e9 * (thickness / 1e3) ** 2 / (steel.density * (side / 1e3) ** 4 * (1 - POISSON**2))
    )
    expected = 5.70 * math.sqrt(root) / (2 * math.pi)
    assert expected == pytest.approx(plate_frequency(side, side, thickness, steel), rel=1e-3)
