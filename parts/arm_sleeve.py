"""Arm extension sleeve: the tube, cut to its fish-mouth ends, with its plug-weld holes."""

from __future__ import annotations

from parts.gate import one_solid
from parts.kernel import cq
from parts.profiles import prism, rectangle
from solver.families.arm_sleeve import ArmSleeveDimensions


def solid(dimensions: ArmSleeveDimensions) -> cq.Solid:
    """The tube along z with a tongue's tip on z = 0; tongues at x = 0, valleys at the sides."""
    return one_solid(_tube(dimensions).intersect(_ends(dimensions)).cut(*_plug_holes(dimensions)))


def _tube(d: ArmSleeveDimensions) -> cq.Shape:
    if d.shape == "round":
        outer = cq.Solid.makeCylinder(d.outside_width / 2, d.length)
        inner = cq.Solid.makeCylinder(d.inside_width / 2, d.length)
        # The kernel puts a cylinder's seam on +x, where a plug hole would cross it: turn it aside.
        return outer.cut(inner).rotate((0, 0, 0), (0, 0, 1), 45)
    half_width, half_height, r = d.outside_width / 2, d.outside_height / 2, d.outside_corner_radius
    outer = prism(rectangle(-half_width, -half_height, half_width, half_height, r, r, r, r), d.length)
    half_width, half_height, r = d.inside_width / 2, d.inside_height / 2, d.inside_corner_radius
    inner = prism(rectangle(-half_width, -half_height, half_width, half_height, r, r, r, r), d.length)
    return outer.cut(inner)


def _ends(d: ArmSleeveDimensions) -> cq.Solid:
    """What the four end planes z = tip − tongue·|x|/(width/2) leave standing, as seen along y."""
    # Carried on past the tube's sides, so that no face of it touches them.
    past = 1.2
    x, dip, top = past * d.outside_width / 2, past * d.tongue, d.length
    outline = (
        (0.0, 0.0, 0.0), (x, dip, 0.0), (x, top - dip, 0.0),
        (0.0, top, 0.0), (-x, top - dip, 0.0), (-x, dip, 0.0),
    )  # fmt: skip
    depth = past * d.outside_height
    return prism(outline, depth, cq.Plane((0, depth / 2, 0), (1, 0, 0), (0, -1, 0)))


def _plug_holes(d: ArmSleeveDimensions) -> list[cq.Solid]:
    """One drill right across for each pair of holes."""
    cut_end = d.tongue + d.overlap
    in_tongue, at_side = d.plug_heights
    radius, reach = d.plug_hole_diameter / 2, 1.2 * max(d.outside_width, d.outside_height)

    def drills(along: cq.Vector, height: float) -> list[cq.Solid]:
        return [
            cq.Solid.makeCylinder(radius, reach, along * (-reach / 2) + cq.Vector(0, 0, z), along)
            for z in (height, d.length - height)
        ]

    found = drills(cq.Vector(0, 1, 0), cut_end - in_tongue)
    if d.plug_holes_per_end == 4:
        found += drills(cq.Vector(1, 0, 0), cut_end - at_side)
    return found
