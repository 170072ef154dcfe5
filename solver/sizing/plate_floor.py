"""The closure plate's floor: flat where that does, else folded after the swept tyre, with as few folds as will do.

Under a facet of a given slope the whole swept tyre stays on one side of one plane, whose place is the tyre's support
in that direction: exact, and without samples. A valley of such planes lies under the tyre as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from solver.body.swept import SweptRevolved
from solver.panel import PanelFrame, reach
from solver.vectors import Array

MOST_FACETS = 4
SLOPES = tuple(range(4, 51, 2))
"""Degrees that a facet may rise by: what a folding machine's scale can be set to."""
FOLD_TO_CORNER = 28.0
"""Least distance of a fold from the outline's corners, mm: between them a wall's piece with a tab has to fit."""
NARROWEST = 36.0
"""Least width of a facet, mm; its bends come off it."""
SLICE = 4.0
"""Pitch of the cuts by which metal is added up and room is looked at, mm."""
SIDES = 8
"""Ways to fold one side that are combined with those of the other."""
TURNS = tuple(math.radians(45.0 * i) for i in range(4))
"""Directions that the folds may run square to: like the outline's edges, so that walls stand square to folds."""


class Room(NamedTuple):
    """Free depth behind a panel, mm, at corners (k, 2) of its outline."""

    outline: Array
    depth: Array

    def at(self, points: Array) -> Array:
        """Between the corners: mean value coordinates (Floater, Computer Aided Geometric Design 20, 2003, from
        memory), exact at the corners and linear along the edges."""
        # On the outline itself the weights are 0/0; a millionth of the way to the middle they are not.
        points = points + 1e-6 * (self.outline.mean(axis=0) - points)
        offset = self.outline[None] - points[:, None]
        size = np.maximum(np.hypot(offset[..., 0], offset[..., 1]), 1e-9)
        after = np.roll(offset, -1, axis=1)
        cross = offset[..., 0] * after[..., 1] - offset[..., 1] * after[..., 0]
        inner = np.sum(offset * after, axis=-1)
        half = cross / np.maximum(size * np.roll(size, -1, axis=1) + inner, 1e-9)
        weight = (half + np.roll(half, 1, axis=1)) / size
        return np.asarray((weight @ self.depth) / weight.sum(axis=1))


class Floor(NamedTuple):
    """turn: of the part's x axis, across the folds, against the panel's, rad; profile: (x, depth) points, mm
    metal: of floor and walls, mm²; slack: beyond the gap at the facet nearest to the tyre, mm"""

    turn: float
    profile: tuple[tuple[float, float], ...]
    metal: float
    slack: float


class _Side(NamedTuple):
    """Folds on one side of the level facet, seen as the right one: (x, tan of the slope beyond)."""

    folds: tuple[tuple[float, float], ...]
    metal: float
    slack: float


@dataclass(frozen=True)
class Setting:
    """What a floor has to suit; mm.

    outline: (k, 2) of the walls' inside faces, in the panel's plane; level: depth of a flat floor
    shallowest: depth that the lowest wall needs; room: free depth behind the panel, None where not measured
    """

    swept: SweptRevolved
    frame: PanelFrame
    outline: Array
    gap: float
    level: float
    thickness: float
    shallowest: float
    room: Room | None


def flat_floor(setting: Setting) -> Floor:
    """The floor of one facet."""
    slices = _Slices(setting, 0.0)
    profile = ((float(slices.low), setting.level), (float(slices.high), setting.level))
    return Floor(0.0, profile, slices.metal(np.full(len(slices.x), setting.level), 1.0), slices.slack(0.0))


def fits_behind(setting: Setting, floor: Floor) -> float:
    """How far the plate reaches beyond the room behind the panel, mm; negative where it doesn't."""
    slices = _Slices(setting, floor.turn)
    depth = np.interp(slices.x, *np.array(floor.profile).T)
    return float((depth + setting.thickness - slices.room).max())


