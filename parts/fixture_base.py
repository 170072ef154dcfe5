"""Welding fixture, base: the plate with its slots."""

from __future__ import annotations

from parts.flat_plate import plate
from parts.kernel import cq
from solver.families.weld_fixture import FixtureBaseDimensions


def solid(dimensions: FixtureBaseDimensions) -> cq.Solid:
    """Plate on z = 0, x along the arm."""
    return plate(dimensions)
