"""Arm extension sleeve: a tube over the cut arm that holds its two halves apart and in line."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from solver.families.base import FlatPattern, PartDimensions, RawShape, circle_outline, least, most

SPANDREL_CENTROID = (10 - 3 * math.pi) / (12 - 3 * math.pi)
"""Distance of the centroid of the waste of a rounded corner from either side, as a share of the radius."""


@dataclass(frozen=True)
class ArmSleeveDimensions(PartDimensions):
    """A tube along z, base at z = 0, with fish-mouth ends: tongues in the x = 0 plane; mm.

    shape: "round", or "rectangular" with rounded corners
    inside_width, inside_height: along x and y; equal for a round sleeve
    wall: of the tube
    inside_corner_radius: of a rectangular tube, 0 for a round one
    extension: gap between the arm's two cut ends, which is how much longer the arm gets
    overlap: of each arm half, measured in the valley between the tongues, where it is least
    tongue: how far the tongues stand out beyond the valleys
    plug_hole_diameter: of the plug-weld holes through one wall
    plug_holes_per_end: 2 (in the tongues, along y) or 4 (two more along x, nearer the gap)
    """

    family: ClassVar[str] = "arm-sleeve"
    title: ClassVar[str] = "arm extension sleeve"
    # A mock-up is tried before the arm is cut, and a closed tube goes over no arm.
    halved_across: ClassVar[tuple[float, float, float] | None] = (0.0, 1.0, 0.0)
    tolerances: ClassVar[Mapping[str, tuple[float, float]]] = {
        "inside_width": (0.2, 0.0),
        "inside_height": (0.2, 0.0),
    }
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "wall": "a thicker wall carries more",
        "tongue": "a longer tongue is a longer weld; it covers more of the arm, so look first if that has the room",
    }

    shape: Literal["round", "rectangular"]
    inside_width: float
    inside_height: float
    wall: float
    inside_corner_radius: float
    extension: float
    overlap: float
    tongue: float
    plug_hole_diameter: float
    plug_holes_per_end: int

    @property
    def outside_width(self) -> float:
        """Along x, mm."""
        return self.inside_width + 2 * self.wall

    @property
    def outside_height(self) -> float:
        """Along y, mm."""
        return self.inside_height + 2 * self.wall

    @property
    def outside_corner_radius(self) -> float:
        """Of a rectangular tube, mm: concentric with the inside one."""
        return self.inside_corner_radius + self.wall if self.shape == "rectangular" else 0.0

    @property
    def fillet(self) -> float:
        """Leg of the fillets round both ends, mm: one wall."""
        return self.wall

    @property
    def covered(self) -> float:
        """How much of the arm the sleeve covers on each side of the gap, tongue included; mm."""
        return self.overlap + self.tongue

    @property
    def valley_length(self) -> float:
        """Length from valley to valley, mm."""
        return self.extension + 2 * self.overlap

    @property
    def length(self) -> float:
        """Length over the tongues, mm: what is cut from the stock."""
        return self.valley_length + 2 * self.tongue

    @property
    def section_area(self) -> float:
        """Metal in a square cut away from holes and tongues, mm²."""
        if self.shape == "round":
            return math.pi / 4 * (self.outside_width**2 - self.inside_width**2)
        waste = (4 - math.pi) * (self.outside_corner_radius**2 - self.inside_corner_radius**2)
        return self.outside_width * self.outside_height - self.inside_width * self.inside_height - waste

    @property
    def plug_heights(self) -> tuple[float, float]:
        """Distance of the tongue holes and of the side holes from the arm's cut end, mm.

        The tongue holes sit in the middle of tongue and overlap, the side holes nearer the gap, so that
        no square section loses more than one pair.
        """
        return ((self.overlap + self.tongue) * 0.6, self.overlap * 0.4)

    def problems(self) -> Iterator[str]:
        yield from least("inside width", self.inside_width, 12.0, "smallest arm that can be sleeved")
        yield from least("inside height", self.inside_height, 12.0, "smallest arm that can be sleeved")
        yield from most("inside width", self.inside_width, 120.0, "largest arm that can be sleeved")
        yield from most("inside height", self.inside_height, 120.0, "largest arm that can be sleeved")
        yield from least("wall", self.wall, 2.0, "least wall for welding without burning through")
        yield from most("wall", self.wall, self.inside_width / 4, "a quarter of the inside width")
        if self.shape not in ("round", "rectangular"):
            yield f"shape is {self.shape!r}, it must be round or rectangular"
        if self.shape == "round" and self.inside_width != self.inside_height:
            yield "inside width and height of a round sleeve differ"
        if self.shape == "round" and self.inside_corner_radius != 0:
            yield "a round sleeve has no corner radius"
        yield from least("inside corner radius", self.inside_corner_radius, 0.0, "it can't be negative")
        if self.shape == "rectangular":
            half = min(self.inside_width, self.inside_height) / 4
            yield from most("inside corner radius", self.inside_corner_radius, half, "a quarter of a side")
        yield from least("extension", self.extension, 1.0, "below that nothing is gained by cutting the arm")
        yield from most("extension", self.extension, 120.0, "a longer gap is a new arm, not a sleeve")
        across = max(self.inside_width, self.inside_height)
        yield from least("overlap", self.overlap, across, "one width of the arm on each side")
        yield from most("overlap", self.overlap, 4 * across, "four widths of the arm")
        yield from least("tongue", self.tongue, self.outside_width / 4, "a flatter end is a straight weld")
        yield from most("tongue", self.tongue, self.outside_width, "a longer point can't be welded well")
        yield from least("plug hole diameter", self.plug_hole_diameter, 2 * self.wall, "two walls")
        narrow = min(self.inside_width, self.inside_height) - 2 * self.inside_corner_radius
        share = 2.5 if self.shape == "round" else 2.0
        yield from most(
            "plug hole diameter", self.plug_hole_diameter, narrow / share, "it must leave metal beside it"
        )
        if self.plug_holes_per_end not in (2, 4):
            yield f"plug holes per end is {self.plug_holes_per_end}, it must be 2 or 4"
        tongue_hole, side_hole = self.plug_heights
        edge = 1.5 * self.plug_hole_diameter
        yield from least(
            "plug hole to the tongue's tip",
            self.overlap + self.tongue - tongue_hole,
            edge,
            "1.5 hole diameters",
        )
        yield from least("plug hole to the arm's cut end", side_hole, edge * 2 / 3, "one hole diameter")
        yield from least("plug hole to the valley", self.overlap - side_hole, edge, "1.5 hole diameters")

    @property
    def volume(self) -> float:
        """Section times mean length less the holes.

        The ends are z = tip − tongue·|x|/(width/2), so the mean length needs ∫|x| dA of the section:
        4/3 (R³ − r³) for a round tube; (W²H − w²h)/4 less the rounded corners for a rectangular one.
        """
        if self.shape == "round":
            outer, inner = self.outside_width / 2, self.inside_width / 2
            moment = 4 / 3 * (outer**3 - inner**3)
        else:
            moment = _rectangle_moment(self.outside_width, self.outside_height, self.outside_corner_radius)
            moment -= _rectangle_moment(self.inside_width, self.inside_height, self.inside_corner_radius)
        slope = self.tongue / (self.outside_width / 2)
        tube = self.section_area * self.length - 2 * slope * moment
        return tube - 2 * self.plug_holes_per_end * self._plug_hole_volume()

    def _plug_hole_volume(self) -> float:
        """Metal of one hole through one wall.

        A cylinder of radius a square to a tube takes ∫ 2√(a²−s²) (√(R²−s²) − √(r²−s²)) ds over |s| ≤ a;
        the weight √(1−u²) makes Gauss-Chebyshev quadrature of the second kind exact to rounding.
        """
        a = self.plug_hole_diameter / 2
        if self.shape == "rectangular":
            return math.pi * a**2 * self.wall
        outer, inner = self.outside_width / 2, self.inside_width / 2
        nodes = 64
        total = 0.0
        for i in range(1, nodes + 1):
            angle = i * math.pi / (nodes + 1)
            s = a * math.cos(angle)
            depth = math.sqrt(outer**2 - s**2) - math.sqrt(inner**2 - s**2)
            total += math.pi / (nodes + 1) * math.sin(angle) ** 2 * depth
        return 2 * a**2 * total

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.outside_width, self.outside_height, self.length)

    def raw_shape(self) -> RawShape:
        """Tube with its inside small enough to be bored, or a block for a rectangular sleeve."""
        kind: Literal["round", "block"] = "round" if self.shape == "round" else "block"
        bore = min(self.inside_width, self.inside_height)
        return RawShape(kind, self.outside_width, self.outside_height, bore, self.length)

    def silhouette(self) -> FlatPattern:
        """Seen along y: the tube with its fish-mouth ends, and the plug holes in the near wall's tongues."""
        half, end, tongue = self.outside_width / 2, self.length, self.tongue
        start = ((-half, tongue, 0.0), (0.0, 0.0, 0.0), (half, tongue, 0.0))
        far = ((half, end - tongue, 0.0), (0.0, end, 0.0), (-half, end - tongue, 0.0))
        near = end / 2 - self.extension / 2 - self.plug_heights[0]
        holes = tuple(circle_outline(0.0, z, self.plug_hole_diameter) for z in (near, end - near))
        return FlatPattern(self.wall, ((*start, *far),), holes)

    def for_printing(self, clearance: float) -> ArmSleeveDimensions:
        """Room round the arm and in the holes; the outside stays."""
        return replace(
            self,
            inside_width=self.inside_width + 2 * clearance,
            inside_height=self.inside_height + 2 * clearance,
            wall=self.wall - clearance,
            inside_corner_radius=self.inside_corner_radius + clearance
            if self.shape == "rectangular"
            else 0.0,
            plug_hole_diameter=self.plug_hole_diameter + 2 * clearance,
        )

    def mates(self, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
        """Inside, where the arm is."""
        return point[0] * normal[0] + point[1] * normal[1] < 0


def _rectangle_moment(width: float, height: float, radius: float) -> float:
    """∫|x| dA of a rectangle with rounded corners about its middle, mm³."""
    waste = (4 - math.pi) * radius**2
    return width**2 * height / 4 - waste * (width / 2 - SPANDREL_CENTROID * radius)
