"""Sheet of the welding fixture's end stops: the stop screw's hole on the arm's axis, and the tabs."""

from __future__ import annotations

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.callouts import hole
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.plate_views import CUT, face_picture, with_edge
from parts.drawing.standing_plate import MIDDLE, centre_line, tab_callout, tab_dimensions
from parts.drawing.title_block import Surface
from parts.drawing.values import Units, length
from parts.kernel import cq
from solver.families.weld_fixture import FixtureStopDimensions


def content(solid: cq.Solid, d: FixtureStopDimensions, units: Units, method: Method) -> Content:
    """The plate as it stands in the base."""
    half, axis = d.width / 2, d.axis_height
    face = View(
        face_picture(d.flat_pattern()),
        units,
        crosses=(((0.0, axis), d.hole_diameter / 2),),
        centre_lines=(centre_line(axis - d.hole_diameter),),
        dimensions=(
            *tab_dimensions(d),
            Linear((-half, d.height), (half, d.height), "top"),
            Linear((half, 0.0), (0.0, axis), "right"),
        ),
        callouts=(
            tab_callout(d, units),
            hole((0.0, axis), d.hole_diameter, "right", units, "through, for the stop screw"),
        ),
    )
    return Content(
        blocks=(with_edge(solid, face, units, method),),
        notes=(f"The hole is on the tabs' middle within {length(MIDDLE, units)}.", CUT),
        surface=Surface("any_surface", 25.0),
        least=0.2,
        largest=1.0,
    )
