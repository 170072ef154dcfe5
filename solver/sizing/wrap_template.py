"""Sizes the wrap-round template: girth by the measured arm, edge by the cut's angle, length by sleeve and room."""

from __future__ import annotations

import math

from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.wrap_template import WrapTemplateDimensions
from solver.front_end import link_of
from solver.marking import Marking
from solver.part import Part, Refusal
from solver.sizing.context import SizingContext, accepted
from solver.stock import round_up
from solver.strength.materials import PAPER

PAPER_THICKNESS = 0.1
"""mm, of 80 g/m² paper; common practice, no source."""
FLAP = 15.0
LEAST_STRIP = 40.0
"""Of a template without the sleeve's end on it, mm: shorter ones run askew. Common practice, no source."""
BEYOND = 8.0
"""Of the sleeve's end, mm."""
END = 25.0
"""Of the link that a bush or the other leg's joint takes from its middle on, mm. Common practice, no source."""


def parts(context: SizingContext, made: Part) -> list[Part | Refusal]:
    """The template for both arms; ``made`` is the sleeve that goes over the cut."""
    sleeve = made.dimensions
    assert isinstance(sleeve, ArmSleeveDimensions)
    job = context.solution.job
    angle = (job.marking or Marking()).cut_angle
    section = job.car.arm.section
    link = link_of(job.car, "left")
    rooms = {
        "the pivot's half": link.length - link.cut,
        "the ball joint's half": link.cut - (link.leg or 0.0),
    }
    half = max(rooms, key=lambda name: rooms[name])
    rise = section.height / 2 * math.tan(abs(angle))
    crowded = _plugs(sleeve, angle)
    name = WrapTemplateDimensions.family
    if crowded:
        return [
            Refusal(
                name,
                "cut angle",
                crowded,
                "a cut nearer to square, [marking] cut_angle, or a square one: leave it out",
            )
        ]
    strip = round_up(sleeve.covered + BEYOND, job.shelf)
    drawn = strip <= rooms[half] - END
    if not drawn:
        strip = round_up(rise + LEAST_STRIP, job.shelf)
    dimensions = WrapTemplateDimensions(
        shape=section.shape,
        arm_width=section.width,
        arm_height=section.height,
        arm_corner_radius=section.corner_radius if section.shape == "rectangular" else 0.0,
        cut_rise=round(section.height * math.tan(angle), 4),
        strip=strip,
        lap=FLAP,
        sleeve_valley=sleeve.overlap if drawn else 0.0,
        sleeve_tongue=sleeve.tongue if drawn else 0.0,
        sleeve_width=sleeve.outside_width if drawn else 0.0,
        paper=PAPER_THICKNESS,
    )
    return [
        accepted(
            Part(
                name=name,
                dimensions=dimensions,
                quantity=2,
                fits=f"round each lower arm, on {half}, its upper edge on the cut",
                material=PAPER.name,
                process="printed at 100 %, cut out with scissors; or from the DXF on a plotter",
                reasons=(
                    f"girth {dimensions.girth:.2f} mm: once round the measured arm, {_said(context)}, in the middle "
                    "of the paper's thickness",
                    _edge(context, angle),
                    f"length {strip:.1f} mm: "
                    + (
                        f"the sleeve's end is on it, {sleeve.covered:.1f} mm from the cut at its tongues"
                        if drawn
                        else "as much as runs true round the arm; there is no room for the sleeve's end"
                    ),
                ),
                role="marking aid",
                if_it_fails="it carries nothing; a sheet laid askew gives a cut that is askew",
                qualified=("whether this arm may be cut at all, as for the sleeve",),
                assumptions=(
                    "the arm has the measured section all along the template, and is straight there",
                ),
                not_assessed=("seams, paint and rust under the paper: they make it gape",),
                notes=(
                    "print at 100 %, not fitted to the page, then measure both check bars: 50 mm each",
                    f"the cut lies {link.cut:.1f} mm from the ball joint's middle along the arm: mark that on the "
                    f"arm's top with a tape, lay the template on {half}, edge to the mark, top line on the arm's top",
                    _closing(dimensions),
                    "scribe along the edge, prick the other lines through, take the paper off and chalk the lines; "
                    "saw beside the line and file to it",
                    *_sleeve_words(dimensions, sleeve, section.width, drawn),
                ),
            )
        )
    ]


def _plugs(sleeve: ArmSleeveDimensions, angle: float) -> str | None:
    """Why a slanted cut leaves a plug-weld hole too little of the arm under it; None where it leaves enough."""
    slope = math.tan(abs(angle))
    hole = sleeve.plug_hole_diameter
    tongue, side = sleeve.plug_heights
    # The tongues' holes lie on top and below, where the cut is farthest off; the sides' reach up by half of themselves.
    left = [tongue - hole / 2 - sleeve.inside_height / 2 * slope]
    if sleeve.plug_holes_per_end == 4:
        left.append(side - hole / 2 - hole / 2 * slope)
    least = min(left)
    if least >= hole / 2 - 1e-9:
        return None
    return (
        f"a cut {math.degrees(abs(angle)):.1f}° off square leaves {max(least, 0.0):.1f} mm of the arm between its "
        f"end and a plug-weld hole of the sleeve, half of the hole, {hole / 2:.1f} mm, is the least"
    )


def _said(context: SizingContext) -> str:
    section = context.solution.job.car.arm.section
    if section.shape == "round":
        return f"{section.width:.2f} mm in diameter"
    return f"{section.width:.2f} mm × {section.height:.2f} mm, corners {section.corner_radius:.2f} mm"


def _edge(context: SizingContext, angle: float) -> str:
    if not angle:
        return "upper edge straight: the cut is square"
    rise = context.solution.job.car.arm.section.height * math.tan(abs(angle))
    curve = "a sine" if context.solution.job.car.arm.section.shape == "round" else "straight on each side"
    return (
        f"upper edge {curve}, {rise:.2f} mm from its lowest to its highest: a flat cut "
        f"{math.degrees(abs(angle)):.1f}° off square, as given"
    )


def _closing(dimensions: WrapTemplateDimensions) -> str:
    if dimensions.shape == "round":
        return "its ends meet on the arm's underside without gap or overlap, the flap on top of the other end: tape it"
    return "fold it over at the four lines; its ends meet in the middle of the underside, the flap on top: tape it"


def _sleeve_words(
    dimensions: WrapTemplateDimensions, sleeve: ArmSleeveDimensions, width: float, drawn: bool
) -> list[str]:
    # Where it lies on the arm, ``width`` mm wide: at its outside its end is nearer to the cut.
    sides = sleeve.covered - sleeve.tongue * width / sleeve.outside_width
    words = [
        f"the sleeve's end lies on the arm {sleeve.covered:.1f} mm from the cut on top and below, {sides:.1f} mm at "
        "the sides, on either half: no paint from there to 30 mm beyond"
    ]
    if drawn:
        turn = ", half a turn round where the cut is slanted" if dimensions.cut_rise else ""
        words.append(
            f"for the sleeve's end on the other half lay the template there with its edge to the cut{turn}"
        )
    return words
