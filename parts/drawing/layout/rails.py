"""Where dimension lines go: on rails beside a view, shorter ones nearer, with no text crossed or overlapped.

Everything is worked out along the rail: x for rails above and below a view, y for those at its sides. On each side
lanes follow one another outwards. A dimension takes the first lane where its line and text have room, where its
extension lines cross no text of a lane further in, and where its own text is crossed by none that is further out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from parts.drawing.paper.document import EXTENSION_BEYOND, EXTENSION_GAP, TEXT_GAP
from parts.drawing.paper.ink import ARROW
from parts.drawing.values import PLAIN, Row, Size, Units
from parts.drawing.views.curves import Box, Point

Side = Literal["left", "right", "top", "bottom"]
Line = tuple[Point, Point]

FIRST, APART, CLEAR = 7.0, 1.2, 1.0
"""mm: from the view to the first lane at least, between two lanes' text, and from text to any line or text beside."""
NOTHING = 0.005
"""mm. A length that would be written as 0 is not dimensioned."""
OUTSIDE = 2 * ARROW
"""mm of line beyond an arrowhead that points inwards from outside."""


@dataclass(frozen=True)
class Linear:
    """A length between two points of a view, along the rail of one side of it.

    start, end: where it is measured, in the view's own mm
    size: how it is written
    far: stands further out than all that are not far
    """

    start: Point
    end: Point
    side: Side
    size: Size = PLAIN
    far: bool = False

    @property
    def upright(self) -> bool:
        """Whether it measures a height."""
        return self.side in ("left", "right")

    @property
    def value(self) -> float:
        """What it measures, mm."""
        axis = 1 if self.upright else 0
        return abs(self.end[axis] - self.start[axis])


@dataclass(frozen=True)
class Placed:
    """A dimension in its place; mm on paper, from the view's origin.

    low, high: of the measured length along the rail; line: where the dimension line is, across it
    text: along the rail, where the text begins; rows: what is written
    inward: whether the arrowheads stand outside and point in
    reach: how far line and text go along the rail
    """

    linear: Linear
    rows: tuple[Row, ...]
    low: float
    high: float
    line: float
    text: float
    inward: bool
    reach: tuple[float, float]

    def paper(self, along: float, across: float) -> Point:
        """A place on or off the rail."""
        return (across, along) if self.linear.upright else (along, across)

    def extensions(self, scale: float) -> tuple[Line, Line]:
        """Extension lines at the lower and the upper end; scale: of the view."""
        axis = 1 if self.linear.upright else 0
        ends = sorted((self.linear.start, self.linear.end), key=lambda p: p[axis])
        found = []
        for along, point in zip((self.low, self.high), ends, strict=True):
            across = point[1 - axis] * scale
            out = 1.0 if self.line > across else -1.0
            start, end = across + out * EXTENSION_GAP, self.line + out * EXTENSION_BEYOND
            found.append((self.paper(along, start), self.paper(along, end)))
        return (found[0], found[1])

    def stroke(self) -> Line:
        """The dimension line."""
        low, high = (self.low - OUTSIDE, self.high + OUTSIDE) if self.inward else (self.low, self.high)
        return (
            self.paper(min(low, self.reach[0]), self.line),
            self.paper(max(high, self.reach[1]), self.line),
        )

    def text_box(self) -> Box:
        """Round all that is written."""
        width = max(row.width for row in self.rows)
        above = TEXT_GAP + self.rows[0].below + self.rows[0].above
        beneath = TEXT_GAP + self.rows[1].above + self.rows[1].below if len(self.rows) > 1 else 0.0
        # Text stands above its line as it is read, and an upright one is read from the right.
        if self.linear.upright:
            return Box(self.line - above, self.text, self.line + beneath, self.text + width)
        return Box(self.text, self.line - beneath, self.text + width, self.line + above)


@dataclass(frozen=True)
class _Try:
    text: float
    inward: bool
    reach: tuple[float, float]


