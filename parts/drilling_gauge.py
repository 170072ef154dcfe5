"""Drilling gauge: the plate with the holes that its bushes are pressed into, at basic size."""

from __future__ import annotations

from parts.flat_plate import plate
from parts.kernel import cq
from solver.families.drilling_gauge import DrillingGaugeDimensions


def solid(dimensions: DrillingGaugeDimensions) -> cq.Solid:
    """Plate on z = 0, the locating hole on the z axis; the bushes are bought."""
    return plate(dimensions)
