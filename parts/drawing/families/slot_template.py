"""Sheet of the strut-top template: where each slot begins and ends."""

from __future__ import annotations

import math

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.callouts import rounding
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.tables import Table
from parts.drawing.layout.view import Mark, View
from parts.drawing.plate_views import CUT, ENGRAVED, face_picture, with_edge
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, cell
from parts.kernel import cq
from solver.families.slot_template import SlotTemplateDimensions

BEYOND = 3.5
"""mm on paper from a slot's new end to its number."""


def content(solid: cq.Solid, d: SlotTemplateDimensions, units: Units, method: Method) -> Content:
    """The plate on its face, a table of its slots from the lower left corner."""
    x0, y0, x1, y1 = d.bounds()
    r = d.corner_radius
    slots = d.slots()
    ux, uy = (part / d.shift_length for part in d.shift)
    face = View(
        face_picture(d.flat_pattern()),
        units,
        marks=tuple(
            Mark(str(number), (x + ux * width / 2, y + uy * width / 2), (BEYOND * ux, BEYOND * uy))
            for number, (_, (x, y), width) in enumerate(slots, 1)
        ),
        dimensions=(Linear((x0, y0), (x1, y0), "bottom"), Linear((x0, y0), (x0, y1), "left")),
        callouts=(rounding((x1 - r, y1 - r), r, math.pi / 4, "right", units, size=Size(4, "R")),),
    )
    table = Table(
        f"Slots, middles of their ends from the lower left corner, {'mm' if units == 'mm' else 'in [mm]'}",
        ("slot", "old x", "old y", "new x", "new y", "width"),
        tuple(
            (str(number), *(cell(v, units) for v in (a[0] - x0, a[1] - y0, b[0] - x0, b[1] - y0, width)))
            for number, (a, b, width) in enumerate(slots, 1)
        ),
    )
    opening = "the last one over the tower's opening, " if d.opening_diameter else ""
    return Content(
        blocks=(with_edge(solid, face, units, method), table),
        notes=(
            "Seen from above on the left tower, forward to the right, outward up; "
            f"{opening}the old holes' ends engraved.",
            CUT,
            ENGRAVED,
        ),
        surface=Surface("any_surface", 25.0),
        least=0.2,
        largest=1.0,
    )
