"""A view with everything that belongs to it: edges, centre lines, dimensions, leaders, section marks, caption."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drawing.layout.bodies import Extent
from parts.drawing.layout.callouts import Callout
from parts.drawing.layout.free_places import BEYOND
from parts.drawing.layout.placing import Layout, beyond, layout_of
from parts.drawing.layout.pointers import Pointer
from parts.drawing.layout.rails import Linear
from parts.drawing.paper import dimensions
from parts.drawing.paper.ink import Ink
from parts.drawing.standards import Scale, letter_height
from parts.drawing.values import Units
from parts.drawing.views.axes import Picture
from parts.drawing.views.curves import Curve, Point

HATCH, FINE_HATCH, THIN = 2.0, 1.2, 8.0
"""mm on paper: from line to line of hatching, and below which height of the cut metal it is the finer one."""
SHORT = 8.0
"""mm: half of a centre line that is too short for its pattern."""


@dataclass(frozen=True)
class Mark:
    """A short text in a view, its middle ``offset`` mm on paper from a point of it, or further where that is taken."""

    text: str
    at: Point
    offset: Point


@dataclass(frozen=True, eq=False)
class View:
    """One view; coordinates are mm of its own plane, whose origin other views line up with.

    own: scale of a detail, where it is not the sheet's
    loops: closed outlines of cut metal, hatched
    centre_lines: level or upright, between edges; they go on beyond. crosses: centre and radius of circles
    bends: lines to bend at; phantom: neighbouring parts
    """

    picture: Picture
    units: Units
    caption: str = ""
    own: Scale | None = None
    dimensions: tuple[Linear, ...] = ()
    callouts: tuple[Callout, ...] = ()
    loops: tuple[tuple[Point, ...], ...] = ()
    centre_lines: tuple[tuple[Point, Point], ...] = ()
    crosses: tuple[tuple[Point, float], ...] = ()
    bends: tuple[tuple[Point, Point], ...] = ()
    phantom: tuple[Curve, ...] = ()
    pointers: tuple[Pointer, ...] = ()
    marks: tuple[Mark, ...] = ()

    def _scale(self, scale: float) -> float:
        return scale if self.own is None else self.own.factor

    def extent(self, scale: float) -> Extent:
        """How far it goes from its origin on paper; scale: of the sheet."""
        outer = layout_of(self, self._scale(scale)).outer
        return Extent(-outer.left, outer.right, -outer.bottom, outer.top)

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        """Draw it with its origin at a point on paper."""
        own = self._scale(scale)
        _Pen(self, ink, at, own).all(layout_of(self, own))


@dataclass(frozen=True)
class _Pen:
    """Draws one view in its place."""

    view: View
    ink: Ink
    origin: Point
    scale: float

    def at(self, point: Point) -> Point:
        """A point of the view on paper."""
        return (self.origin[0] + point[0] * self.scale, self.origin[1] + point[1] * self.scale)

    def shifted(self, point: Point) -> Point:
        """A point on paper from the view's origin, from the sheet's corner."""
        return (self.origin[0] + point[0], self.origin[1] + point[1])

    def all(self, layout: Layout) -> None:
        """Everything, what lies behind first."""
        self._shape()
        view, ink = self.view, self.ink
        for pointer in layout.pointers:
            pointer.draw(ink, self.origin, layout.box, self.scale)
        height = letter_height("text")
        for mark, (x, y) in zip(view.marks, layout.marks, strict=True):
            ink.text(mark.text, self.shifted((x, y - height / 2)), height, align="centre")
        for item in layout.rails:
            dimensions.draw_linear(ink, item, self.origin, self.scale, view.units)
        for callout in layout.callouts:
            dimensions.draw_callout(ink, callout, self.origin, self.scale, view.units)
        if layout.caption is not None:
            ink.text(view.caption, self.shifted(layout.caption), letter_height("part"), align="centre")

    def _shape(self) -> None:
        view, ink = self.view, self.ink
        if view.loops:
            ys = [y for loop in view.loops for _, y in loop]
            spacing = HATCH if (max(ys) - min(ys)) * self.scale > THIN else FINE_HATCH
            ink.hatch([[self.at(p) for p in loop] for loop in view.loops], spacing)
        for layer, curves in (
            ("HIDDEN", view.picture.hidden),
            ("SMOOTH", view.picture.smooth),
            ("PHANTOM", view.phantom),
            ("VISIBLE", view.picture.visible),
        ):
            for curve in curves:
                ink.curve(layer, curve, self.origin, self.scale)
        for line in view.centre_lines:
            start, end = beyond(line, self.scale)
            ink.line("CENTRE", self.shifted(start), self.shifted(end))
        for start, end in view.bends:
            ink.line("BEND", self.at(start), self.at(end))
        for centre, radius in view.crosses:
            x, y = self.at(centre)
            arm = radius * self.scale + BEYOND
            # A short one is drawn through: a pattern would not show the middle.
            layer = "CENTRE" if arm > SHORT else "DIMENSION"
            ink.line(layer, (x - arm, y), (x + arm, y))
            ink.line(layer, (x, y - arm), (x, y + arm))
