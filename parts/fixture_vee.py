"""Welding fixture, V plate: outline with tabs and notch."""

from __future__ import annotations

from parts.flat_plate import plate
from parts.kernel import cq
from solver.families.weld_fixture import FixtureVeeDimensions


def solid(dimensions: FixtureVeeDimensions) -> cq.Solid:
    """Plate laid flat on z = 0, its tabs below y = 0."""
    return plate(dimensions)