def folded_floors(setting: Setting, facets: int) -> Iterator[Floor]:
    """Floors of so many facets that clear the tyre and fit behind the panel, least metal first."""
    found = [floor for turn in TURNS for floor in _turned(setting, turn, facets)]
    yield from sorted(found, key=lambda floor: (round(floor.metal, 3), floor.turn, floor.profile))


def _turned(setting: Setting, turn: float, facets: int) -> Iterator[Floor]:
    slices = _Slices(setting, turn)
    most = min(2, facets - 1)
    sides = [[_best(_sides(s, count)) for count in range(most + 1)] for s in (slices, slices.mirrored())]
    base = slices.metal(np.full(len(slices.x), setting.level), 1.0)
    for right in range(facets - 1 - most, most + 1):
        for one in sides[0][right]:
            for other in sides[1][facets - 1 - right]:
                low = -other.folds[0][0] if other.folds else slices.low
                high = one.folds[0][0] if one.folds else slices.high
                if high - low < NARROWEST:
                    continue
                profile = _profile(slices, one, other)
                if setting.room and not slices.fits(profile):
                    continue
                slack = min(one.slack, other.slack, slices.slack(0.0))
                yield Floor(turn, profile, base + one.metal + other.metal, slack)


def _best(sides: Iterator[_Side]) -> list[_Side]:
    return sorted(sides, key=lambda side: (round(side.metal, 3), side.folds))[:SIDES]


def _profile(slices: _Slices, right: _Side, left: _Side) -> tuple[tuple[float, float], ...]:
    level = slices.setting.level
    ahead = _points(right, level, float(slices.high))
    behind = _points(left, level, -float(slices.low))
    flat = [] if right.folds else [(float(slices.high), level)]
    start = [] if left.folds else [(float(slices.low), level)]
    return (*((-x, depth) for x, depth in reversed(behind)), *start, *flat, *ahead)


def _points(side: _Side, level: float, end: float) -> list[tuple[float, float]]:
    """Folds and the far end with their depths."""
    points: list[tuple[float, float]] = []
    slope = 0.0
    at, depth = 0.0, level
    for x, tangent in side.folds:
        depth -= slope * (x - at) if points else 0.0
        points.append((x, depth))
        at, slope = x, tangent
    return [*points, (end, depth - slope * (end - at))] if points else []


def _sides(slices: _Slices, count: int) -> Iterator[_Side]:
    """Ways to fold one side so many times."""
    if count == 0:
        yield _Side((), 0.0, math.inf)
        return
    level, low = slices.setting.level, slices.setting.shallowest
    flat = slices.metal(np.full(len(slices.x), level), 1.0)
    for i, first in enumerate(SLOPES):
        for second in SLOPES[i + 1 :] if count == 2 else (None,):
            folds: list[tuple[float, float]] = []
            tangent, lift = 0.0, level
            # Each line is depth = lift − tangent · x.
            for slope in (first, second):
                if slope is None:
                    break
                steeper = math.tan(math.radians(slope))
                shortest = low / math.cos(math.radians(slope))
                clears = slices.plane(slope)
                end = shortest + steeper * slices.high
                x = slices.away_from_corners((max(clears, end) - lift) / (steeper - tangent))
                if folds:
                    x = slices.away_from_corners(max(x, folds[-1][0] + NARROWEST))
                lift += x * (steeper - tangent)
                tangent = steeper
                folds.append((x, steeper))
            if folds[-1][0] > slices.high - NARROWEST or len(folds) < count:
                continue
            if count == 2 and folds[1][0] - folds[0][0] < NARROWEST:
                continue
            side = _Side(tuple(folds), 0.0, 0.0)
            points = [(slices.low, level), *_points(side, level, float(slices.high))]
            depth = np.interp(slices.x, *np.array(points).T)
            outer = slices.x > (slices.low + slices.high) / 2
            if (depth + slices.setting.thickness > slices.room + 1e-9)[outer].any():
                continue
            stretch = np.ones(len(slices.x))
            slack, lift, tangent = math.inf, level, 0.0
            for x, steeper in folds:
                stretch[slices.x > x] = math.hypot(1.0, steeper)
                lift += x * (steeper - tangent)
                tangent = steeper
                cosine = 1 / math.hypot(1.0, steeper)
                slack = min(slack, (lift - slices.plane(round(math.degrees(math.atan(steeper))))) * cosine)
            yield _Side(tuple(folds), slices.metal(depth, stretch) - flat, slack)


