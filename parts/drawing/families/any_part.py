"""Sheet of a family that has no sheet of its own: three views with the size over all, the blank, and a table."""

from __future__ import annotations

from dataclasses import fields

from parts.drawing.content import Content
from parts.drawing.flat import bend_table, blank
from parts.drawing.layout.arrangement import Block, Method, Orthographic
from parts.drawing.layout.rails import Linear, Side
from parts.drawing.layout.tables import Table
from parts.drawing.layout.view import View
from parts.drawing.title_block import Surface
from parts.drawing.values import Units, cell
from parts.drawing.views.axes import Axes
from parts.drawing.views.curves import box_of
from parts.drawing.views.projection import project
from parts.kernel import cq
from solver.families.base import PartDimensions

FRONT = Axes(towards=(0.0, -1.0, 0.0), right=(1.0, 0.0, 0.0))


def content(solid: cq.Solid, d: PartDimensions, units: Units, method: Method) -> Content:
    """Whatever the part, with every length of its dimension type in a table."""
    blocks: list[Block] = [
        Orthographic(
            method,
            _view(solid, FRONT, units, "bottom", "left"),
            from_above=_view(solid, FRONT.from_above(), units, "left"),
            from_left=_view(solid, FRONT.from_left(), units),
        )
    ]
    pattern = d.flat_pattern()
    notes = []
    if pattern is not None:
        blocks.append(blank(pattern, units))
        notes.append(
            "The outline for cutting is the DXF file of the part, not this sheet. It is net: kerf is left to the shop."
        )
        if bends := d.bend_table():
            blocks.append(bend_table(bends, units))
    blocks.append(_lengths(d, units))
    return Content(tuple(blocks), tuple(notes), Surface("any_surface", 25.0), least=0.2, largest=2.0)


def _view(solid: cq.Solid, axes: Axes, units: Units, *sides: Side) -> View:
    """With the size over all on these sides."""
    picture = project(solid, axes)
    box = box_of(picture.visible)
    low, far = (box.left, box.bottom), {"bottom": (box.right, box.bottom), "left": (box.left, box.top)}
    return View(picture, units, dimensions=tuple(Linear(low, far[side], side) for side in sides))


def _lengths(d: PartDimensions, units: Units) -> Table:
    # A K-factor is the one number of a part that is no length.
    names = (f.name for f in fields(d) if f.type == "float" and not f.name.endswith("factor"))
    return Table(
        f"Dimensions, {'mm' if units == 'mm' else 'in [mm]'}",
        ("dimension", "size"),
        tuple((name.replace("_", " "), cell(getattr(d, name), units)) for name in names),
    )
