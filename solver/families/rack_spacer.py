"""Rack spacer: a ring between the rack's end and the inner tie-rod joint that lets the rack travel further."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from solver.families.base import FlatPattern, PartDimensions, RawShape, circle_outline, least, most


@dataclass(frozen=True)
class RackSpacerDimensions(PartDimensions):
    """A ring, base at z = 0, axis along z; mm.

    outside_diameter: to suit the rack's end, smaller than the housing bore it passes into
    bore_diameter: clears the joint's stud
    thickness: the extra rack travel it gives
    chamfer: 45° edge break on all four edges
    """

    family: ClassVar[str] = "rack-spacer"
    title: ClassVar[str] = "rack spacer"
    tolerances: ClassVar[Mapping[str, tuple[float, float]]] = {
        "outside_diameter": (0.0, -0.2),
        "bore_diameter": (0.2, 0.0),
    }
    parallelism: ClassVar[float] = 0.05
    """mm by which the faces may be out of parallel. Common practice, no source."""
    can_be_reduced: ClassVar[Mapping[str, str]] = {
        "thickness": "face it off on a lathe, faces parallel within 0.05 mm, and chamfer the edge anew",
    }

    outside_diameter: float
    bore_diameter: float
    thickness: float
    chamfer: float

    @property
    def wall(self) -> float:
        """Radial width of the ring, mm."""
        return (self.outside_diameter - self.bore_diameter) / 2

    @property
    def face_area(self) -> float:
        """Area in mm² of one flat face inside its chamfers: what carries the stop load."""
        c = 2 * self.chamfer
        return math.pi / 4 * ((self.outside_diameter - c) ** 2 - (self.bore_diameter + c) ** 2)

    def problems(self) -> Iterator[str]:
        yield from least("bore diameter", self.bore_diameter, 4.0, "smallest stud this part is made for")
        yield from most("outside diameter", self.outside_diameter, 80.0, "no rack end is larger")
        yield from least("wall", self.wall, 2.0, "a thinner ring crushes against the rack's shoulder")
        yield from least("thickness", self.thickness, 1.0, "a thinner ring is a shim, not a spacer")
        yield from most("thickness", self.thickness, 25.0, "no stud is long enough")
        yield from least("chamfer", self.chamfer, 0.2, "edges must be broken")
        yield from most("chamfer", self.chamfer, self.thickness / 3, "a third of the thickness")
        yield from most("chamfer", self.chamfer, self.wall / 4, "a quarter of the wall")

    @property
    def volume(self) -> float:
        """π/4 (D² − d²) t less the four chamfers, each a triangle c²/2 swept round by Pappus."""
        c, outer, inner = self.chamfer, self.outside_diameter / 2, self.bore_diameter / 2
        ring = math.pi * (outer**2 - inner**2) * self.thickness
        chamfers = 2 * math.pi * c**2 / 2 * ((outer - c / 3) + (inner + c / 3))
        return ring - 2 * chamfers

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.outside_diameter, self.outside_diameter, self.thickness)

    def raw_shape(self) -> RawShape:
        """Round bar: plate does as well, but it is turned either way."""
        return RawShape(
            "round", self.outside_diameter, self.outside_diameter, self.bore_diameter, self.thickness
        )

    def for_printing(self, clearance: float) -> RackSpacerDimensions:
        """Room round the stud and in the housing; the thickness is what is tried."""
        return replace(
            self,
            bore_diameter=self.bore_diameter + 2 * clearance,
            outside_diameter=self.outside_diameter - 2 * clearance,
        )

    def mates(self, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
        """All of it: rack, joint, stud and housing."""
        return True

    def flat_pattern(self) -> FlatPattern:
        """The ring as cut from plate; the chamfers are made afterwards."""
        return FlatPattern(
            thickness=self.thickness,
            outer=(circle_outline(0, 0, self.outside_diameter),),
            inner=(circle_outline(0, 0, self.bore_diameter),),
        )
