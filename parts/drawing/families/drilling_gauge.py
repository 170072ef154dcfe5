"""Sheet of the drilling gauge: the plate on its face, its two holes and what they must hold."""

from __future__ import annotations

import math

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.callouts import hole, rounding
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.plate_views import ENGRAVED, face_picture, with_edge
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units
from parts.kernel import cq
from solver.families.drilling_gauge import DrillingGaugeDimensions

SMALL = 100.0
"""mm over all, below which a gauge is drawn no smaller than it is."""


def content(solid: cq.Solid, d: DrillingGaugeDimensions, units: Units, method: Method) -> Content:
    """Distance and diameter of the holes with their deviations, the outline, the sight line."""
    half, r, far = d.width / 2, d.corner_radius, d.distance + d.end_margin
    face = View(
        face_picture(d.flat_pattern()),
        units,
        crosses=tuple(((x, 0.0), d.hole_diameter / 2) for x in (0.0, d.distance)),
        dimensions=(
            Linear((0.0, 0.0), (d.distance, 0.0), "bottom", Size(deviations=d.tolerances["distance"])),
            Linear((-d.end_margin, -half), (0.0, 0.0), "bottom"),
            Linear((-d.end_margin, -half), (far, -half), "bottom", Size(reference=True), far=True),
            Linear((-d.end_margin, -half), (-d.end_margin, half), "left"),
            Linear((-d.end_margin, 0.0), (-d.end_margin, half), "left"),
        ),
        callouts=(
            hole((d.distance, 0.0), d.hole_diameter, "right", units, "H7 through", size=Size(2, "Ø", d.fit)),
            rounding((far - r, half - r), r, math.pi / 4, "right", units, size=Size(4, "R")),
        ),
    )
    return Content(
        blocks=(with_edge(solid, face, units, method),),
        notes=(
            "Holes square to the faces. Long edges straight, parallel to the line through both "
            "middles: they are sighted along.",
            "Bushes flush or below on both faces: the gauge is turned over.",
            ENGRAVED,
        ),
        surface=Surface("machined", 6.3),
        # Bushes a few mm apart can't be read at half size.
        least=1.0 if d.length < SMALL else 0.5,
        largest=2.0,
    )
