"""Drilling gauge: a plate with two pressed-in bushes that finds a moved tie-rod pickup from a hole that is there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import ClassVar

from solver.families.base import (
    FlatPattern,
    PartDimensions,
    RawShape,
    circle_outline,
    least,
    most,
    rounded_rectangle,
)
from solver.jig_bushes import deviations

LEAST_WEB = 2.5
"""Metal between two bushes and from a bush to an edge, mm; common practice, no source."""


@dataclass(frozen=True)
class DrillingGaugeDimensions(PartDimensions):
    """A flat plate on z = 0, the locating hole's middle at the origin, the drilling hole's on the x axis; mm.

    distance: between the middles of both holes
    hole_diameter: of both, for bushes pressed in
    thickness: of the plate
    width: over both long edges, which run parallel to the line through the holes' middles
    end_margin: from a hole's middle to the plate's end
    corner_radius: of the plate's corners
    """

    family: ClassVar[str] = "drilling-gauge"
    title: ClassVar[str] = "drilling gauge"
    tolerances: ClassVar[Mapping[str, tuple[float, float]]] = {"distance": (0.05, -0.05)}
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "width": "a wider gauge finds the same place, where the knuckle has the room",
        "end_margin": "a longer gauge finds the same place, where the knuckle has the room",
    }

    distance: float
    hole_diameter: float
    thickness: float
    width: float
    end_margin: float
    corner_radius: float

    @property
    def length(self) -> float:
        """Over all, mm."""
        return self.distance + 2 * self.end_margin

    @property
    def fit(self) -> tuple[float, float]:
        """Upper and lower deviation of the holes, H7 for a bush pressed in, mm."""
        limits = deviations(self.hole_diameter, "H7")
        return limits.upper, limits.lower

    def problems(self) -> Iterator[str]:
        d, t = self.hole_diameter, self.thickness
        yield from least("hole diameter", d, 3.0, "no jig bush is smaller outside")
        yield from most("hole diameter", d, 30.0, "no jig bush for a pilot hole is larger outside")
        yield from least(
            "web between the bushes", self.distance - d, LEAST_WEB, "it would give as they go in"
        )
        yield from most("distance", self.distance, 400.0, "no knuckle is larger")
        yield from least("thickness", t, 3.0, "a bush in thinner plate leans")
        yield from most("thickness", t, 25.0, "thicker than any jig bush is long")
        room = d / 2 + LEAST_WEB
        yield from least("width", self.width, 2 * room, "metal beside the bushes")
        yield from most("width", self.width, 150.0, "wider than any knuckle's end")
        yield from least("end margin", self.end_margin, room, "metal beyond the bushes")
        yield from most("end margin", self.end_margin, 150.0, "it would not lie on a knuckle")
        yield from least("corner radius", self.corner_radius, 0.5, "corners must be broken")
        limit = min(self.width / 3, self.end_margin - d / 2)
        yield from most(
            "corner radius", self.corner_radius, limit, "a third of the width, or the bush's metal"
        )

    @property
    def volume(self) -> float:
        """Rectangle less the waste of four corners, (4 − π) r², less two circles, times the thickness."""
        waste = (4 - math.pi) * self.corner_radius**2
        return (self.length * self.width - waste - math.pi / 2 * self.hole_diameter**2) * self.thickness

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.length, self.width, self.thickness)

    def raw_shape(self) -> RawShape:
        """Flat bar: holes of H7 are bored, so it is no work for a cutting shop."""
        return RawShape("block", self.width, self.thickness, 0.0, self.length)

    def flat_pattern(self) -> FlatPattern:
        """With a sight line through both middles to engrave, from end to end beside the holes."""
        e, d, half = self.end_margin, self.distance, self.width / 2
        r = self.hole_diameter / 2
        stretches = ((-e, -r), (r, d - r), (d + r, d + e))
        return FlatPattern(
            thickness=self.thickness,
            outer=(rounded_rectangle(-e, -half, d + e, half, self.corner_radius),),
            inner=tuple(circle_outline(x, 0.0, self.hole_diameter) for x in (0.0, d)),
            marks=tuple(((a, 0.0), (b, 0.0)) for a, b in stretches),
        )
