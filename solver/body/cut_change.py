"""How the lines along which a body has to be cut change: area, extent, how far the new one runs beyond the old."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.body.answer import BodyResult
from solver.body.clearance_map import SIDES
from solver.body.contour import Loop
from solver.body.cut_line import CutLine, NoCutLine
from solver.car import Side
from solver.vectors import Array, dot, length

AT_ONCE = 1_000_000
"""Pairs of a point and a piece of a line that are worked out in one go."""


@dataclass(frozen=True, eq=False)
class CutChange:
    """What has to be cut of one body for one wheel, before and after.

    body_side: on which the body was measured, None for one about the whole car; side: of the wheel
    without: reasons why a piece has no line, before and after
    beyond: how far the new line runs outside of the old one, mm, and where (3,); None where either has no line
    """

    body: str
    body_side: Side | None
    side: Side
    before: tuple[CutLine, ...]
    after: tuple[CutLine, ...]
    without: tuple[tuple[str, ...], tuple[str, ...]]
    beyond: tuple[float, Array] | None

    @property
    def areas(self) -> tuple[float, float]:
        """Metal inside of the lines before and after, mm², laid flat."""
        before, after = (sum(line.area for line in lines) for lines in (self.before, self.after))
        return before, after


def compare_cuts(before: BodyResult, after: BodyResult) -> list[CutChange]:
    """What has to be cut of one body, a row a wheel that cuts it before or after."""
    found = []
    for side in SIDES:
        old, new = (
            tuple(line for line in one.lines if isinstance(line, CutLine) and line.side == side)
            for one in (before, after)
        )
        reasons = tuple(
            tuple(line.reason for line in one.lines if isinstance(line, NoCutLine) and line.side == side)
            for one in (before, after)
        )
        if not (old or new or any(reasons)):
            continue
        surface = after.map.surface
        beyond = _beyond(before, old, new)
        found.append(CutChange(surface.name, surface.side, side, old, new, (reasons[0], reasons[1]), beyond))
    return found


def _beyond(before: BodyResult, old: Sequence[CutLine], new: Sequence[CutLine]) -> tuple[float, Array] | None:
    """The farthest of the new line's points, outside of the old cut, from the old line."""
    if not old or not new:
        return None
    points = np.concatenate([loop.points for line in new for loop in line.loops])
    # Outside of the old cut is where the old tyre kept the gap; a tenth of a millimetre is the line's own error.
    outside = points[before.map.field.clearance(points) > old[0].gap + 0.1]
    if not len(outside):
        return 0.0, points[0]
    away = np.full(len(outside), np.inf)
    for line in old:
        for loop in line.loops:
            away = np.minimum(away, _from_line(outside, loop))
    worst = int(away.argmax())
    return float(away[worst]), outside[worst]


def _from_line(points: Array, loop: Loop) -> Array:
    """Distance of points (k, 3) from a closed line, (k,), mm."""
    start = loop.points
    along = np.roll(start, -1, axis=0) - start
    square = np.maximum(dot(along, along), 1e-12)
    least = np.empty(len(points))
    step = max(1, AT_ONCE // len(start))
    for begin in range(0, len(points), step):
        offset = points[begin : begin + step, None] - start
        share = np.clip(dot(offset, along) / square, 0.0, 1.0)
        least[begin : begin + step] = length(offset - share[..., None] * along).min(axis=1)
    return least
