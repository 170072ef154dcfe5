"""Strut-top template: the plate with its slots."""

from __future__ import annotations

from parts.flat_plate import plate
from parts.kernel import cq
from solver.families.slot_template import SlotTemplateDimensions


def solid(dimensions: SlotTemplateDimensions) -> cq.Solid:
    """Plate on z = 0, the rod's nut as it is on the z axis."""
    return plate(dimensions)
