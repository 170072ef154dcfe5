"""Where everything beside and in a view goes at a scale; all of it mm on paper from the view's origin."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from parts.drawing.layout.callouts import Callout, PlacedCallout, Space, stack
from parts.drawing.layout.free_places import BEYOND, Taken, crosses
from parts.drawing.layout.pointers import Pointer, Sight
from parts.drawing.layout.rails import CLEAR, Line, Placed, Side, place
from parts.drawing.paper import font
from parts.drawing.standards import letter_height
from parts.drawing.views.curves import Arc, Box, Point, Segment, box_of

if TYPE_CHECKING:
    from parts.drawing.layout.view import View

CAPTION_GAP = 3.0
CHORDS = 16
"""Of a full circle or any other curve, where it is asked whether a text lies on it."""


@dataclass(frozen=True)
class Layout:
    """A view's parts in their places.

    box: of what is seen; outer: of everything; pointers: as they leave one another room; marks: middles of texts
    """

    box: Box
    outer: Box
    rails: tuple[Placed, ...]
    callouts: tuple[PlacedCallout, ...]
    pointers: tuple[Pointer, ...]
    marks: tuple[Point, ...]
    caption: Point | None


@lru_cache(maxsize=256)
def layout_of(view: View, scale: float) -> Layout:
    """The first way of placing pointers and leaders with no text crossed, or the fewest; scale: of the view."""
    leaders = itertools.product(*(tuple(c.ways()) for c in view.callouts))
    ways = itertools.product(leaders, itertools.product(*(tuple(p.ways()) for p in view.pointers)))
    best: tuple[int, Layout] | None = None
    for callouts, pointers in ways:
        layout = _laid_out(view, scale, callouts, pointers)
        count = _crossed(layout, scale)
        if best is None or count < best[0]:
            best = (count, layout)
        if count == 0:
            break
    assert best is not None
    return best[1]


def _laid_out(
    view: View, scale: float, leaders: tuple[Callout, ...], pointers: tuple[Pointer, ...]
) -> Layout:
    box = box_of((*view.picture.visible, *view.picture.hidden, *view.phantom)).scaled(scale)
    marked = box.joined(*_marked(view, scale), *(p.box(box, scale) for p in pointers))
    rails = _rails(view, box, marked, scale)
    outer = marked.joined(*(b for item in rails for b in _boxes(item, scale)))
    callouts: list[PlacedCallout] = []
    wanted = (*leaders, *_kept_free(pointers))
    for side, edge in (("left", outer.left), ("right", outer.right)):
        stacked = stack(wanted, side, edge, scale)
        callouts += [item for item in stacked if not isinstance(item.callout.body, Space)]
    outer = outer.joined(*(item.box for item in callouts))
    beside = [line for item in rails for line in (*item.extensions(scale), item.stroke())]
    beside += [item.leader(scale) for item in callouts]
    boxes = [*(item.text_box() for item in rails), *(item.box for item in callouts)]
    taken = Taken(view.crosses, _drawn(view), beside, boxes, scale)
    marks = tuple(taken.place(mark.text, mark.at, mark.offset) for mark in view.marks)
    # One that finds no room inside stands beside the view, and the caption above it.
    outer = outer.joined(*taken.placed)
    caption = None
    if view.caption:
        caption = ((box.left + box.right) / 2, outer.top + CAPTION_GAP)
        half, tall = font.width(view.caption, letter_height("part")) / 2, letter_height("part")
        outer = outer.joined(Box(caption[0] - half, caption[1] - 1.0, caption[0] + half, caption[1] + tall))
    return Layout(box, outer, tuple(rails), tuple(callouts), pointers, marks, caption)


def _rails(view: View, box: Box, marked: Box, scale: float) -> list[Placed]:
    """Dimensions of all four sides, those above and below clear of what those at the sides let stand out."""
    taken: dict[Side, float] = {
        "left": box.left - marked.left,
        "right": marked.right - box.right,
        "top": marked.top - box.top,
        "bottom": box.bottom - marked.bottom,
    }
    found: list[Placed] = []
    for side in ("left", "right"):
        found += place(view.dimensions, side, box, scale, view.units, taken[side])
    upright = Box(0, 0, 0, 0).joined(*(b for item in found for b in _boxes(item, scale))) if found else None
    levels: tuple[Side, ...] = ("top", "bottom")
    for side in levels:
        placed = place(view.dimensions, side, box, scale, view.units, taken[side])
        beyond = any(item.reach[0] < box.left or item.reach[1] > box.right for item in placed)
        if upright is not None and beyond:
            over = upright.top - box.top if side == "top" else box.bottom - upright.bottom
            if over > taken[side]:
                placed = place(view.dimensions, side, box, scale, view.units, over)
        found += placed
    return found


def _boxes(item: Placed, scale: float) -> list[Box]:
    lines = (*item.extensions(scale), item.stroke())
    return [item.text_box(), *(_round(line) for line in lines)]


def _round(line: Line) -> Box:
    (x0, y0), (x1, y1) = line
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _marked(view: View, scale: float) -> Iterable[Box]:
    """Boxes of centre lines."""
    for line in view.centre_lines:
        yield _round(beyond(line, scale))
    for (x, y), radius in view.crosses:
        arm = radius * scale + BEYOND
        yield Box(x * scale - arm, y * scale - arm, x * scale + arm, y * scale + arm)


def beyond(line: Line, scale: float) -> Line:
    """A centre line on paper, which goes on beyond the edges; it is level or upright."""
    (x0, y0), (x1, y1) = sorted((x * scale, y * scale) for x, y in line)
    dx, dy = (BEYOND, 0.0) if x1 - x0 > y1 - y0 else (0.0, BEYOND)
    return ((x0 - dx, y0 - dy), (x1 + dx, y1 + dy))


def _kept_free(pointers: tuple[Pointer, ...]) -> list[Callout]:
    """Room beside the view for the letters of arrows that come from the left or right."""
    half = letter_height("part") / 2 + CLEAR
    return [
        Callout(sight.at, Space(half), "right" if sight.towards[0] < 0 else "left")
        for sight in pointers
        if isinstance(sight, Sight) and abs(sight.towards[0]) > 0.5
    ]


def _crossed(layout: Layout, scale: float) -> int:
    """How often a leader runs through a text, or a pointer's letter lies on a line or a text."""
    leaders = [item.leader(scale) for item in layout.callouts]
    texts = [item.text_box().grown(CLEAR) for item in layout.rails]
    count = sum(crosses(leader, text) for leader in leaders for text in texts)
    texts += [item.box for item in layout.callouts]
    lines = [*leaders, *(line for item in layout.rails for line in (*item.extensions(scale), item.stroke()))]
    for pointer in layout.pointers:
        for letter in pointer.letters(layout.box, scale):
            count += sum(crosses(line, letter) for line in lines) + sum(letter.meets(text) for text in texts)
            texts.append(letter)
    return count


def _drawn(view: View) -> list[Line]:
    """Lines that a text in the view should not lie on; curves in chords."""
    lines = [*view.centre_lines, *view.bends]
    for curve in (*view.picture.visible, *view.picture.smooth, *view.picture.hidden):
        if isinstance(curve, Segment):
            lines.append((curve.start, curve.end))
        elif isinstance(curve, Arc):
            steps = [
                curve.at(curve.start + (curve.end - curve.start) * i / CHORDS) for i in range(CHORDS + 1)
            ]
            lines += itertools.pairwise(steps)
        else:
            lines += zip(curve.points, curve.points[1:], strict=False)
    return lines
