"""Bump-stop bracket: base, bend, leg, gusset and pad, each a prism, joined."""

from __future__ import annotations

from parts.gate import one_solid
from parts.kernel import cq
from parts.profiles import QUARTER, prism, rectangle
from solver.families.bump_stop import BumpStopDimensions


def solid(dimensions: BumpStopDimensions) -> cq.Solid:
    """Base on z = 0 from x = 0 on, leg standing up at its far end, pad on the leg's outer face."""
    d = dimensions
    return one_solid(_base(d).fuse(_bend(d), _leg(d), _gusset(d), _pad(d)).clean())


def _base(d: BumpStopDimensions) -> cq.Solid:
    half, r = d.width / 2, d.corner_radius
    outline = rectangle(0, -half, d.base_flat, half, r, 0, 0, r)
    holes = (
        [(d.mount_x, side * d.bolt_pitch / 2, d.bolt_hole_diameter) for side in (-1, 1)] if d.bolted else []
    )
    return prism(outline, d.thickness, holes=holes)


def _bend(d: BumpStopDimensions) -> cq.Solid:
    x, z, inner, outer = d.base_flat, d.thickness + d.bend_radius, d.bend_radius, d.bend_radius + d.thickness
    outline = ((x, z - outer, QUARTER), (x + outer, z, 0.0), (x + inner, z, -QUARTER), (x, z - inner, 0.0))
    return prism(outline, d.width, _side_view(d.width))


def _leg(d: BumpStopDimensions) -> cq.Solid:
    half, r = d.width / 2, d.corner_radius
    outline = rectangle(-half, d.thickness + d.bend_radius, half, d.height, 0, 0, r, r)
    return prism(outline, d.thickness, _end_view(d.leg_inner_x))


def _gusset(d: BumpStopDimensions) -> cq.Solid:
    x, z, snipe = d.leg_inner_x, d.thickness, d.gusset_snipe
    outline = (
        (x - d.gusset_base, z, 0.0), (x - snipe, z, 0.0), (x, z + snipe, 0.0), (x, z + d.gusset_height, 0.0),
    )  # fmt: skip
    return prism(outline, d.thickness, _side_view(d.thickness))


def _pad(d: BumpStopDimensions) -> cq.Solid:
    middle = cq.Vector(d.leg_outer_x, 0, d.pad_height)
    return cq.Solid.makeCylinder(d.pad_diameter / 2, d.pad_thickness, middle, cq.Vector(1, 0, 0))


def _side_view(width: float) -> cq.Plane:
    """x to the right and z up, seen along y from where a prism of this width is symmetric about y = 0."""
    return cq.Plane((0, width / 2, 0), (1, 0, 0), (0, -1, 0))


def _end_view(x: float) -> cq.Plane:
    """y to the right and z up."""
    return cq.Plane((x, 0, 0), (0, 1, 0), (1, 0, 0))
