"""Sheet of the welding fixture's V plates: the V or notch, the height of the arm's axis, the tabs."""

from __future__ import annotations

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.bodies import note
from parts.drawing.layout.callouts import Callout
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.plate_views import CUT, face_picture, with_edge
from parts.drawing.standing_plate import MIDDLE, centre_line, tab_callout, tab_dimensions
from parts.drawing.title_block import Surface
from parts.drawing.values import Units, cell, length
from parts.kernel import cq
from solver.families.weld_fixture import FixtureVeeDimensions


def content(solid: cq.Solid, d: FixtureVeeDimensions, units: Units, method: Method) -> Content:
    """The plate as it stands in the base, the arm's axis level with its upper edge."""
    half, top, bottom = d.width / 2, d.axis_height, d.axis_height - d.notch_depth
    wide = d.notch_width / 2
    is_round = d.shape == "round"
    dimensions = [
        *tab_dimensions(d),
        Linear((-wide, top), (wide, top), "top"),
        Linear((-half, top), (half, top), "top", far=True),
        Linear((-half, bottom), (-half, top), "left"),
    ]
    callouts = [tab_callout(d, units)]
    if is_round:
        side = ((wide + d.apex / 2) / 2, (top + bottom) / 2)
        callouts.append(
            Callout(side, note("90°, both sides 45°", f"flat bottom {cell(d.apex, units)}"), "right")
        )
    face = View(
        face_picture(d.flat_pattern()),
        units,
        centre_lines=(centre_line(top),),
        dimensions=tuple(dimensions),
        callouts=tuple(callouts),
    )
    if is_round:
        held = f"For a tube of {length(d.held_width, units)}: the V is symmetrical to the tabs' middle"
    else:
        sizes = " by ".join(length(size, units) for size in (d.held_width, d.held_height))
        held = f"For an arm of {sizes}, {length(d.play, units)} of play: the notch sits over the tabs' middle"
    return Content(
        blocks=(with_edge(solid, face, units, method),),
        notes=(
            f"{held} within {length(MIDDLE, units)}; all of these plates are cut from one file, so that they hold one "
            "axis.",
            CUT,
        ),
        surface=Surface("any_surface", 25.0, "dressed where it holds"),
        least=0.2,
        largest=1.0,
    )