def place(
    dimensions: tuple[Linear, ...], side: Side, box: Box, scale: float, units: Units, start: float = 0.0
) -> list[Placed]:
    """All dimensions of one side.

    box: of the view, mm on paper; scale: of the view; start: mm that are taken beside the view already
    """
    mine = [d for d in dimensions if d.side == side and d.value > NOTHING]
    if not mine:
        return []
    sized = [(d, d.size.rows(d.value, units)) for d in mine]
    above = max(TEXT_GAP + rows[0].above + rows[0].below for _, rows in sized)
    beneath = max(
        (TEXT_GAP + rows[1].above + rows[1].below for _, rows in sized if len(rows) > 1), default=0.0
    )
    # Text stands above its line, which is outwards on the left and at the top.
    outwards, inwards = (above, beneath) if side in ("left", "top") else (beneath, above)
    lanes: list[list[tuple[_Try, float, float, Linear, tuple[Row, ...]]]] = []
    axis = 1 if mine[0].upright else 0
    ends = [point[axis] * scale for d in mine for point in (d.start, d.end)]
    outermost = (min(ends), max(ends))
    inside_out = sorted(sized, key=lambda item: (item[0].far, item[0].value))
    for number, (dimension, rows) in enumerate(inside_out):
        low, high = sorted((dimension.start[axis] * scale, dimension.end[axis] * scale))
        width = max(row.width for row in rows)
        # Extension lines of those that come further out, which text should leave free.
        coming = [p[axis] * scale for d, _ in inside_out[number + 1 :] for p in (d.start, d.end)]
        tries = _tries(low, high, width, *outermost)
        free = [t for t in tries if not any(t.text - CLEAR < at < t.text + width + CLEAR for at in coming)]
        lane, chosen = _first_room(lanes, free or tries, width, low, high, dimension.far)
        while len(lanes) <= lane:
            lanes.append([])
        lanes[lane].append((chosen, low, high, dimension, rows))
    pitch = max(outwards + inwards + APART, FIRST)
    first = max(FIRST, start + inwards + (APART if start else 0.0))
    edge = {"left": box.left, "right": box.right, "bottom": box.bottom, "top": box.top}[side]
    sign = -1.0 if side in ("left", "bottom") else 1.0
    return [
        Placed(d, rows, low, high, edge + sign * (first + i * pitch), t.text, t.inward, t.reach)
        for i, lane_items in enumerate(lanes)
        for t, low, high, d, rows in lane_items
    ]


def _tries(low: float, high: float, width: float, lowest: float, highest: float) -> list[_Try]:
    """Ways to write a dimension, the best first: text between the arrows, beyond one of them, beyond everything.

    lowest, highest: ends of all dimensions on this side
    """
    span = high - low
    tries = []
    arrows_inside = span >= 2 * ARROW + CLEAR
    if span >= width + CLEAR:
        middle = (low + high - width) / 2
        reach = (low, high) if arrows_inside else (low - OUTSIDE, high + OUTSIDE)
        tries.append(_Try(middle, not arrows_inside, reach))
    after, before = high + OUTSIDE, low - OUTSIDE
    tries.append(_Try(after, True, (before, after + width)))
    tries.append(_Try(before - width, True, (before - width, after)))
    after, before = max(after, highest + 2 * CLEAR), min(before, lowest - 2 * CLEAR)
    tries.append(_Try(after, True, (low - OUTSIDE, after + width)))
    tries.append(_Try(before - width, True, (before - width, high + OUTSIDE)))
    return tries


def _first_room(
    lanes: list[list[tuple[_Try, float, float, Linear, tuple[Row, ...]]]],
    tries: list[_Try],
    width: float,
    low: float,
    high: float,
    far: bool,
) -> tuple[int, _Try]:
    """The nearest lane with room, and the way to write it there."""
    nearest = 0
    if far:
        nearest = max(
            (i + 1 for i, items in enumerate(lanes) if any(not d.far for *_, d, _ in items)), default=0
        )
    for lane in range(nearest, len(lanes) + 1):
        for each in tries:
            if _fits(lanes, lane, each, width, low, high):
                return lane, each
    return len(lanes), tries[-1]


def _fits(
    lanes: list[list[tuple[_Try, float, float, Linear, tuple[Row, ...]]]],
    lane: int,
    each: _Try,
    width: float,
    low: float,
    high: float,
) -> bool:
    mine = (each.text - CLEAR, each.text + width + CLEAR)
    for i, items in enumerate(lanes):
        for other, other_low, other_high, _, rows in items:
            theirs = max(row.width for row in rows)
            text = (other.text - CLEAR, other.text + theirs + CLEAR)
            if i < lane and any(text[0] < at < text[1] for at in (low, high)):
                return False
            if i > lane and any(mine[0] < at < mine[1] for at in (other_low, other_high)):
                return False
            if i == lane and _meet(each, other):
                return False
    return True


def _meet(one: _Try, other: _Try) -> bool:
    # Two in a row may share an extension line when both have their arrowheads inside.
    gap = -1e-6 if not (one.inward or other.inward) else CLEAR
    return one.reach[0] < other.reach[1] + gap and other.reach[0] < one.reach[1] + gap
