"""Welding fixture, end stop: outline with tabs and the stop screw's hole."""

from __future__ import annotations

from parts.flat_plate import plate
from parts.kernel import cq
from solver.families.weld_fixture import FixtureStopDimensions


def solid(dimensions: FixtureStopDimensions) -> cq.Solid:
    """Plate laid flat on z = 0, its tabs below y = 0."""
    return plate(dimensions)
