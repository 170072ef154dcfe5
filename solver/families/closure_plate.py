"""Fender closure plate: a shallow pan that closes the hole cut for the tyre, set back from its sweep."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
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
from solver.sheet_metal import Bend, bend_allowance, bend_row

Point = tuple[float, float]


@dataclass(frozen=True)
class ClosurePlateDimensions(PartDimensions):
    """Flat floor on z = 0 with flanges bent up towards +z, each with weld tabs on its free edge; mm.

    floor: convex outline of the flat floor at the bend tangent lines, counter-clockwise
    flanged: for each edge, from vertex i to the next, whether it carries a flange
    thickness, bend_radius: of the sheet, and inside the bends
    flange_height: over all, from the floor's outside face to the flange's free edge without tabs
    relief: how far a flange stays away from each end of its edge
    tab_width, tab_height: of the weld tabs that lap onto the wheel well
    drain_x, drain_y, drain_diameter: the drain hole in the floor
    k_factor: position of the neutral layer in the bends, share of the thickness
    """

    family: ClassVar[str] = "closure-plate"
    title: ClassVar[str] = "fender closure plate"

    floor: tuple[Point, ...]
    flanged: tuple[bool, ...]
    thickness: float
    bend_radius: float
    flange_height: float
    relief: float
    tab_width: float
    tab_height: float
    drain_x: float
    drain_y: float
    drain_diameter: float
    k_factor: float

    @property
    def flange_flat(self) -> float:
        """Flat height of a flange above its bend, mm."""
        return self.flange_height - self.thickness - self.bend_radius

    def edges(self) -> tuple[tuple[Point, Point, float], ...]:
        """Start, unit direction and length of each edge of the floor."""
        found = []
        for (x0, y0), (x1, y1) in zip(self.floor, self.floor[1:] + self.floor[:1], strict=True):
            length = math.hypot(x1 - x0, y1 - y0)
            direction = ((x1 - x0) / length, (y1 - y0) / length) if length else (0.0, 0.0)
            found.append(((x0, y0), direction, length))
        return tuple(found)

    def tab_positions(self, edge_length: float) -> tuple[float, ...]:
        """Middles of the tabs along a flanged edge, mm from its start: one per 80 mm, at least one."""
        free = edge_length - 2 * self.relief
        count = max(1, int(free // 80.0))
        return tuple(self.relief + free * (i + 0.5) / count for i in range(count))

    def problems(self) -> Iterator[str]:
        t = self.thickness
        yield from least("thickness", t, 0.8, "thinner sheet can't be welded to a body panel")
        yield from most("thickness", t, 4.0, "thicker sheet is no body panel")
        yield from least("bend radius", self.bend_radius, t, "one thickness, or the bend cracks")
        yield from most("bend radius", self.bend_radius, 10 * t, "ten thicknesses")
        yield from least(
            "flange flat", self.flange_flat, 4 * t, "least flange that can be bent, four thicknesses"
        )
        yield from most("flange height", self.flange_height, 200.0, "deeper than a pan")
        yield from least("relief", self.relief, t, "one thickness, or the corner tears")
        if len(self.floor) < 3 or len(self.floor) != len(self.flanged):
            yield f"the floor has {len(self.floor)} corners and {len(self.flanged)} edges, 3 of each are the least"
            return
        if not any(self.flanged):
            yield "no edge carries a flange"
        edges = self.edges()
        turned = 0.0
        for i, (_, (ax, ay), length) in enumerate(edges):
            _, (bx, by), _ = edges[(i + 1) % len(edges)]
            turned += math.atan2(ax * by - ay * bx, ax * bx + ay * by)
            yield from least(f"edge {i + 1}", length, 1.0, "a cut is about that wide")
            if ax * by - ay * bx <= 1e-9:
                yield f"the floor is not convex and counter-clockwise at corner {(i + 1) % len(edges) + 1}"
            if self.flanged[i]:
                room = self.tab_width + 2 * self.relief
                yield from least(f"edge {i + 1}", length, room, "a tab and two reliefs")
        if turned > 3 * math.pi:
            yield "the floor's outline crosses itself: it goes round more than once"
        yield from least("tab width", self.tab_width, 6.0, "a weld needs that much")
        yield from most("tab width", self.tab_width, 60.0, "tabs would meet")
        yield from least("tab height", self.tab_height, 4.0, "a weld needs that much")
        yield from most("tab height", self.tab_height, 40.0, "tabs would reach too far")
        yield from least("drain hole", self.drain_diameter, max(t, 4.0), "it would clog")
        for i, ((x, y), (ax, ay), _) in enumerate(edges):
            inset = ax * (self.drain_y - y) - ay * (self.drain_x - x) - self.drain_diameter / 2
            room = 3 * t + self.bend_radius
            yield from least(
                f"drain hole edge to edge {i + 1}", inset, room, "3 thicknesses and the bend radius"
            )
        if not 0 < self.k_factor <= 0.5:
            yield f"K-factor {self.k_factor} is outside of 0 to 0.5"

    @property
    def floor_area(self) -> float:
        """Of the flat floor inside the bends, the drain hole taken off, mm²."""
        whole = outline_area(tuple((x, y, 0.0) for x, y in self.floor))
        return whole - math.pi / 4 * self.drain_diameter**2

    @property
    def volume(self) -> float:
        """Floor, and for each flange a quarter of a tube, its flat and its tabs."""
        t, r = self.thickness, self.bend_radius
        section = math.pi / 4 * ((r + t) ** 2 - r**2) + self.flange_flat * t
        total = self.floor_area * t
        for (_, _, length), has_flange in zip(self.edges(), self.flanged, strict=True):
            if has_flange:
                total += section * (length - 2 * self.relief)
                total += len(self.tab_positions(length)) * self.tab_width * self.tab_height * t
        return total

    @property
    def envelope(self) -> tuple[float, float, float]:
        points = list(self.floor)
        out = self.thickness + self.bend_radius
        for ((x, y), (ax, ay), length), has_flange in zip(self.edges(), self.flanged, strict=True):
            if has_flange:
                for s in (self.relief, length - self.relief):
                    points.append((x + ax * s + ay * out, y + ay * s - ax * out))
        xs, ys = zip(*points, strict=True)
        tall = self.flange_height + self.tab_height
        return (max(xs) - min(xs), max(ys) - min(ys), tall)

    def flat_pattern(self) -> FlatPattern:
        """The blank before bending, with a bend line in the middle of each bend."""
        allowance = bend_allowance(math.pi / 2, self.bend_radius, self.thickness, self.k_factor)
        outline: list[tuple[float, float, float]] = []
        bends = []
        for ((x, y), (ax, ay), length), has_flange in zip(self.edges(), self.flanged, strict=True):

            def at(
                along: float, out: float, x: float = x, y: float = y, ax: float = ax, ay: float = ay
            ) -> tuple[float, float, float]:
                return (x + ax * along + ay * out, y + ay * along - ax * out, 0.0)

            outline.append(at(0, 0))
            if not has_flange:
                continue
            first, last = self.relief, length - self.relief
            top = allowance + self.flange_flat
            outline += [at(first, 0), at(first, top)]
            for middle in self.tab_positions(length):
                low, high = middle - self.tab_width / 2, middle + self.tab_width / 2
                tab = top + self.tab_height
                outline += [at(low, top), at(low, tab), at(high, tab), at(high, top)]
            outline += [at(last, top), at(last, 0)]
            bends.append((at(first, allowance / 2)[:2], at(last, allowance / 2)[:2]))
        drain: Outline = circle_outline(self.drain_x, self.drain_y, self.drain_diameter)
        return FlatPattern(self.thickness, (tuple(outline),), (drain,), tuple(bends))

    def bend_table(self) -> tuple[Bend, ...]:
        """A row for each bend line of the flat pattern, in its order."""
        lengths = (
            length for (_, _, length), flanged in zip(self.edges(), self.flanged, strict=True) if flanged
        )
        return tuple(
            bend_row(
                number, math.pi / 2, self.bend_radius, self.thickness, self.k_factor, length - 2 * self.relief
            )
            for number, length in enumerate(lengths, 1)
        )
