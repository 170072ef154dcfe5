"""Puts lines, text and symbols on a sheet: millimetres of paper in, the same drawing in a PDF and a DXF file out.

In the DXF file the part is drawn at its real size and the sheet round it is as much larger as the scale makes the
part smaller. So whoever opens the file measures the part itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from ezdxf.enums import TextEntityAlignment
from ezdxf.path import from_hatch
from ezdxf.render.hatching import hatch_paths, pattern_baselines

from parts.drawing.paper.pdf import Align, Page
from parts.drawing.standards import letter_height, symbol
from parts.drawing.values import Row
from parts.drawing.views.curves import Arc, Curve, Point, Segment

if TYPE_CHECKING:
    from ezdxf.layouts.base import BaseLayout

ALIGNMENTS = {
    "left": TextEntityAlignment.LEFT,
    "centre": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}
STYLE = "SHEET"
NARROWED = 0.9
"""Width of text in the DXF file over that of its font, with which it takes no more room than the PDF file's."""
ARROW, ARROW_WIDTH = 2.5, 0.8
"""mm: filled arrowhead, ISO 129-1, closed and filled at about 15° (from memory)."""
DIGITS = 6
HATCH_ORIGIN = (0.00123, 0.00047)
"""So that no line of the hatching goes just through a corner, which lies on round numbers."""


def escaped(text: str) -> str:
    """As a TEXT entity holds it: the format takes %%c, ^J and \\U+2205 for something else than they say."""
    return text.replace("^", "^ ").replace("%%", "%%%%%%").replace("\\U+", "\\U +").replace("\\M+", "\\M +")


class Ink:
    """Draws on a page, and on one layout or block of a document.

    factor: mm on paper for a mm of the part
    """

    def __init__(self, page: Page, layout: BaseLayout, factor: float) -> None:
        self.page, self.layout, self.factor = page, layout, factor

    def on(self, layout: BaseLayout) -> Ink:
        """The same on another layout or block, which is shown where it was drawn."""
        return Ink(self.page, layout, self.factor)

    def model(self, at: Point) -> Point:
        """A point on paper in the document's own units."""
        return (round(at[0] / self.factor, DIGITS) + 0.0, round(at[1] / self.factor, DIGITS) + 0.0)

    def length(self, paper: float) -> float:
        """A length on paper in the document's own units."""
        return round(paper / self.factor, DIGITS)

    def line(self, layer: str, start: Point, end: Point) -> None:
        """A straight line."""
        self.page.lines(layer, [(start, end)])
        self.layout.add_line(self.model(start), self.model(end), dxfattribs={"layer": layer})

    def polyline(self, layer: str, points: Iterable[Point], *, closed: bool = False) -> None:
        """Straight lines from point to point."""
        corners = list(points)
        self.page.lines(layer, [corners], closed=closed)
        self.layout.add_lwpolyline(
            [self.model(p) for p in corners], close=closed, dxfattribs={"layer": layer}
        )

    def circle(self, layer: str, centre: Point, radius: float) -> None:
        """A full circle."""
        self.page.arc(layer, centre, radius, 0.0, 2 * math.pi)
        self.layout.add_circle(self.model(centre), self.length(radius), dxfattribs={"layer": layer})

    def curve(self, layer: str, curve: Curve, origin: Point, scale: float) -> None:
        """A curve of a view, whose own origin lies at ``origin`` on paper; scale: of the view."""

        def at(point: Point) -> Point:
            return (origin[0] + point[0] * scale, origin[1] + point[1] * scale)

        if isinstance(curve, Segment):
            self.line(layer, at(curve.start), at(curve.end))
        elif not isinstance(curve, Arc):
            self.polyline(layer, map(at, curve.points))
        elif curve.closed:
            self.circle(layer, at(curve.centre), curve.radius * scale)
        else:
            self.page.arc(layer, at(curve.centre), curve.radius * scale, curve.start, curve.end)
            self.layout.add_arc(
                self.model(at(curve.centre)),
                self.length(curve.radius * scale),
                round(math.degrees(curve.start), DIGITS),
                round(math.degrees(curve.end), DIGITS),
                dxfattribs={"layer": layer},
            )

    def area(self, layer: str, corners: Sequence[Point]) -> None:
        """A filled triangle or convex quadrangle."""
        self.page.area(corners)
        points = [self.model(corner) for corner in corners]
        # The format wants the last two corners of four crosswise.
        self.layout.add_solid(
            [*points[:2], *reversed(points[2:])] if len(points) == 4 else points, dxfattribs={"layer": layer}
        )

    def hatch(self, loops: Iterable[Sequence[Point]], spacing: float) -> None:
        """Fill what lies between closed outlines with lines at 45°, ``spacing`` mm apart on paper."""
        hatch = self.layout.add_hatch(dxfattribs={"layer": "HATCH"})
        step = self.length(spacing) * math.sqrt(0.5)
        hatch.set_pattern_fill("ANSI31", color=256, definition=[[45.0, HATCH_ORIGIN, (-step, step), []]])
        for loop in loops:
            hatch.paths.add_polyline_path([self.model(p) for p in loop], is_closed=True)
        paths = list(from_hatch(hatch))
        drawn = (
            line
            for base in pattern_baselines(hatch, jiggle_origin=False)
            for line in hatch_paths(base, paths)
        )
        self.page.lines(
            "HATCH",
            [[(p.x * self.factor, p.y * self.factor) for p in (line.start, line.end)] for line in drawn],
        )

    def text(
        self, text: str, at: Point, height: float, *, rotation: float = 0.0, align: Align = "left"
    ) -> None:
        """One line of text by the point on its base line; rotation in degrees."""
        if not text:
            return
        self.page.text(text, at, height, rotation, align)
        entity = self.layout.add_text(
            escaped(text),
            height=self.length(height),
            rotation=rotation,
            dxfattribs={"layer": "TEXT", "style": STYLE, "width": NARROWED},
        )
        entity.set_placement(self.model(at), align=ALIGNMENTS[align])

    def row(self, row: Row, at: Point, *, upright: bool = False) -> None:
        """A row of lettering by its start; upright: read from the right."""
        for run in row.runs:
            x, y = (-run.y, run.x) if upright else (run.x, run.y)
            self.text(run.text, (at[0] + x, at[1] + y), run.height, rotation=90.0 if upright else 0.0)

    def arrow(self, layer: str, tip: Point, towards: Point) -> None:
        """An arrowhead whose tip points along a unit vector."""
        back = (tip[0] - ARROW * towards[0], tip[1] - ARROW * towards[1])
        across = (-towards[1] * ARROW_WIDTH / 2, towards[0] * ARROW_WIDTH / 2)
        self.area(
            layer,
            (tip, (back[0] + across[0], back[1] + across[1]), (back[0] - across[0], back[1] - across[1])),
        )

    def symbol(
        self,
        name: str,
        at: Point,
        *,
        height: float | None = None,
        layer: str = "SYMBOL",
        flipped: bool = False,
    ) -> None:
        """A graphical symbol from the table; flipped: upside down, as below a reference line."""
        size = height or letter_height("text")
        for element, numbers in symbol(name):
            pairs = list(zip(numbers[0::2], numbers[1::2], strict=False))
            points = [(at[0] + x * size, at[1] + (-y if flipped else y) * size) for x, y in pairs]
            if element == "polyline":
                self.polyline(layer, points)
            elif element == "area":
                self.area(layer, points)
            else:
                self.circle(layer, points[0], numbers[2] * size)