class _Slices:
    """The outline cut across its x axis, with what each slice needs."""

    def __init__(self, setting: Setting, turn: float, mirror: float = 1.0) -> None:
        self.setting, self.turn, self.mirror = setting, turn, mirror
        across = np.array([math.cos(turn), math.sin(turn)])
        along = np.array([-math.sin(turn), math.cos(turn)])
        self.corners = mirror * (setting.outline @ across)
        other = setting.outline @ along
        self.low, self.high = self.corners.min(), self.corners.max()
        self.x = np.linspace(self.low + 1e-6, self.high - 1e-6, int((self.high - self.low) / SLICE) + 2)
        start, end = self.corners, np.roll(self.corners, -1)
        least, most = np.full(len(self.x), np.inf), np.full(len(self.x), -np.inf)
        self.edges = np.zeros(len(self.x))
        self.upright: list[tuple[float, float]] = []
        for i in range(len(start)):
            run, rise = end[i] - start[i], np.roll(other, -1)[i] - other[i]
            if abs(run) < 1e-6:
                self.upright.append((float(start[i]), abs(float(rise))))
                continue
            share = (self.x - start[i]) / run
            inside = (share >= 0) & (share <= 1)
            y = other[i] + share * rise
            least = np.where(inside, np.minimum(least, y), least)
            most = np.where(inside, np.maximum(most, y), most)
            self.edges += np.where(inside, math.hypot(run, rise) / abs(run), 0.0)
        self.width = most - least
        self.room = np.full(len(self.x), np.inf)
        if setting.room:
            for share in np.linspace(0, 1, 7):
                y = least + share * (most - least)
                places = mirror * self.x[:, None] * across + y[:, None] * along
                self.room = np.minimum(self.room, setting.room.at(places))
        direction = mirror * (across[0] * setting.frame.across + across[1] * setting.frame.up)
        angles = np.radians(np.array([0, *SLOPES]))
        down = np.outer(direction, np.sin(angles)) - np.outer(setting.frame.towards_wheel, np.cos(angles))
        swept = setting.swept
        support = (
            reach(swept.solid, swept.centres, swept.axes, down).max(axis=0) - setting.frame.origin @ down
        )
        self.planes = dict(zip((0, *SLOPES), (support + setting.gap) / np.cos(angles), strict=True))

    def mirrored(self) -> _Slices:
        """Seen from behind, so that the left is right."""
        return _Slices(self.setting, self.turn, -1.0)

    def plane(self, slope: int) -> float:
        """Depth at x = 0 of the highest plane of a slope in degrees that clears the tyre by the gap."""
        return float(self.planes[slope])

    def slack(self, slope: float) -> float:
        """Of the level facet beyond the gap."""
        return self.setting.level - self.plane(int(slope))

    def metal(self, depth: Array, stretch: Array | float) -> float:
        """Of floor and walls, mm², by slices."""
        pitch = (self.high - self.low) / (len(self.x) - 1)
        weight = np.full(len(self.x), pitch)
        weight[[0, -1]] /= 2
        ends = sum(size * float(np.interp(x, self.x, depth)) for x, size in self.upright)
        return float(np.sum(weight * (self.width * stretch + self.edges * depth))) + ends

    def fits(self, profile: tuple[tuple[float, float], ...]) -> bool:
        """Whether a floor lies within the room behind the panel."""
        depth = np.interp(self.x, *np.array(profile).T)
        return bool((depth + self.setting.thickness <= self.room + 1e-9).all())

    def away_from_corners(self, x: float) -> float:
        """The next place outwards where a fold keeps its distance from the outline's corners."""
        for corner in np.sort(self.corners).tolist():
            if abs(x - corner) < FOLD_TO_CORNER - 1e-9:
                x = corner + FOLD_TO_CORNER
        return x
