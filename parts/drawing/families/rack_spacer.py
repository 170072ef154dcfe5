"""Sheet of the rack spacer: the ring cut through its bore, and seen along its axis."""

from __future__ import annotations

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method, Orthographic
from parts.drawing.layout.bodies import ToleranceFrame, note
from parts.drawing.layout.callouts import Callout
from parts.drawing.layout.pointers import Cut, Datum
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, cell
from parts.drawing.views.axes import Axes
from parts.drawing.views.projection import project
from parts.drawing.views.section import cut_through
from parts.kernel import cq
from solver.families.rack_spacer import RackSpacerDimensions

FRONT = Axes(towards=(0.0, -1.0, 0.0), right=(0.0, 0.0, 1.0))
"""The axis lies level, as in the lathe."""


def content(solid: cq.Solid, d: RackSpacerDimensions, units: Units, method: Method) -> Content:
    """Section with all sizes, and the view along the axis that shows where it is cut."""
    bore, outside, t = d.bore_diameter / 2, d.outside_diameter / 2, d.thickness
    picture, loops = cut_through(solid, (0.0, 0.0, 0.0), FRONT)
    tolerances = d.tolerances
    section = View(
        picture,
        units,
        caption="A–A",
        loops=loops,
        centre_lines=(((0.0, 0.0), (t, 0.0)),),
        pointers=(Datum((0.0, -outside), "A"),),
        dimensions=(
            Linear((0.0, -outside), (t, -outside), "bottom", Size()),
            Linear(
                (0.0, -bore), (0.0, bore), "left", Size(prefix="Ø", deviations=tolerances["bore_diameter"])
            ),
            Linear(
                (0.0, -outside),
                (0.0, outside),
                "left",
                Size(prefix="Ø", deviations=tolerances["outside_diameter"]),
            ),
        ),
        callouts=(
            Callout(
                (t - d.chamfer / 2, outside - d.chamfer / 2),
                note(f"4 × {cell(d.chamfer, units)} × 45°"),
                "right",
            ),
            Callout(
                (t, (bore + outside) / 2), ToleranceFrame("parallelism", d.parallelism, "A", units), "right"
            ),
        ),
    )
    along = View(
        project(solid, FRONT.from_left(), hidden=False),
        units,
        crosses=(((0.0, 0.0), outside),),
        pointers=(Cut(0.0, "A", 1),),
    )
    return Content(
        blocks=(Orthographic(method, section, from_left=along),),
        notes=(
            "Faces flat and square to the bore; turn both in one setting or grind them parallel.",
            "The joint's preload runs through this ring: no paint, no plating, no burr on the faces.",
        ),
        surface=Surface("machined", 3.2),
        least=1.0,
        largest=5.0 if d.outside_diameter < 20 else 2.0,
    )
