"""Sheet of the bump-stop bracket: from the side and on its pad, the blank, the bend, the welds."""

from __future__ import annotations

import math

from parts.drawing.content import Content
from parts.drawing.flat import bend_table, picture_of
from parts.drawing.layout.arrangement import Block, Method
from parts.drawing.layout.bodies import BARE, FILLER, WeldSymbol, note
from parts.drawing.layout.callouts import Callout, hole, rounding
from parts.drawing.layout.pointers import Sight
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.tables import Table
from parts.drawing.layout.view import Mark, View
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, about, cell
from parts.drawing.views.axes import Axes
from parts.drawing.views.curves import Point
from parts.drawing.views.projection import project
from parts.kernel import cq
from solver.families.bump_stop import BumpStopDimensions

SIDE = Axes(towards=(0.0, -1.0, 0.0), right=(1.0, 0.0, 0.0))
"""Base level, leg standing up at the right, pad to the right of it."""
RISE = 7.0
"""mm on paper that a leader climbs, so that it is not taken for the edge that it ends on."""
MARK_OFF = 4.0
"""mm on paper from a line to the middle of its name."""


def content(solid: cq.Solid, d: BumpStopDimensions, units: Units, method: Method) -> Content:
    """The bracket from the side and on its pad's face; the blank with its holes; tables of bend and pieces."""
    blocks: tuple[Block, ...] = (
        _side(solid, d, units),
        _blank(d, units),
        _pad_face(solid, d, units),
        _gusset(d, units),
        _pieces(d, units),
        bend_table(d.bend_table(), units),
    )
    held = (
        f"Held by two {d.bolt} bolts through the holes.".replace("  ", " ")
        if d.bolted
        else "Held by a fillet all round the base; line M on the flat pattern is its mounting reference, not a bend."
    )
    return Content(
        blocks=blocks,
        notes=(
            f"{held} Pad and gusset in the middle of the width, square to the leg within 1°.",
            "Welds: quality ISO 5817-C, filler "
            f"{FILLER} or better, round the ends of the gusset. No oil, scale or paint "
            f"within {about(BARE, units)} of a weld.",
            "The outline for cutting is the DXF file of the part, not this sheet. It is net: kerf is left to the shop.",
        ),
        surface=Surface("any_surface", 25.0, "cut edges dressed"),
        least=0.5,
        largest=1.0,
    )


def _side(solid: cq.Solid, d: BumpStopDimensions, units: Units) -> View:
    t, inner, outer = d.thickness, d.leg_inner_x, d.leg_outer_x
    low = inner - d.gusset_base
    face = outer + d.pad_thickness
    pad_low = d.pad_height - d.pad_diameter / 2
    # Clear of the pad's centre line.
    sight = d.pad_height - d.pad_diameter / 4
    callouts = [
        Callout(
            ((inner - d.gusset_snipe + low) / 2, t),
            WeldSymbol("fillet", d.gusset_fillet, units, both_sides=True, tail=("gusset to", "base and leg")),
            "left",
            rise=RISE,
        ),
        rounding((d.base_flat, t + d.bend_radius), d.bend_radius, -math.pi / 4, "right", units, "inside, B1"),
        Callout(
            (outer, d.pad_height + d.pad_diameter / 2),
            WeldSymbol("fillet", d.gusset_fillet, units, all_round=True, tail=("pad",)),
            "right",
            rise=RISE,
        ),
    ]
    if not d.bolted:
        site = WeldSymbol("fillet", d.base_fillet, units, all_round=True, site=True, tail=("to the arm",))
        callouts.append(Callout((0.0, 0.0), site, "left", rise=-RISE))
    return View(
        project(solid, SIDE),
        units,
        centre_lines=(((inner, d.pad_height), (outer + d.pad_thickness, d.pad_height)),),
        pointers=(Sight(((face, sight), (face, sight)), (-1.0, 0.0), "B"),),
        dimensions=(
            Linear((0.0, 0.0), (outer, 0.0), "bottom"),
            Linear((outer, pad_low), (outer + d.pad_thickness, pad_low), "bottom"),
            Linear((inner, d.height), (outer, d.height), "top"),
        ),
        callouts=tuple(callouts),
    )


