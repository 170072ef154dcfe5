"""Rack spacer: the ring, turned from its profile."""

from __future__ import annotations

from parts.kernel import cq
from solver.families.rack_spacer import RackSpacerDimensions


def solid(dimensions: RackSpacerDimensions) -> cq.Solid:
    """The ring on z = 0 about the z axis, all four edges chamfered."""
    inner, outer = dimensions.bore_diameter / 2, dimensions.outside_diameter / 2
    t, c = dimensions.thickness, dimensions.chamfer
    profile = [
        (inner + c, 0.0), (outer - c, 0.0), (outer, c), (outer, t - c),
        (outer - c, t), (inner + c, t), (inner, t - c), (inner, c),
    ]  # fmt: skip
    wire = cq.Wire.makePolygon([cq.Vector(r, 0, z) for r, z in profile], close=True)
    return cq.Solid.revolve(wire, [], 360.0, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1))
