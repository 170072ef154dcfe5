"""Dimensions as entities: a DIMENSION that measures, and in its block the lines and text that show it.

The block is drawn here and not by the library, whose own knows neither stacked deviations beside millimetres under
inches nor where on the sheet there is room.
"""

from __future__ import annotations

import math
from typing import Any, cast

from ezdxf.entities.dimension import Dimension
from ezdxf.entities.dimstyleoverride import DimStyleOverride
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.layouts.layout import Modelspace

from parts.drawing.layout.bodies import TextBody
from parts.drawing.layout.callouts import PlacedCallout
from parts.drawing.layout.rails import Placed
from parts.drawing.paper.document import DIMENSION_STYLE, TEXT_GAP
from parts.drawing.paper.ink import Ink
from parts.drawing.values import INCH, INCH_DIGITS, METRIC_DIGITS, Size, Units
from parts.drawing.views.curves import Point


def draw_linear(ink: Ink, item: Placed, origin: Point, scale: float, units: Units) -> None:
    """A length on its rail.

    origin: of the view on paper; scale: of the view
    """
    upright = item.linear.upright

    def shifted(point: Point) -> Point:
        return (origin[0] + point[0], origin[1] + point[1])

    def of_view(point: Point) -> Point:
        return (origin[0] + point[0] * scale, origin[1] + point[1] * scale)

    space = cast("Modelspace", ink.layout)
    ends = sorted((item.linear.start, item.linear.end), key=lambda p: p[1 if upright else 0])
    style = space.add_linear_dim(
        base=ink.model(shifted(item.paper(item.low, item.line))),
        p1=ink.model(of_view(ends[0])),
        p2=ink.model(of_view(ends[1])),
        angle=90.0 if upright else 0.0,
        text=_text(item.linear.size, units),
        dimstyle=DIMENSION_STYLE,
        override=_override(item.linear.size, ink, scale, units),
        dxfattribs={"layer": "DIMENSION"},
    )
    block = _block(ink, style)
    for start, end in (*item.extensions(scale), item.stroke()):
        block.line("DIMENSION", shifted(start), shifted(end))
    outwards = -1.0 if item.inward else 1.0
    for along, sign in ((item.low, -outwards), (item.high, outwards)):
        tip = shifted(item.paper(along, item.line))
        block.arrow("DIMENSION", tip, (0.0, sign) if upright else (sign, 0.0))
    width = max(row.width for row in item.rows)
    # Text stands above its line as it is read, and an upright one is read from the right.
    up = -1.0 if upright else 1.0
    for number, row in enumerate(item.rows):
        lift = TEXT_GAP + row.below if number == 0 else -(TEXT_GAP + row.above)
        start = item.paper(item.text + (width - row.width) / 2, item.line + up * lift)
        block.row(row, shifted(start), upright=upright)
    middle = item.paper(item.text + width / 2, item.line + up * (TEXT_GAP + item.rows[0].above / 2))
    _finish(style, ink.model(shifted(middle)))


def draw_callout(ink: Ink, item: PlacedCallout, origin: Point, scale: float, units: Units) -> None:
    """A leader with what stands at its end; to a hole or a round corner it is a dimension."""
    callout = item.callout
    sign = 1.0 if callout.side == "right" else -1.0
    tip_here, bend_here = item.leader(scale)

    def paper(point: Point) -> Point:
        return (origin[0] + point[0], origin[1] + point[1])

    tip, bend, end = paper(tip_here), paper(bend_here), paper(item.end)
    target: Ink = ink
    style: DimStyleOverride | None = None
    if callout.feature != "point":
        assert isinstance(callout.body, TextBody)
        style = _round_dimension(ink, item, origin, scale, units, tip)
        target = _block(ink, style)
    heading = math.atan2(tip[1] - bend[1], tip[0] - bend[0])
    target.line("DIMENSION", tip, bend)
    target.line("DIMENSION", bend, end)
    target.arrow("DIMENSION", tip, (math.cos(heading), math.sin(heading)))
    callout.body.draw(target, end, "left" if callout.side == "right" else "right")
    if style is not None:
        _finish(style, ink.model((end[0] + sign * callout.body.width / 2, end[1])))


def _round_dimension(
    ink: Ink, item: PlacedCallout, origin: Point, scale: float, units: Units, tip: Point
) -> DimStyleOverride:
    callout = item.callout
    centre = (origin[0] + callout.at[0] * scale, origin[1] + callout.at[1] * scale)
    size = callout.size
    assert size is not None
    space = cast("Modelspace", ink.layout)
    options: dict[str, Any] = {
        "center": ink.model(centre),
        "mpoint": ink.model(tip),
        "text": _text(size, units),
        "dimstyle": DIMENSION_STYLE,
        "override": _override(size, ink, scale, units),
        "dxfattribs": {"layer": "DIMENSION"},
    }
    return space.add_diameter_dim(**options) if callout.feature == "hole" else space.add_radius_dim(**options)


def _block(ink: Ink, style: DimStyleOverride) -> Ink:
    document = ink.layout.doc
    assert document is not None
    block: BlockLayout = document.blocks.new_anonymous_block(type_char="D")
    style.dimension.dxf.geometry = block.name
    return ink.on(block)


def _finish(style: DimStyleOverride, middle: Point) -> None:
    dimension: Dimension = style.dimension
    dimension.dxf.text_midpoint = middle
    # Bit 7: the text stands where it was put.
    dimension.dxf.dimtype |= 128
    style.commit()


def _text(size: Size, units: Units) -> str:
    """For a program that draws the dimension anew: <> is what it measures, [] the millimetres beneath the inches."""
    opening, closing = ("(", ")") if size.reference else ("", "")
    text = f"{size.counted}{opening}{size.prefix}<>{closing}"
    return text if units == "mm" else text + r"\X[]"


def _override(size: Size, ink: Ink, scale: float, units: Units) -> dict[str, Any]:
    unit = 1.0 if units == "mm" else 1 / INCH
    found: dict[str, Any] = {}
    if scale != ink.factor:
        found["dimlfac"] = unit * ink.factor / scale
    if size.deviations is not None:
        upper, lower = size.deviations
        # The lower deviation is kept with its sign turned.
        found |= {"dimtol": 1, "dimtp": upper * unit, "dimtm": -lower * unit}
        digits = (METRIC_DIGITS if units == "mm" else INCH_DIGITS) + size.finer
        found |= {"dimdec": digits, "dimtdec": digits}
        if units == "in":
            found |= {"dimaltd": METRIC_DIGITS + size.finer, "dimalttd": METRIC_DIGITS + size.finer}
    return found
