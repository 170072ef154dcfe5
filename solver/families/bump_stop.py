"""Bump-stop bracket: a bent plate with gusset and pad on the arm, which the knuckle meets at full lock."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import ClassVar

from solver.families.base import FlatPattern, Outline, PartDimensions, circle_outline, least, most
from solver.sheet_metal import Bend, bend_allowance, bend_row
from solver.tables import rows


@dataclass(frozen=True)
class BumpStopDimensions(PartDimensions):
    """Base plate on z = 0 along x, leg bent up at the far end, pad on the leg's outer face; mm.

    The part is symmetric about y = 0. The base's free end is at x = 0.

    width: along y, of base and leg
    thickness: of the plate and of the gusset
    bend_radius: inside radius of the bend between base and leg
    base_flat: flat length of the base, from its free end to the bend
    leg_flat: flat height of the leg, above the bend
    corner_radius: of the four free corners of base and leg
    gusset_base, gusset_height: legs of the gusset's triangle, from the inner corner of the bend
    gusset_snipe: of the gusset's right corner, cut off so that it clears the bend
    pad_diameter, pad_thickness: round steel button on the leg
    pad_height: middle of the pad above the mounting face
    mount_x: distance of the mounting reference (bolt line or weld middle) from the base's free end
    bolt_hole_diameter: 0 for a welded bracket
    bolt_pitch: between the two holes, along y; 0 for a welded bracket
    k_factor: position of the neutral layer in the bend, share of the thickness
    """

    family: ClassVar[str] = "bump-stop"
    title: ClassVar[str] = "bump-stop bracket"
    gusset_fillet: ClassVar[float] = 5.0
    """Leg of the fillets of gusset and pad, mm: the least under loads that come and go (AWS D1.1)."""
    thickest_base_fillet: ClassVar[float] = 6.0
    """mm; a larger one draws the arm. Common practice, no source."""
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "gusset_base": "a larger gusset carries more",
        "gusset_height": "a larger gusset carries more",
    }
    fits_by: ClassVar[tuple[str, ...]] = ("reach", "height")

    width: float
    thickness: float
    bend_radius: float
    base_flat: float
    leg_flat: float
    corner_radius: float
    gusset_base: float
    gusset_height: float
    gusset_snipe: float
    pad_diameter: float
    pad_thickness: float
    pad_height: float
    mount_x: float
    bolt_hole_diameter: float
    bolt_pitch: float
    k_factor: float

    @property
    def bolted(self) -> bool:
        """True for a bracket with bolt holes, False for one to be welded on."""
        return self.bolt_hole_diameter > 0

    @property
    def bolt(self) -> str:
        """Thread whose medium clearance hole (ISO 273) the bolt holes are, such as "M10"; empty for any other hole."""
        holes = {float(row["medium"]): row["thread"] for row in rows("clearance_holes")}
        return holes.get(self.bolt_hole_diameter, "")

    @property
    def base_fillet(self) -> float:
        """Leg of the fillet round the base of a welded bracket, mm."""
        return min(self.thickness, self.thickest_base_fillet)

    @property
    def leg_inner_x(self) -> float:
        """x of the leg's face on the gusset's side, mm."""
        return self.base_flat + self.bend_radius

    @property
    def leg_outer_x(self) -> float:
        """x of the leg's face that carries the pad, mm."""
        return self.leg_inner_x + self.thickness

    @property
    def height(self) -> float:
        """Of the leg's end above the mounting face, mm."""
        return self.thickness + self.bend_radius + self.leg_flat

    @property
    def reach(self) -> float:
        """From the mounting reference to the pad's face, along x, mm."""
        return self.leg_outer_x + self.pad_thickness - self.mount_x

    def problems(self) -> Iterator[str]:
        t = self.thickness
        yield from least("thickness", t, 3.0, "thinner plate bends at the first hit")
        yield from most("thickness", t, 16.0, "thicker plate can't be bent in a garage or a small shop")
        yield from least("width", self.width, 4 * t, "four thicknesses")
        yield from most("width", self.width, 150.0, "it would not fit on an arm")
        yield from least("bend radius", self.bend_radius, t, "one thickness, or the bend cracks")
        yield from most("bend radius", self.bend_radius, 4 * t, "four thicknesses, or the gusset can't reach")
        yield from least("leg flat", self.leg_flat, 4 * t, "least flange that can be bent, four thicknesses")
        yield from least(
            "base flat", self.base_flat, 4 * t, "least flange that can be bent, four thicknesses"
        )
        yield from most("base flat", self.base_flat, 150.0, "pad out of reach")
        yield from most("height", self.height, 150.0, "pad out of reach")
        yield from least("corner radius", self.corner_radius, 1.0, "edges must be broken")
        widest = min(self.width / 3, self.leg_flat / 2, self.base_flat / 2)
        yield from most("corner radius", self.corner_radius, widest, "a third of the width, half of a flat")
        yield from least("gusset snipe", self.gusset_snipe, self.bend_radius, "it must clear the bend")
        yield from least("gusset base", self.gusset_base, self.gusset_snipe + t, "snipe and one thickness")
        yield from least(
            "gusset height", self.gusset_height, self.gusset_snipe + t, "snipe and one thickness"
        )
        yield from most("gusset base", self.gusset_base, self.leg_inner_x, "the base ends there")
        yield from most(
            "gusset height", self.gusset_height, self.bend_radius + self.leg_flat, "the leg ends there"
        )
        yield from least("pad diameter", self.pad_diameter, 10.0, "smaller pads dig in")
        yield from most("pad diameter", self.pad_diameter, self.width, "the leg is no wider")
        yield from least("pad thickness", self.pad_thickness, 2.0, "it must stand proud of the leg")
        bottom, top = self.pad_height - self.pad_diameter / 2, self.pad_height + self.pad_diameter / 2
        yield from least("lower edge of the pad", bottom, t + self.bend_radius, "the bend ends there")
        yield from most("upper edge of the pad", top, self.height, "the leg ends there")
        yield from least("mounting reference", self.mount_x, 0.0, "it lies on the base")
        yield from most("mounting reference", self.mount_x, self.base_flat, "it lies on the base")
        if not 0 < self.k_factor <= 0.5:
            yield f"K-factor {self.k_factor} is outside of 0 to 0.5"
        yield from least("bolt hole", self.bolt_hole_diameter, 0.0, "0 is for a welded bracket")
        if self.bolted:
            d = self.bolt_hole_diameter
            yield from least("bolt hole", d, t, "least hole that can be cut is one thickness")
            yield from least(
                "bolt hole to the side", (self.width - self.bolt_pitch) / 2, 1.5 * d, "1.5 diameters"
            )
            yield from least("bolt hole to the free end", self.mount_x, 1.5 * d, "1.5 diameters")
            corner = self.corner_radius
            inset = (corner - self.mount_x, corner - (self.width - self.bolt_pitch) / 2)
            if min(inset) > 0:
                to_corner = corner - math.hypot(*inset)
                yield from least("bolt hole to the rounded corner", to_corner, 1.5 * d, "1.5 diameters")
            to_bend = self.base_flat - self.mount_x - d / 2
            yield from least(
                "bolt hole edge to the bend", to_bend, 2 * t, "3 thicknesses and the radius to its far side"
            )
            gap = self.bolt_pitch / 2 - d - t / 2
            yield from least(
                "bolt head to the gusset", gap, 0.0, "the head needs a hole diameter beside the gusset"
            )
        elif self.bolt_pitch != 0:
            yield "a welded bracket has no bolt pitch"

    @property
    def volume(self) -> float:
        """Two flats, a quarter of a tube for the bend, gusset, pad, less holes and rounded corners."""
        t, r = self.thickness, self.bend_radius
        plate = self.width * t * (self.base_flat + self.leg_flat)
        bend = math.pi / 4 * ((r + t) ** 2 - r**2) * self.width
        gusset = t * (self.gusset_base * self.gusset_height - self.gusset_snipe**2) / 2
        pad = math.pi / 4 * self.pad_diameter**2 * self.pad_thickness
        holes = 2 * math.pi / 4 * self.bolt_hole_diameter**2 * t
        corners = (4 - math.pi) * self.corner_radius**2 * t
        return plate + bend + gusset + pad - holes - corners

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.leg_outer_x + self.pad_thickness, self.width, self.height)

    def for_printing(self, clearance: float) -> BumpStopDimensions:
        """Room round the bolts; base and pad lie where they will."""
        if not self.bolted:
            return self
        return replace(self, bolt_hole_diameter=self.bolt_hole_diameter + 2 * clearance)

    def mates(self, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
        """The base's underside on the arm, and the pad's face."""
        return normal[2] < -0.9 or (normal[0] > 0.9 and point[0] > self.leg_outer_x)

    def flat_pattern(self) -> FlatPattern:
        """The plate laid flat with its bend line, and the gusset beside it."""
        allowance = bend_allowance(math.pi / 2, self.bend_radius, self.thickness, self.k_factor)
        length = self.base_flat + allowance + self.leg_flat
        half = self.width / 2
        holes: tuple[Outline, ...] = ()
        if self.bolted:
            holes = tuple(
                circle_outline(self.mount_x, side * self.bolt_pitch / 2, self.bolt_hole_diameter)
                for side in (-1, 1)
            )
        bend_x = self.base_flat + allowance / 2
        return FlatPattern(
            thickness=self.thickness,
            outer=(_rounded_rectangle(length, self.width, self.corner_radius), self._gusset(half + 10.0)),
            inner=holes,
            bends=(((bend_x, -half), (bend_x, half)),),
        )

    def bend_table(self) -> tuple[Bend, ...]:
        """Its one bend."""
        return (bend_row(1, math.pi / 2, self.bend_radius, self.thickness, self.k_factor, self.width),)

    def _gusset(self, y: float) -> Outline:
        b, h, s = self.gusset_base, self.gusset_height, self.gusset_snipe
        return ((s, y, 0.0), (b, y, 0.0), (0.0, y + h, 0.0), (0.0, y + s, 0.0))


def _rounded_rectangle(length: float, width: float, radius: float) -> Outline:
    """From x = 0 to length, symmetric about y = 0, counter-clockwise."""
    h, r, q = width / 2, radius, math.tan(math.pi / 8)
    return (
        (r, -h, 0.0), (length - r, -h, q), (length, -h + r, 0.0), (length, h - r, q),
        (length - r, h, 0.0), (r, h, q), (0.0, h - r, 0.0), (0.0, -h + r, q),
    )  # fmt: skip
