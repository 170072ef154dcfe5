"""Sheet of the fender closure plate: seen from the tyre, cut across, the blank, its bends."""

from __future__ import annotations

from dataclasses import replace

from parts.drawing.content import Content
from parts.drawing.flat import bend_table, blank
from parts.drawing.layout.arrangement import Block, Method
from parts.drawing.layout.bodies import WeldSymbol
from parts.drawing.layout.callouts import Callout, hole
from parts.drawing.layout.pointers import Cut
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.standards import Scale, scales
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, length
from parts.drawing.views.axes import Axes, Picture
from parts.drawing.views.curves import Box, box_of
from parts.drawing.views.projection import project
from parts.drawing.views.section import cut_through
from parts.kernel import cq
from solver.families.closure_plate import ClosurePlateDimensions

PLAN = Axes(towards=(0.0, 0.0, 1.0), right=(1.0, 0.0, 0.0))
"""From the tyre's side, into which the walls stand up."""
ACROSS = Axes(towards=(0.0, -1.0, 0.0), right=(1.0, 0.0, 0.0))
RISE = 6.0
"""mm on paper that the leader to a corner's weld climbs."""
SECTION = 140.0
"""mm on paper that the section may be wide."""


def content(solid: cq.Solid, d: ClosurePlateDimensions, units: Units, method: Method) -> Content:
    """Whatever its outline and its folds are: all of it comes from the solid, the blank and the bend table."""
    plan = project(solid, PLAN, hidden=False)
    at = _clear_of(d.drain_y, box_of(plan.visible))
    through = "through its holes and " if len(d.flat_pattern().inner) > 1 else ""
    blocks: tuple[Block, ...] = (
        _plan(plan, d, units, at),
        _blank(d, units),
        _section(solid, d, units, at),
        bend_table(d.bend_table(), units),
    )
    return Content(
        blocks=blocks,
        notes=(
            f"Sheet {length(d.thickness, units)} thick; all bends up, towards the side that plan and flat pattern "
            "show, ±1°. Bent the other way it is the part of the other side of the car.",
            "The outline for cutting is the DXF file of the part, not this sheet. It is net: kerf is left to the shop.",
            f"Zinc-rich primer under the weld flange. On the car the plate is welded {through}at its tabs, the tabs "
            "are dressed flush, and gaps that are left are sealed.",
        ),
        surface=Surface("any_surface", 25.0, "as rolled"),
        least=0.2,
        largest=1.0,
    )


def _clear_of(drain: float, box: Box) -> float:
    """Where along y it is cut: in the middle of the longer piece on either side of the drain."""
    return (drain + (box.top if box.top - drain > drain - box.bottom else box.bottom)) / 2


def _plan(picture: Picture, d: ClosurePlateDimensions, units: Units, at: float) -> View:
    box, drain = box_of(picture.visible), (d.drain_x, d.drain_y)
    corner = (box.left, box.bottom)
    corner_weld = max(d.outline, key=lambda point: (point[0] + point[1], point))
    return View(
        picture,
        units,
        crosses=((drain, d.drain_diameter / 2),),
        pointers=(Cut(at, "A", 1, level=True),),
        dimensions=(
            Linear(corner, drain, "bottom"),
            Linear(corner, (box.right, box.bottom), "bottom"),
            Linear(corner, drain, "left"),
            Linear(corner, (box.left, box.top), "left"),
        ),
        callouts=(
            hole(drain, d.drain_diameter, "right", units, "drain"),
            Callout(
                corner_weld, WeldSymbol("square", 0.0, units, tail=("all", "corners")), "right", rise=RISE
            ),
        ),
    )


def _blank(d: ClosurePlateDimensions, units: Units) -> View:
    """The blank with its plug-weld holes counted."""
    pattern = d.flat_pattern()
    view = blank(pattern, units)
    _, *plugs = pattern.inner
    if not plugs:
        return view
    size = Size(len(plugs), "Ø")
    centres = (((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in plugs)
    return replace(
        view,
        callouts=(hole(max(centres), d.plug_diameter, "right", units, "plug welds", size=size),),
    )


def _section(solid: cq.Solid, d: ClosurePlateDimensions, units: Units, at: float) -> View:
    picture, loops = cut_through(solid, (0.0, at, 0.0), ACROSS)
    box = box_of(picture.visible)
    scale = _scale(box.width)
    return View(
        picture,
        units,
        caption=f"A–A ({scale.name})",
        own=scale,
        loops=loops,
        dimensions=(
            Linear((box.left, box.bottom), (box.left, box.top), "left"),
            Linear((box.right, box.top - d.tab_height), (box.right, box.top), "right"),
        ),
    )


def _scale(width: float) -> Scale:
    """The largest standard scale at which the section is no wider on paper than wanted."""
    return next((s for s in scales() if s.factor * width <= SECTION), scales()[-1])
