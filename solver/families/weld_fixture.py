"""Welding fixture of three kinds of plates: a base with slots, V plates that hold the arm, end stops for its ends."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import ClassVar, Literal

from solver.families.base import (
    FlatPattern,
    Outline,
    PartDimensions,
    circle_outline,
    least,
    most,
    rounded_rectangle,
)

THINNEST, THICKEST = 3.0, 12.0
"""Plate that tabs and slots of a fixture are cut from, mm; common practice, no source."""


@dataclass(frozen=True)
class FixtureBaseDimensions(PartDimensions):
    """A flat plate on z = 0, x along the arm from the plate's end, y = 0 under the arm's axis; mm.

    stations: x of the middles of the standing plates; each has two slots
    slot_thickness: of a slot along x, the plate's thickness and the fit
    slot_length: of a slot along y, the tab's width and the fit
    slot_offset: of a slot's middle from y = 0, both ways
    joints: x of the pivot's middle, both cut ends, and the ball joint's middle at the solved length, to engrave
    """

    family: ClassVar[str] = "fixture-base"
    title: ClassVar[str] = "welding fixture, base"
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "length": "it is longer beyond its last slot",
        "width": "its slots are the same",
    }

    length: float
    width: float
    thickness: float
    corner_radius: float
    stations: tuple[float, ...]
    slot_thickness: float
    slot_length: float
    slot_offset: float
    joints: tuple[float, float, float, float]

    def problems(self) -> Iterator[str]:
        yield from _plate(self.thickness)
        yield from most("length", self.length, 1500.0, "longer than any arm with its stops")
        yield from least(
            "width", self.width, 2 * (self.slot_offset + self.slot_length / 2 + 5.0), "beside the slots"
        )
        yield from most("width", self.width, 400.0, "wider than a bench has room for")
        yield from least("corner radius", self.corner_radius, 0.5, "corners must be broken")
        yield from most(
            "corner radius", self.corner_radius, min(self.width, self.length) / 4, "a quarter of a side"
        )
        fit = self.slot_thickness - self.thickness
        yield from least("fit of a slot", fit, 0.0, "the plate must go in")
        yield from most("fit of a slot", fit, 1.0, "the plate would lean")
        yield from least("slot length", self.slot_length, 8.0, "a narrower tab holds nothing")
        yield from least(
            "slot offset", self.slot_offset, self.slot_length / 2 + 2.5, "metal between both slots"
        )
        if len(self.stations) < 3:
            yield f"the base has {len(self.stations)} standing plates, 3 are the least that hold an arm in line"
            return
        room = max(4.0, self.thickness / 2)
        for a, b in itertools.pairwise(self.stations):
            yield from least("metal between two slots", b - a - self.slot_thickness, room, "it would bend")
        first, last = self.stations[0], self.length - self.stations[-1]
        beside = min(first, last) - self.slot_thickness / 2
        yield from most("corner radius", self.corner_radius, beside, "it must not reach a slot")
        for name, edge in (("first", first), ("last", last)):
            yield from least(
                f"{name} slot to the end", edge - self.slot_thickness / 2, 2 * room, "it would tear"
            )

    @property
    def volume(self) -> float:
        """Rectangle less four corners, (4 − π) r², and two slots a station, times the thickness."""
        slots = 2 * len(self.stations) * self.slot_thickness * self.slot_length
        waste = (4 - math.pi) * self.corner_radius**2
        return (self.length * self.width - waste - slots) * self.thickness

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.length, self.width, self.thickness)

    def flat_pattern(self) -> FlatPattern:
        """With the arm's axis, its joints and its cut ends to engrave."""
        half, across = self.width / 2, self.slot_thickness / 2
        slots = []
        for x, side in itertools.product(self.stations, (-1, 1)):
            low, high = (side * self.slot_offset + way * self.slot_length / 2 for way in (-1, 1))
            slots.append(_box(x - across, low, x + across, high))
        tick = self.slot_offset - self.slot_length / 2 - 1.0
        marks = [((x, -tick), (x, tick)) for x in self.joints]
        return FlatPattern(
            thickness=self.thickness,
            outer=(rounded_rectangle(0.0, -half, self.length, half, self.corner_radius),),
            inner=tuple(slots),
            marks=(((self.joints[0], 0.0), (self.joints[-1], 0.0)), *marks),
        )