def _pad_face(solid: cq.Solid, d: BumpStopDimensions, units: Units) -> View:
    half = d.width / 2
    return View(
        project(solid, SIDE.from_right(), hidden=False),
        units,
        caption="B",
        centre_lines=(((0.0, 0.0), (0.0, d.height)),),
        crosses=(((0.0, d.pad_height), d.pad_diameter / 2),),
        dimensions=(
            Linear((half, 0.0), (0.0, d.pad_height), "right"),
            Linear((half, 0.0), (half, d.height), "right"),
        ),
        callouts=(hole((0.0, d.pad_height), d.pad_diameter, "left", units, "pad"),),
    )


def _blank(d: BumpStopDimensions, units: Units) -> View:
    """The bracket laid flat with its holes or the middle of its weld."""
    pattern = d.flat_pattern()
    half, r, pitch = d.width / 2, d.corner_radius, d.bolt_pitch / 2
    (bend,) = d.bend_table()
    long = d.base_flat + bend.allowance + d.leg_flat
    (start, _), *_ = pattern.bends
    linear = [
        Linear((0.0, -half), (d.mount_x, -pitch if d.bolted else -half), "bottom"),
        Linear((0.0, -half), (start[0], -half), "bottom"),
        Linear((0.0, -half), (long, -half), "bottom", Size(reference=True)),
        Linear((0.0, -half), (0.0, half), "left"),
    ]
    callouts = [
        rounding((long - r, half - r), r, math.pi / 4, "right", units, size=Size(count=4, prefix="R"))
    ]
    marks = [Mark("B1", (start[0], 0.0), (MARK_OFF, 0.0))]
    crosses: tuple[tuple[Point, float], ...] = ()
    centres: tuple[tuple[Point, Point], ...] = ()
    if d.bolted:
        linear.append(Linear((d.mount_x, -pitch), (d.mount_x, pitch), "left"))
        crosses = tuple(((d.mount_x, y), d.bolt_hole_diameter / 2) for y in (-pitch, pitch))
        size = Size(count=2, prefix="Ø")
        through = f"through, for {d.bolt}" if d.bolt else "through"
        callouts.append(hole((d.mount_x, -pitch), d.bolt_hole_diameter, "right", units, through, size=size))
    else:
        centres = (((d.mount_x, -half), (d.mount_x, half)),)
        marks.append(Mark("M", (d.mount_x, 0.0), (-MARK_OFF, 0.0)))
    return View(
        picture_of(pattern.outer[0], *pattern.inner),
        units,
        caption="Flat pattern",
        bends=pattern.bends,
        centre_lines=centres,
        crosses=crosses,
        marks=tuple(marks),
        dimensions=tuple(linear),
        callouts=tuple(callouts),
    )


def _gusset(d: BumpStopDimensions, units: Units) -> View:
    outline = d.flat_pattern().outer[1]
    snipe, right, top, _ = outline
    return View(
        picture_of(outline),
        units,
        caption="Gusset",
        dimensions=(Linear(top[:2], right[:2], "top"), Linear(snipe[:2], top[:2], "left")),
        callouts=(
            Callout(
                (snipe[0] / 2, snipe[1] + snipe[0] / 2),
                note(f"{cell(d.gusset_snipe, units)} × 45°"),
                "right",
                rise=-RISE,
            ),
        ),
    )


def _pieces(d: BumpStopDimensions, units: Units) -> Table:
    t = cell(d.thickness, units)
    return Table(
        f"Pieces, {'mm' if units == 'mm' else 'in [mm]'}",
        ("piece", "from", "number"),
        (
            ("bracket", f"plate {t}, bent", "1"),
            ("gusset", f"plate {t}", "1"),
            ("pad", f"round Ø{cell(d.pad_diameter, units)} × {cell(d.pad_thickness, units)}", "1"),
        ),
    )
