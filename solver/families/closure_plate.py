"""Fender closure plate: a pan that closes the hole cut for the tyre, its floor flat or folded after the sweep."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import ClassVar

from solver.families.base import (
    FlatPattern,
    Outline,
    PartDimensions,
    circle_outline,
    least,
    most,
    outline_area,
)
from solver.families.pan import PLUG_PITCH, TAB_PITCH, Facet, Pan, Point, Wall, pan, spread_evenly
from solver.families.pan_blank import blank_outline, crossing, in_blank, on_wall
from solver.sheet_metal import Bend, bend_allowance, bend_row

STEEPEST = math.radians(60)
NARROWEST = 20.0
"""Least flat width of a facet between its folds, mm: the jaws of a folding machine. Common practice, no source."""


@dataclass(frozen=True)
class ClosurePlateDimensions(PartDimensions):
    """A floor of one or more flat facets between folds parallel to y, upright walls all round it, each with weld tabs
    on its free edge; mm. The weld line, where the walls end and the tabs begin, is level.

    outline: convex outline of the walls' inside faces, counter-clockwise
    profile: the floor's inside face as (x, depth under the weld line) at one end, at each fold's sharp corner and at
        the other end; a valley
    thickness, bend_radius: of the sheet, and inside the bends
    relief: how far the bends stay away from the corners of the facets
    mitre_gap: between the inside edges of two neighbouring walls
    tab_width, tab_height: of the weld tabs that pass through the cut edge
    plug_diameter: of the plug-weld holes, as far below the weld line, wherever a wall is high enough; 0 for none
    drain_x, drain_y, drain_diameter: the drain hole, seen along z
    k_factor: position of the neutral layer in the bends, share of the thickness
    """

    family: ClassVar[str] = "closure-plate"
    title: ClassVar[str] = "fender closure plate"
    may_be_larger: ClassVar[Mapping[str, str]] = {
        "thickness": "thicker sheet hums less, and grows away from the tyre"
    }

    outline: tuple[Point, ...]
    profile: tuple[Point, ...]
    thickness: float
    bend_radius: float
    relief: float
    mitre_gap: float
    tab_width: float
    tab_height: float
    plug_diameter: float
    drain_x: float
    drain_y: float
    drain_diameter: float
    k_factor: float

    @cached_property
    def pan(self) -> Pan:
        """Its facets, folds and walls."""
        return pan(self)

    @property
    def bend_room(self) -> float:
        """Least distance of a hole's edge from a bend, three thicknesses and the bend radius, mm."""
        return 3 * self.thickness + self.bend_radius

    def tabs(self, wall: Wall) -> tuple[float, ...]:
        """Middles of a wall's tabs along it, mm: one per 80 mm, at least one."""
        (left, _), (right, _), _, _ = wall.outline
        return spread_evenly(left, right, TAB_PITCH)

    def plugs(self, wall: Wall) -> tuple[float, ...]:
        """Middles along a wall of the plug-weld holes that it is high enough for, mm."""
        if not self.plug_diameter:
            return ()
        (left, low), (right, far), (_, top), _ = wall.outline
        room = self.bend_room + self.plug_diameter / 2
        found = []
        for h in spread_evenly(left, right, PLUG_PITCH):
            bend = low + (far - low) * (h - left) / (right - left)
            high_enough = (top - self.plug_diameter - bend) * math.cos(wall.tilt) >= room
            if high_enough and min(h - left, right - h) >= 1.5 * self.plug_diameter:
                found.append(h)
        return tuple(found)

    def problems(self) -> Iterator[str]:
        found = [*self._plain_problems(), *_outline_problems(self.outline), *_profile_problems(self)]
        # The pan is put together from sizes that make sense only.
        yield from found or self._pan_problems()

    def _plain_problems(self) -> Iterator[str]:
        t = self.thickness
        yield from least("thickness", t, 0.8, "thinner sheet can't be welded to a body panel")
        yield from most("thickness", t, 4.0, "thicker sheet is no body panel")
        yield from least("bend radius", self.bend_radius, t, "one thickness, or the bend cracks")
        yield from most("bend radius", self.bend_radius, 10 * t, "ten thicknesses")
        yield from least("relief", self.relief, t, "one thickness, or the corner tears")
        yield from least("mitre gap", self.mitre_gap, 0.5, "walls that touch can't be welded through")
        yield from most("mitre gap", self.mitre_gap, 2 * max(t, 1.0), "too wide to be welded shut")
        yield from least("tab width", self.tab_width, 6.0, "a weld needs that much")
        yield from most("tab width", self.tab_width, 60.0, "tabs would meet")
        yield from least("tab height", self.tab_height, 4.0, "a weld needs that much")
        yield from most("tab height", self.tab_height, 40.0, "tabs would reach too far")
        if self.plug_diameter:
            yield from least("plug-weld hole", self.plug_diameter, max(4.0, 2 * t), "it could not be filled")
            yield from most(
                "plug-weld hole", self.plug_diameter, 12.0, "a plug weld of that size warps the sheet"
            )
        yield from least("drain hole", self.drain_diameter, max(t, 4.0), "it would clog")
        if not 0 < self.k_factor <= 0.5:
            yield f"K-factor {self.k_factor} is outside of 0 to 0.5"

    def _pan_problems(self) -> Iterator[str]:
        found, t = self.pan, self.thickness
        for k, facet in enumerate(found.facets, 1):
            if any(side <= 0 for side in _sides(facet)):
                yield f"facet {k} is too small for its bends of {self.bend_radius:.2f} mm radius"
                return
            width = max(u for u, _ in facet.corners) - min(u for u, _ in facet.corners)
            yield from least(f"facet {k}", width, NARROWEST, "a folding machine's jaws need that much")
        for k, fold in enumerate(found.folds, 1):
            yield from least(f"fold {k}", fold.high - fold.low, NARROWEST, "a fold needs that much")
        for wall in found.walls:
            name = f"the wall on edge {wall.edge + 1}"
            (left, _), (right, _), _, _ = wall.outline
            yield from least(name, min(right - left, wall.last - wall.first), self.tab_width, "a tab's width")
            flat = min(wall.heights)
            yield from least(
                f"flat of {name}", flat, 4 * t, "least flange that can be bent, four thicknesses"
            )
            yield from most(f"flat of {name}", max(wall.heights), 200.0, "deeper than a pan")
        facet = self.drained
        u, v = (self.drain_x - facet.origin[0]) / math.cos(facet.slope), self.drain_y
        for i, ((au, av), (bu, bv)) in enumerate(_pairs(facet.corners), 1):
            size = math.hypot(bu - au, bv - av)
            away = ((bu - au) * (v - av) - (bv - av) * (u - au)) / size - self.drain_diameter / 2
            yield from least(
                f"drain hole to bend {i} of its facet",
                away,
                self.bend_room,
                "3 thicknesses and the bend radius",
            )
        if crossing(self.flat_pattern().outer[0]):
            yield "two walls would overlap in the blank"

    @property
    def drained(self) -> Facet:
        """The facet with the drain hole."""
        facets = self.pan.facets
        inside = [f for f in facets[1:] if f.origin[0] <= self.drain_x]
        return inside[-1] if inside else facets[0]

    @property
    def volume(self) -> float:
        """Facets, walls and tabs by area times thickness, bends as shares of a tube, holes taken off."""
        t, found = self.thickness, self.pan
        ring = ((self.bend_radius + t) ** 2 - self.bend_radius**2) / 2
        area = sum(outline_area(tuple((u, v, 0.0) for u, v in facet.corners)) for facet in found.facets)
        area -= math.pi / 4 * self.drain_diameter**2
        bent = sum(fold.angle * (fold.high - fold.low) for fold in found.folds)
        for wall in found.walls:
            area += outline_area(tuple((h, z, 0.0) for h, z in wall.outline))
            area += len(self.tabs(wall)) * self.tab_width * self.tab_height
            area -= len(self.plugs(wall)) * math.pi / 4 * self.plug_diameter**2
            bent += wall.angle * (wall.last - wall.first)
        return area * t + bent * ring

    @property
    def envelope(self) -> tuple[float, float, float]:
        xs, ys = zip(
            *(point for wall in self.pan.walls for point in _wall_ends(wall, self.thickness)), strict=True
        )
        return (max(xs) - min(xs), max(ys) - min(ys), self.pan.height + self.tab_height)

    def for_printing(self, clearance: float) -> ClosurePlateDimensions:
        """Room between the walls and the well, and in the drain hole; plug-weld holes fit nothing."""
        outline = _inset(self.outline, clearance)
        (x0, z0), (x1, z1) = self.profile[:2]
        (x2, z2), (x3, z3) = self.profile[-2:]
        low, high = min(x for x, _ in outline), max(x for x, _ in outline)
        # The first and the last facet end sooner, at the depth that they have there.
        first = (low, z0 + (z1 - z0) * (low - x0) / (x1 - x0))
        last = (high, z3 + (z2 - z3) * (high - x3) / (x2 - x3))
        return replace(
            self,
            outline=outline,
            profile=(first, *self.profile[1:-1], last),
            drain_diameter=self.drain_diameter + 2 * clearance,
        )

    def mates(self, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
        """The walls' outside, which stands in the well."""
        x, y = (sum(values) / len(self.outline) for values in zip(*self.outline, strict=True))
        # The outline is convex, so its middle is inside of every wall.
        return abs(normal[2]) < 0.3 and (point[0] - x) * normal[0] + (point[1] - y) * normal[1] > 0

    def flat_pattern(self) -> FlatPattern:
        """The blank before bending, as the inside sees it, with a bend line in the middle of each bend: those of the
        walls counter-clockwise round the outline, then the folds of the floor."""
        facet = self.drained
        drain = (facet.flat + (self.drain_x - facet.origin[0]) / math.cos(facet.slope), self.drain_y)
        inner: list[Outline] = [circle_outline(*drain, self.drain_diameter)]
        bends = []
        for wall in self.pan.walls:
            middle = bend_allowance(wall.angle, self.bend_radius, self.thickness, self.k_factor) / 2
            first, last = (in_blank(self, wall, along, middle) for along in (wall.first, wall.last))
            bends.append((first, last))
            top = wall.outline[2][1] - self.plug_diameter
            holes = (in_blank(self, wall, *on_wall(self, wall, h, top)) for h in self.plugs(wall))
            inner += [circle_outline(*hole, self.plug_diameter) for hole in holes]
        for before, after, fold in zip(self.pan.facets, self.pan.facets[1:], self.pan.folds, strict=False):
            x = (before.flat + before.length + after.flat) / 2
            bends.append(((x, fold.low), (x, fold.high)))
        angles = tuple(bend.angle for bend in self.bend_table())
        return FlatPattern(self.thickness, (blank_outline(self),), tuple(inner), tuple(bends), angles)

    def bend_table(self) -> tuple[Bend, ...]:
        """A row for each bend line of the flat pattern, in its order."""
        rows = [(wall.angle, wall.last - wall.first) for wall in self.pan.walls]
        rows += [(fold.angle, fold.high - fold.low) for fold in self.pan.folds]
        return tuple(
            bend_row(number, angle, self.bend_radius, self.thickness, self.k_factor, length)
            for number, (angle, length) in enumerate(rows, 1)
        )

    def mirrored(self) -> ClosurePlateDimensions:
        """The plate of the other side: x turned round."""
        return replace(
            self,
            outline=tuple((-x + 0.0, y) for x, y in reversed(self.outline)),
            profile=tuple((-x + 0.0, depth) for x, depth in reversed(self.profile)),
            drain_x=-self.drain_x + 0.0,
        )


def _pairs(corners: tuple[Point, ...]) -> Iterator[tuple[Point, Point]]:
    return zip(corners, corners[1:] + corners[:1], strict=True)


def _sides(facet: Facet) -> Iterator[float]:
    """Lengths of a facet's edges, negative where its bends leave nothing of one."""
    for ((au, av), (bu, bv)), ((pu, pv), (qu, qv)) in zip(
        _pairs(facet.sharp), _pairs(facet.corners), strict=True
    ):
        yield ((qu - pu) * (bu - au) + (qv - pv) * (bv - av)) / (math.hypot(bu - au, bv - av) or 1.0)


def _wall_ends(wall: Wall, thickness: float) -> Iterator[Point]:
    (x, y), (ax, ay) = wall.foot, wall.level
    for h, _ in wall.outline[:2]:
        for out in (0.0, thickness):
            yield (x + ax * h + ay * out, y + ay * h - ax * out)


def _outline_problems(outline: tuple[Point, ...]) -> Iterator[str]:
    if len(outline) < 3:
        yield f"the outline has {len(outline)} corners, 3 are the least"
        return
    turned = 0.0
    pairs = list(_pairs(outline))
    for i, ((a, b), (_, c)) in enumerate(zip(pairs, pairs[1:] + pairs[:1], strict=True)):
        yield from least(f"edge {i + 1}", math.dist(a, b), 1.0, "a cut is about that wide")
        yield from most(f"edge {i + 1}", math.dist(a, b), 2000.0, "longer than a sheet")
        ax, ay, bx, by = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
        turned += math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if ax * by - ay * bx <= 1e-9:
            yield f"the outline is not convex and counter-clockwise at corner {(i + 1) % len(outline) + 1}"
    if turned > 3 * math.pi:
        yield "the outline crosses itself: it goes round more than once"


def _profile_problems(d: ClosurePlateDimensions) -> Iterator[str]:
    if len(d.profile) < 2 or not d.outline:
        yield f"the profile has {len(d.profile)} points, 2 are the least"
        return
    low, high = min(x for x, _ in d.outline), max(x for x, _ in d.outline)
    if abs(d.profile[0][0] - low) > 1e-3 or abs(d.profile[-1][0] - high) > 1e-3:
        found = f"the profile reaches from {d.profile[0][0]:.2f} to {d.profile[-1][0]:.2f} mm"
        yield f"{found}, the outline from {low:.2f} to {high:.2f} mm"
    before = -math.inf
    for k, ((x0, z0), (x1, z1)) in enumerate(zip(d.profile, d.profile[1:], strict=False), 1):
        if x1 - x0 < NARROWEST / 2:
            yield f"facet {k} {x1 - x0:.2f} mm is below {NARROWEST / 2:.2f} mm (its points must rise along x)"
            return
        slope = math.atan2(z0 - z1, x1 - x0)
        if abs(slope) > STEEPEST:
            yield f"facet {k} rises by {math.degrees(slope):.1f}°, 60° is the most either way"
        if slope - before < math.radians(1):
            yield f"the fold before facet {k} is below 1° or bends away from the inside"
        before = slope


def _inset(outline: tuple[Point, ...], inset: float) -> tuple[Point, ...]:
    """A convex outline, counter-clockwise, with its edges moved inwards; corners are where the lines meet."""
    lines = []
    for (x0, y0), (x1, y1) in _pairs(outline):
        length = math.dist((x0, y0), (x1, y1))
        ax, ay = (x1 - x0) / length, (y1 - y0) / length
        lines.append((ax, ay, ax * y0 - ay * x0 + inset))
    found = []
    for (ax, ay, c), (bx, by, d) in zip(lines[-1:] + lines[:-1], lines, strict=True):
        turn = ax * by - ay * bx
        found.append(((bx * c - ax * d) / turn, (by * c - ay * d) / turn))
    return tuple(found)
