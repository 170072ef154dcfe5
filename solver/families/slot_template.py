"""Strut-top template: a plate with the slots that let the top mount's studs move by the solved shift."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import ClassVar

from solver.families.base import FlatPattern, PartDimensions, least, most, rounded_rectangle, slot_outline

Point = tuple[float, float]


@dataclass(frozen=True)
class SlotTemplateDimensions(PartDimensions):
    """A flat plate on z = 0, seen from above on the left tower: x forward, y outward from the rod's nut as it is; mm.

    studs: middles of the stud holes as measured
    shift: of the top mount, forward and outward
    hole_diameter: of the stud holes, the slots' width
    opening_diameter: of the tower's middle opening, 0 to leave it out
    margin: of metal round the slots
    thickness: of the plate
    corner_radius: of the plate's corners
    """

    family: ClassVar[str] = "slot-template"
    title: ClassVar[str] = "strut-top slotting template"
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "margin": "its slots are the same, where the tower has the room",
        "thickness": "its slots are the same",
    }

    studs: tuple[Point, ...]
    shift: Point
    hole_diameter: float
    opening_diameter: float
    margin: float
    thickness: float
    corner_radius: float

    @property
    def shift_length(self) -> float:
        """How far the top moves, mm."""
        return math.hypot(*self.shift)

    def slots(self) -> tuple[tuple[Point, Point, float], ...]:
        """Both middles and the width of each slot, the studs' first, then the opening's."""
        dx, dy = self.shift
        found = [((x, y), (x + dx, y + dy), self.hole_diameter) for x, y in self.studs]
        if self.opening_diameter:
            found.append(((0.0, 0.0), (dx, dy), self.opening_diameter))
        return tuple(found)

    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y of the plate, mm."""
        slots = self.slots()
        low = [min(min(a[i], b[i]) - w / 2 for a, b, w in slots) - self.margin for i in (0, 1)]
        high = [max(max(a[i], b[i]) + w / 2 for a, b, w in slots) + self.margin for i in (0, 1)]
        return (low[0], low[1], high[0], high[1])

    def problems(self) -> Iterator[str]:
        if not 2 <= len(self.studs) <= 12:
            yield f"the pattern has {len(self.studs)} studs, 2 to 12 are needed to lay the template by"
            return
        yield from least("hole diameter", self.hole_diameter, 4.0, "no top mount has thinner studs")
        yield from most("hole diameter", self.hole_diameter, 30.0, "no top mount has thicker studs")
        yield from least("shift", self.shift_length, 0.5, "holes have that much play")
        yield from most("shift", self.shift_length, 60.0, "more is no slot but another tower")
        yield from least("opening diameter", self.opening_diameter, 0.0, "it can't be negative")
        yield from most("opening diameter", self.opening_diameter, 200.0, "no tower has a larger one")
        yield from least("thickness", self.thickness, 1.0, "thinner plate bends under a scriber")
        yield from most("thickness", self.thickness, 12.0, "thicker plate can't be followed by a scriber")
        yield from least("margin", self.margin, max(5.0, self.thickness), "it holds the template together")
        yield from most("margin", self.margin, 80.0, "it would not lie in a tower")
        web = max(2.0, self.thickness)
        for (i, (a, b, wide)), (j, (c, d, other)) in itertools.combinations(enumerate(self.slots(), 1), 2):
            left = _apart(a, b, c, d) - (wide + other) / 2
            yield from least(f"web between slots {i} and {j}", left, web, "one thickness, 2 mm at the least")
        yield from least("corner radius", self.corner_radius, 0.5, "corners must be broken")
        yield from most("corner radius", self.corner_radius, self.margin, "the margin")

    @property
    def volume(self) -> float:
        """Rectangle less four corners, (4 − π) r², less each slot's length × width and circle, times the thickness."""
        x0, y0, x1, y1 = self.bounds()
        area = (x1 - x0) * (y1 - y0) - (4 - math.pi) * self.corner_radius**2
        area -= sum(self.shift_length * width + math.pi / 4 * width**2 for _, _, width in self.slots())
        return area * self.thickness

    @property
    def envelope(self) -> tuple[float, float, float]:
        x0, y0, x1, y1 = self.bounds()
        return (x1 - x0, y1 - y0, self.thickness)

    def flat_pattern(self) -> FlatPattern:
        """With a line to engrave across each slot's start, square to the shift, where the old hole's middle is."""
        half = self.margin / 4
        ux, uy = (part / self.shift_length for part in self.shift)
        marks = []
        for (x, y), _, width in self.slots()[: len(self.studs)]:
            for way in (-1, 1):
                near, far = way * width / 2, way * (width / 2 + half)
                marks.append(((x - uy * near, y + ux * near), (x - uy * far, y + ux * far)))
        return FlatPattern(
            thickness=self.thickness,
            outer=(rounded_rectangle(*self.bounds(), self.corner_radius),),
            inner=tuple(slot_outline(a, b, width) for a, b, width in self.slots()),
            marks=tuple(marks),
        )


def _apart(a: Point, b: Point, c: Point, d: Point) -> float:
    """Distance of two segments of one direction and length: it is least at an end of one of them."""
    return min(_to_segment(a, c, d), _to_segment(b, c, d), _to_segment(c, a, b), _to_segment(d, a, b))


def _to_segment(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = 0.0 if not square else ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square
    share = min(max(share, 0.0), 1.0)
    return math.hypot(p[0] - a[0] - share * dx, p[1] - a[1] - share * dy)
