"""Sheet of the arm sleeve: from the side, from above and cut square, with the welds that hold it on the arm."""

from __future__ import annotations

import math

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Block, Method, Orthographic
from parts.drawing.layout.bodies import BARE, FILLER, WeldSymbol
from parts.drawing.layout.callouts import Callout, hole, rounding
from parts.drawing.layout.pointers import Cut
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.view import View
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, about
from parts.drawing.views.axes import Axes, Picture
from parts.drawing.views.curves import Curve, Segment
from parts.drawing.views.projection import project
from parts.drawing.views.section import cut_face
from parts.kernel import cq
from solver.families.arm_sleeve import ArmSleeveDimensions

SIDE = Axes(towards=(0.0, -1.0, 0.0), right=(0.0, 0.0, 1.0))
"""The sleeve lies level; its tongues are seen as points."""
STUB = 0.06
"""How much of the arm is shown beyond either end, over the sleeve's length."""


def content(solid: cq.Solid, d: ArmSleeveDimensions, units: Units, method: Method) -> Content:
    """Two views for length, ends and holes, a section for the bore."""
    blocks: tuple[Block, ...] = (
        Orthographic(method, _side(solid, d, units), from_above=_above(solid, d, units)),
        _section(solid, d, units),
    )
    across = "inside" if d.shape == "round" else "inside sizes"
    return Content(
        blocks=blocks,
        notes=(
            f"{across[0].upper()}{across[1:]}: a sliding fit on the arm, whose cut ends the chain lines show.",
            "Welds by a qualified welder: plugs first, then both ends in short lengths; quality ISO 5817-B, filler "
            f"{FILLER} or better. No oil, scale or paint within {about(BARE, units)} of a weld.",
        ),
        surface=Surface("any_surface", 6.3),
        least=0.5,
        largest=1.0,
    )


def _side(solid: cq.Solid, d: ArmSleeveDimensions, units: Units) -> View:
    length_, half = d.length, d.outside_width / 2
    at = d.covered - d.plug_heights[0]
    weld_at = (length_ - d.tongue / 2, half / 2)
    return View(
        project(solid, SIDE),
        units,
        centre_lines=(((0.0, 0.0), (length_, 0.0)),),
        crosses=tuple(((x, 0.0), d.plug_hole_diameter / 2) for x in (at, length_ - at)),
        pointers=(Cut(length_ / 2, "A", 1),),
        dimensions=(
            Linear((0.0, 0.0), (d.tongue, -half), "bottom"),
            Linear((d.tongue, -half), (length_ - d.tongue, -half), "bottom"),
            Linear((0.0, 0.0), (length_, 0.0), "bottom", far=True),
            Linear((0.0, 0.0), (at, 0.0), "top"),
            Linear((at, 0.0), (length_ - at, 0.0), "top"),
        ),
        callouts=(
            Callout(
                weld_at,
                WeldSymbol("fillet", d.fillet, units, all_round=True, site=True, tail=("both ends",)),
                "right",
            ),
            hole(
                (length_ - at, 0.0),
                d.plug_hole_diameter,
                "right",
                units,
                "both walls",
                size=Size(count=2, prefix="Ø"),
            ),
            Callout(
                (length_ - at, -d.plug_hole_diameter / 2),
                WeldSymbol("plug", d.plug_hole_diameter, units, site=True, tail=("all holes", "flush")),
                "right",
            ),
        ),
    )


def _above(solid: cq.Solid, d: ArmSleeveDimensions, units: Units) -> View:
    length_, half = d.length, d.outside_height / 2
    at = d.covered - d.plug_heights[1]
    holes = d.plug_holes_per_end == 4
    cut_ends = (d.covered, length_ - d.covered)
    linear = [
        Linear((d.tongue, -half), (cut_ends[0], -half), "bottom", Size(reference=True)),
        Linear((cut_ends[0], -half), (cut_ends[1], -half), "bottom", Size(reference=True)),
    ]
    if holes:
        linear += [
            Linear((0.0, half), (at, 0.0), "top"),
            Linear((at, 0.0), (length_ - at, 0.0), "top"),
        ]
    return View(
        project(solid, SIDE.from_above()),
        units,
        phantom=_arm(d),
        centre_lines=(((0.0, 0.0), (length_, 0.0)),),
        crosses=tuple(((x, 0.0), d.plug_hole_diameter / 2) for x in (at, length_ - at)) if holes else (),
        dimensions=tuple(linear),
        callouts=(
            hole(
                (length_ - at, 0.0),
                d.plug_hole_diameter,
                "right",
                units,
                "both walls",
                size=Size(count=2, prefix="Ø"),
            ),
        )
        if holes
        else (),
    )


def _arm(d: ArmSleeveDimensions) -> tuple[Curve, ...]:
    """The arm's two halves in the sleeve, seen from above."""
    stub, half = STUB * d.length, d.inside_height / 2
    found: list[Curve] = []
    for end, cut in ((-stub, d.covered), (d.length + stub, d.length - d.covered)):
        found.append(Segment((cut, -half), (cut, half)))
        edge = 0.0 if end < 0 else d.length
        for y in (-half, half):
            found.append(Segment((end, y), (edge, y)))
    return tuple(found)


def _section(solid: cq.Solid, d: ArmSleeveDimensions, units: Units) -> View:
    middle = (0.0, 0.0, d.length / 2)
    curves, loops = cut_face(solid, middle, SIDE.from_left())
    inside, outside = d.inside_width / 2, d.outside_width / 2
    round_ = d.shape == "round"
    prefix = "Ø" if round_ else ""
    fit = d.tolerances["inside_width"]
    linear = [
        Linear((0.0, -inside), (0.0, inside), "left", Size(prefix=prefix, deviations=fit)),
        Linear((0.0, -outside), (0.0, outside), "left", Size(prefix=prefix, reference=True)),
        Linear((d.inside_height / 2, 0.0), (d.outside_height / 2, 0.0), "top"),
    ]
    callouts: list[Callout] = []
    across = d.outside_height / 2
    if not round_:
        within = d.inside_height / 2
        linear += [
            Linear((-within, 0.0), (within, 0.0), "bottom", Size(deviations=d.tolerances["inside_height"])),
            Linear((-across, 0.0), (across, 0.0), "bottom", Size(reference=True)),
        ]
        r = d.inside_corner_radius
        if r > 0:
            corner = (within - r, -inside + r)
            callouts.append(
                rounding(corner, r, -math.pi / 4, "right", units, "inside", size=Size(count=4, prefix="R"))
            )
    return View(
        Picture(curves),
        units,
        caption="A–A",
        loops=loops,
        centre_lines=(((-across, 0.0), (across, 0.0)), ((0.0, -outside), (0.0, outside))),
        dimensions=tuple(linear),
        callouts=tuple(callouts),
    )
