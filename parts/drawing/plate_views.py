"""A plate that is its flat pattern and nothing else: seen on its face with what is engraved, and on its edge."""

from __future__ import annotations

from dataclasses import replace

from parts.drawing.flat import picture_of
from parts.drawing.layout.arrangement import Method, Orthographic
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.values import Units
from parts.drawing.views.axes import Axes, Picture
from parts.drawing.views.curves import Segment, box_of
from parts.drawing.views.projection import project
from parts.kernel import cq
from solver.families.base import FlatPattern

FACE = Axes(towards=(0.0, 0.0, 1.0), right=(1.0, 0.0, 0.0))
CUT = "The outline for cutting is the DXF file of the part, not this sheet."
ENGRAVED = "Thin lines within the outline are engraved or scribed, not cut: layer MARK of the DXF file."


def face_picture(pattern: FlatPattern) -> Picture:
    """All outlines, and in thin lines what is engraved."""
    lines = tuple(Segment(start, end) for start, end in pattern.marks)
    return replace(picture_of(*pattern.outer, *pattern.inner), smooth=lines)


def with_edge(solid: cq.Solid, face: View, units: Units, method: Method) -> Orthographic:
    """The face and, in line with it, the edge with the plate's thickness."""
    edge = project(solid, FACE.from_left(), hidden=False)
    box = box_of(edge.visible)
    thickness = Linear((box.left, box.bottom), (box.right, box.bottom), "bottom")
    return Orthographic(method, face, from_left=View(edge, units, dimensions=(thickness,)))
