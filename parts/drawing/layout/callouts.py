"""Leaders with what stands at their ends, stacked beside a view so that none covers another."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from parts.drawing.layout.bodies import Body, End, TextBody
from parts.drawing.paper.ink import Ink
from parts.drawing.values import DIAMETER, RADIUS, Size, Units, plain_row
from parts.drawing.views.curves import Box, Point

AWAY, SHOULDER, BETWEEN = 4.0, 2.5, 2.5
"""mm: from the view to the leader's bend, of its level piece, and between two bodies."""

WITHIN = math.radians(40.0)
"""How far from the middle of a quarter-turn corner's arc an arrow may touch it."""

Feature = Literal["point", "hole", "round"]


@dataclass(frozen=True)
class Callout:
    """A leader to a feature of a view.

    at: the point that the arrow touches, or the centre of a hole or of a round corner, mm of the view
    body: at the leader's other end; side: of the view that it stands on
    feature, radius, size: a hole or a round corner is measured by the leader itself, a dimension in its own right;
        the size is how it is written
    toward: rad, from a round corner's centre to the middle of its arc
    rise: mm on paper by which the leader's other end is best higher than what it points at
    """

    at: Point
    body: Body
    side: Literal["left", "right"]
    feature: Feature = "point"
    radius: float = 0.0
    toward: float = 0.0
    size: Size | None = None
    rise: float = 0.0

    def ways(self) -> Iterator[Callout]:
        """The same with its leader less steep or the other way, the best first."""
        yield self
        if self.rise:
            yield from (replace(self, rise=self.rise * share) for share in (0.5, -1.0, -0.5))

    def tip(self, scale: float, bend: Point) -> Point:
        """Where the arrow touches, mm on paper; bend: where the leader comes from."""
        x, y = self.at[0] * scale, self.at[1] * scale
        if self.feature == "point":
            return (x, y)
        angle = math.atan2(bend[1] - y, bend[0] - x)
        if self.feature == "round":
            # A radius is measured on a line through its centre, from whichever side the leader comes.
            off = min((_turned(angle + turn - self.toward) for turn in (0.0, math.pi)), key=abs)
            angle = self.toward + max(-WITHIN, min(WITHIN, off))
        return (x + self.radius * scale * math.cos(angle), y + self.radius * scale * math.sin(angle))

    def anchor(self, scale: float) -> float:
        """Height at which the leader would like to end, mm on paper."""
        lift = self.radius * scale * math.sin(self.toward) if self.feature == "round" else 0.0
        return self.at[1] * scale + lift + self.rise


def _turned(angle: float) -> float:
    """The same angle from -π to π."""
    return (angle + math.pi) % (2 * math.pi) - math.pi


@dataclass(frozen=True)
class Space:
    """Room that leaders leave to something else: half of its height above and below."""

    half: float

    width = 0.0

    @property
    def above(self) -> float:
        return self.half

    @property
    def below(self) -> float:
        return self.half

    def draw(self, ink: Ink, at: Point, end: End) -> None:
        """Nothing."""


def hole(
    centre: Point,
    diameter: float,
    side: Literal["left", "right"],
    units: Units,
    *lines: str,
    size: Size = DIAMETER,
) -> Callout:
    """The diameter of a hole; lines: of text beneath it."""
    rows = (*size.rows(diameter, units), *map(plain_row, lines))
    return Callout(centre, TextBody(rows), side, "hole", diameter / 2, size=size)


def rounding(
    centre: Point,
    radius: float,
    toward: float,
    side: Literal["left", "right"],
    units: Units,
    *lines: str,
    size: Size = RADIUS,
) -> Callout:
    """The radius of a round corner or bend; toward: rad, from its centre to the arc."""
    rows = (*size.rows(radius, units), *map(plain_row, lines))
    return Callout(centre, TextBody(rows), side, "round", radius, toward, size)


@dataclass(frozen=True)
class PlacedCallout:
    """A callout and the end of its leader, mm on paper from the view's origin."""

    callout: Callout
    end: Point

    @property
    def box(self) -> Box:
        """Round what stands at its end."""
        body, (x, y) = self.callout.body, self.end
        left = x if self.callout.side == "right" else x - body.width
        return Box(left, y - body.below, left + body.width, y + body.above)

    @property
    def bend(self) -> Point:
        """Where the leader leaves the level."""
        shoulder = SHOULDER if self.callout.side == "right" else -SHOULDER
        return (self.end[0] - shoulder, self.end[1])

    def leader(self, scale: float) -> tuple[Point, Point]:
        """Its oblique piece, from the arrow's tip on; scale: of the view."""
        return (self.callout.tip(scale, self.bend), self.bend)


def stack(callouts: tuple[Callout, ...], side: str, edge: float, scale: float) -> list[PlacedCallout]:
    """All callouts of one side, from the top down in the order of what they point at.

    edge: where the view with its dimensions ends on that side, mm on paper
    """
    mine = sorted((c for c in callouts if c.side == side), key=lambda c: -c.anchor(scale))
    if not mine:
        return []
    x = edge + AWAY + SHOULDER if side == "right" else edge - AWAY - SHOULDER
    # Groups of bodies that touch move as one, each as near to what it points at as it can be.
    groups: list[tuple[list[Callout], float]] = []
    for callout in mine:
        group, top = [callout], callout.anchor(scale) + callout.body.above
        while groups and groups[-1][1] - _height(groups[-1][0]) - BETWEEN < top:
            group = groups.pop()[0] + group
            top = _best_top(group, scale)
        groups.append((group, top))
    placed = []
    for group, top in groups:
        for callout in group:
            placed.append(PlacedCallout(callout, (x, top - callout.body.above)))
            top -= callout.body.above + callout.body.below + BETWEEN
    return placed


def _height(group: list[Callout]) -> float:
    return sum(c.body.above + c.body.below for c in group) + BETWEEN * (len(group) - 1)


def _best_top(group: list[Callout], scale: float) -> float:
    """Top of a group whose bodies are off their anchors by as much upwards as downwards."""
    offset, wanted = 0.0, []
    for callout in group:
        wanted.append(callout.anchor(scale) + callout.body.above + offset)
        offset += callout.body.above + callout.body.below + BETWEEN
    return sum(wanted) / len(wanted)
