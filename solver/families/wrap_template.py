"""Wrap-round template: paper that lies round the arm once, its edge the line to cut along. It has no solid."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar, Literal

from solver.families.base import FlatPattern, Line, PartDimensions, RawShape, least, most

STEEPEST = math.sqrt(3.0)
"""Rise over height of the steepest cut."""
STEPS = 240
"""Chords of a developed curve. On the largest arm at the steepest cut they stay within 0.03 mm of it."""


@dataclass(frozen=True)
class WrapTemplateDimensions(PartDimensions):
    """A sheet laid out flat: x round the arm from its top, both ways to its underside, y along the arm; mm.

    Its upper edge is the cut: y = (height over the arm's axis) × cut_rise / arm_height, so y = 0 where a square cut is.

    shape: of the arm's section, "round" or "rectangular" with rounded corners
    arm_width, arm_height: outside, level and upright; equal for a round arm
    arm_corner_radius: outside, of a rectangular arm, 0 for a round one
    cut_rise: by how much the arm's top is longer than its underside on the template's half; 0 for a square cut
    strip: length of the template along the arm, from a square cut to its lower edge
    lap: flap that is glued over the other end
    sleeve_valley, sleeve_tongue, sleeve_width: of the sleeve that comes over the cut: its overlap between the tongues,
        how far they reach beyond, and its outside width; all 0 without one. Its end is drawn as a line.
    paper: thickness of the paper
    """

    family: ClassVar[str] = "wrap-template"
    title: ClassVar[str] = "wrap-round template"

    shape: Literal["round", "rectangular"]
    arm_width: float
    arm_height: float
    arm_corner_radius: float
    cut_rise: float
    strip: float
    lap: float
    sleeve_valley: float
    sleeve_tongue: float
    sleeve_width: float
    paper: float

    @property
    def radius(self) -> float:
        """Outside, of the corners, mm: a round section is one that is all corners."""
        return self.arm_width / 2 if self.shape == "round" else self.arm_corner_radius

    @property
    def flats(self) -> tuple[float, float]:
        """Straight part of the level and of the upright sides, mm."""
        return self.arm_width - 2 * self.radius, self.arm_height - 2 * self.radius

    @property
    def girth(self) -> float:
        """Length once round, in the middle of the paper's thickness: straight parts and a circle of r + p/2; mm."""
        return 2 * sum(self.flats) + 2 * math.pi * (self.radius + self.paper / 2)

    @property
    def flap_strip(self) -> float:
        """Length of the flap along the arm, mm: it stays below the cut."""
        return self.strip - abs(self.cut_rise) / 2 - 5.0

    def section_at(self, x: float) -> tuple[float, float]:
        """Place on the arm's outside, level and upright from its axis, at a distance round it from its top; mm."""
        level, upright = self.flats
        r = self.radius
        quarter = math.pi / 2 * (r + self.paper / 2)
        left = abs(x)
        side = math.copysign(1.0, x)
        if left <= level / 2:
            return x, self.arm_height / 2
        left -= level / 2
        if left < quarter:
            angle = left / (r + self.paper / 2)
            return side * (level / 2 + r * math.sin(angle)), upright / 2 + r * math.cos(angle)
        left -= quarter
        if left <= upright:
            return side * self.arm_width / 2, upright / 2 - left
        left -= upright
        if left < quarter:
            angle = left / (r + self.paper / 2)
            return side * (level / 2 + r * math.cos(angle)), -upright / 2 - r * math.sin(angle)
        return side * (level / 2 - (left - quarter)), -self.arm_height / 2

    def cut_at(self, x: float) -> float:
        """The developed cut: y at a distance round the arm from its top. A sine for a round arm; mm."""
        return self.section_at(x)[1] * self.cut_rise / self.arm_height

    def sleeve_at(self, x: float) -> float:
        """The sleeve's end in place, as `cut_at`; its tongues lie on top and below; mm."""
        reach = self.sleeve_valley + self.sleeve_tongue
        return self.sleeve_tongue * abs(self.section_at(x)[0]) / (self.sleeve_width / 2) - reach

    def problems(self) -> Iterator[str]:
        for name, size in (("arm width", self.arm_width), ("arm height", self.arm_height)):
            yield from least(name, size, 10.0, "smallest arm that is marked by a sheet laid round it")
            yield from most(name, size, 150.0, "larger than any arm")
        if self.shape not in ("round", "rectangular"):
            yield f"shape is {self.shape!r}, it must be round or rectangular"
        if self.shape == "round" and (self.arm_width != self.arm_height or self.arm_corner_radius != 0):
            yield "a round arm is as wide as high and has no corner radius"
        half = min(self.arm_width, self.arm_height) / 2
        yield from least("arm corner radius", self.arm_corner_radius, 0.0, "it can't be negative")
        yield from most("arm corner radius", self.arm_corner_radius, half, "half of a side")
        rise = abs(self.cut_rise) / 2
        yield from most("cut rise", 2 * rise, STEEPEST * self.arm_height, "60° off square: no saw follows it")
        yield from least("strip", self.strip, rise + 25.0, "what is left at the cut's lowest place")
        yield from most("strip", self.strip, 600.0, "longer than any arm")
        yield from least("lap", self.lap, 5.0, "a flap that holds")
        yield from most("lap", self.lap, self.girth / 2, "half of the girth")
        yield from least("paper", self.paper, 0.05, "thinner tears")
        yield from most("paper", self.paper, 1.0, "thicker does not lie round an arm")
        sleeve = (self.sleeve_valley, self.sleeve_tongue, self.sleeve_width)
        if not any(sleeve):
            return
        yield from least("sleeve width", self.sleeve_width, self.arm_width, "it goes over the arm")
        yield from least("sleeve valley", self.sleeve_valley, 5.0, "it overlaps the arm")
        yield from least("sleeve tongue", self.sleeve_tongue, 0.0, "it can't be negative")
        reach = self.sleeve_valley + self.sleeve_tongue
        yield from least("sleeve's reach", reach, rise + 5.0, "its end lies beyond the cut")
        yield from least("strip", self.strip, reach + 5.0, "the sleeve's end is drawn on it")

    @property
    def volume(self) -> float:
        """Of the paper: girth × strip and the flap, times its thickness. What the cut takes it gives opposite."""
        return (self.girth * self.strip + self.lap * self.flap_strip) * self.paper

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.girth + self.lap, self.strip + abs(self.cut_rise) / 2, self.paper)

    def raw_shape(self) -> RawShape:
        """Paper, of which nothing is left over but what scissors take."""
        width, height, thickness = self.envelope
        return RawShape("paper", width, height, 0.0, thickness)

    def flat_pattern(self) -> FlatPattern:
        """The sheet's outline; as marks its top line, ticks of a square cut, the sleeve's end, folds."""
        half, low = self.girth / 2, -self.strip
        edge = [(x, self.cut_at(x)) for x in self._places(bool(self.cut_rise))]
        end = low + self.flap_strip
        outline = [(-half, low), (half + self.lap, low), (half + self.lap, end), (half, end), *edge[::-1]]
        marks: list[Line] = [((0.0, low), (0.0, self.cut_at(0.0))), ((half, low), (half, end))]
        if self.cut_rise:
            marks += [((x, 0.0), (x + 4.0, 0.0)) for x in (-half / 2 - 2.0, half / 2 - 2.0)]
        if self.sleeve_width:
            line = [(x, self.sleeve_at(x)) for x in self._places(curved=True)]
            marks += itertools.pairwise(line)
        return FlatPattern(
            thickness=self.paper,
            outer=(tuple((x, y, 0.0) for x, y in outline),),
            marks=(*marks, *(((x, low), (x, self.cut_at(x))) for x in self.folds())),
        )

    def folds(self) -> tuple[float, ...]:
        """Middles of the corners of a rectangular arm, round from its top."""
        if self.shape == "round":
            return ()
        level, upright = self.flats
        quarter = math.pi / 2 * (self.radius + self.paper / 2)
        first = level / 2 + quarter / 2
        second = first + quarter + upright
        return (-second, -first, first, second)

    def _places(self, curved: bool) -> tuple[float, ...]:
        half = self.girth / 2
        if not curved:
            return (-half, half)
        # The tangent points of corners are among them, or a chord would cut a flat side short.
        level, upright = self.flats
        quarter = math.pi / 2 * (self.radius + self.paper / 2)
        tangents = [level / 2, level / 2 + quarter, level / 2 + quarter + upright, half - level / 2]
        even = [half * (2 * i / STEPS - 1) for i in range(STEPS + 1)]
        places = sorted([*even, *tangents, *(-x for x in tangents)])
        apart = [x for x, after in zip(places, [*places[1:], math.inf], strict=True) if after - x > 1e-3]
        return (-half, *apart[1:-1], half)