@dataclass(frozen=True)
class FixtureVeeDimensions(PartDimensions):
    """A plate that stands in the base, laid flat on z = 0; x across the arm, y = 0 on the base's upper face; mm.

    shape: of what it holds: "round" lies in a V of 90°, "rectangular" in a notch
    held_width, held_height: outside of what it holds, level and upright
    play: of a rectangular one in its notch, over both sides; 0 for a round one
    axis_height: of the arm's axis over the base, where the plate ends
    width: of the plate
    apex: width of the V's flat bottom; 0 for a rectangular one
    tab_width, tab_offset: of the tabs, and of their middles from x = 0, both ways; their length is the thickness
    chamfer: of the tabs' corners
    """

    family: ClassVar[str] = "fixture-vee"
    title: ClassVar[str] = "welding fixture, rest for the arm"

    shape: Literal["round", "rectangular"]
    held_width: float
    held_height: float
    play: float
    axis_height: float
    width: float
    apex: float
    thickness: float
    tab_width: float
    tab_offset: float
    chamfer: float

    @property
    def notch_depth(self) -> float:
        """From the arm's axis to the bottom of the notch, mm. A V of 90° touches a circle 45° off its bottom."""
        if self.shape == "round":
            return self.held_width / 2 * math.sqrt(2) - self.apex / 2
        return self.held_height / 2

    @property
    def notch_width(self) -> float:
        """Of the open top, mm."""
        return self.held_width * math.sqrt(2) if self.shape == "round" else self.held_width + self.play

    def problems(self) -> Iterator[str]:
        yield from _plate(self.thickness)
        yield from _tabs(self.width, self.thickness, self.tab_width, self.tab_offset, self.chamfer)
        if self.shape not in ("round", "rectangular"):
            yield f"shape is {self.shape!r}, it must be round or rectangular"
        if self.shape == "round" and (self.held_width != self.held_height or self.play):
            yield "what is round is as wide as high and has no play in a V"
        if self.shape == "rectangular" and self.apex:
            yield "only a V has an apex"
        for name, size in (("held width", self.held_width), ("held height", self.held_height)):
            yield from least(name, size, 12.0, "smallest arm that is held")
            yield from most(name, size, 150.0, "largest arm that is held")
        yield from least("play", self.play, 0.0, "it can't be negative")
        yield from most("play", self.play, 1.0, "the halves would lie askew")
        yield from least("apex", self.apex, 0.0, "it can't be negative")
        yield from most("apex", self.apex, self.held_width / 3, "the arm would touch its bottom")
        below = self.axis_height - self.notch_depth
        yield from least("plate under the notch", below, max(10.0, 2 * self.thickness), "it carries the arm")
        yield from most("axis height", self.axis_height, 250.0, "it would lean")
        beside = (self.width - self.notch_width) / 2
        yield from least("plate beside the notch", beside, max(8.0, self.thickness), "it holds the arm")
        yield from most("width", self.width, 400.0, "wider than a bench has room for")

    @property
    def volume(self) -> float:
        """Rectangle less notch, with both tabs less their corners, times the thickness.

        A V of 90° down from the axis is a triangle of area 2 R², less that of its flat bottom, (a/2)².
        """
        if self.shape == "round":
            notch = self.held_width**2 / 2 - self.apex**2 / 4
        else:
            notch = (self.held_width + self.play) * self.held_height / 2
        tabs = 2 * (self.tab_width * self.thickness - self.chamfer**2)
        return (self.width * self.axis_height - notch + tabs) * self.thickness

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.width, self.axis_height + self.thickness, self.thickness)

    def flat_pattern(self) -> FlatPattern:
        """One outline; the arm's axis at its open top."""
        top, bottom = self.axis_height, self.axis_height - self.notch_depth
        outer = self.notch_width / 2
        inner = self.apex / 2 if self.shape == "round" else outer
        notch = [(outer, top), (inner, bottom), (-inner, bottom), (-outer, top)]
        if not inner:
            notch[1:3] = [(0.0, bottom)]
        return FlatPattern(self.thickness, (_standing(self, self.width, top, notch),))


@dataclass(frozen=True)
class FixtureStopDimensions(PartDimensions):
    """A plate that stands in the base beyond an end of the arm, laid flat on z = 0; y = 0 on the base's face; mm.

    axis_height: of the arm's axis over the base, where the stop screw's hole is
    height: of the plate over the base
    width: of the plate
    hole_diameter: for the stop screw
    tab_width, tab_offset, chamfer: of the tabs, as of the V plates
    """

    family: ClassVar[str] = "fixture-stop"
    title: ClassVar[str] = "welding fixture, end stop"

    axis_height: float
    height: float
    width: float
    hole_diameter: float
    thickness: float
    tab_width: float
    tab_offset: float
    chamfer: float

    def problems(self) -> Iterator[str]:
        yield from _plate(self.thickness)
        yield from _tabs(self.width, self.thickness, self.tab_width, self.tab_offset, self.chamfer)
        d = self.hole_diameter
        yield from least("hole diameter", d, max(5.0, self.thickness), "a stop screw that does not bend")
        yield from most("hole diameter", d, 20.0, "no stop screw needs more")
        yield from least("axis height", self.axis_height, 1.5 * d, "the hole's edge distance")
        yield from least(
            "plate over the hole", self.height - self.axis_height, 1.5 * d, "the hole's edge distance"
        )
        yield from most("height", self.height, 300.0, "it would lean")
        yield from least("width", self.width, 3 * d, "the hole's edge distance")
        yield from most("width", self.width, 400.0, "wider than a bench has room for")

    @property
    def volume(self) -> float:
        """Rectangle with both tabs less their corners, less the hole, times the thickness."""
        tabs = 2 * (self.tab_width * self.thickness - self.chamfer**2)
        hole = math.pi / 4 * self.hole_diameter**2
        return (self.width * self.height + tabs - hole) * self.thickness

    @property
    def envelope(self) -> tuple[float, float, float]:
        return (self.width, self.height + self.thickness, self.thickness)

    def flat_pattern(self) -> FlatPattern:
        """Outline and hole."""
        hole = circle_outline(0.0, self.axis_height, self.hole_diameter)
        return FlatPattern(self.thickness, (_standing(self, self.width, self.height, []),), (hole,))


def _plate(thickness: float) -> Iterator[str]:
    yield from least("thickness", thickness, THINNEST, "thinner plate bends as it is welded beside")
    yield from most("thickness", thickness, THICKEST, "more than a fixture needs")


def _tabs(width: float, thickness: float, tab: float, offset: float, chamfer: float) -> Iterator[str]:
    yield from least("tab width", tab, max(8.0, thickness), "a narrower tab holds nothing")
    yield from least("tab offset", offset, tab / 2 + 2.5, "room between both tabs")
    yield from least("plate beside a tab", width / 2 - offset - tab / 2, 1.0, "a shoulder to stand on")
    yield from least("chamfer", chamfer, 0.2, "the tab must find its slot")
    yield from most("chamfer", chamfer, min(thickness, tab) / 3, "a third of the tab")


def _standing(
    plate: FixtureVeeDimensions | FixtureStopDimensions,
    width: float,
    top: float,
    notch: list[tuple[float, float]],
) -> Outline:
    """Outline of a plate with two tabs below y = 0, counter-clockwise, and a notch in its upper edge."""
    half, t, c = width / 2, plate.thickness, plate.chamfer
    points = [(-half, 0.0)]
    for side in (-1, 1):
        low, high = (side * plate.tab_offset + way * plate.tab_width / 2 for way in (-1, 1))
        points += [(low, 0.0), (low, c - t), (low + c, -t), (high - c, -t), (high, c - t), (high, 0.0)]
    points += [(half, 0.0), (half, top), *notch, (-half, top)]
    return tuple((x, y, 0.0) for x, y in points)


def _box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
