"""What the tyre must stay clear of, as points along bars, the same number on both sides."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.car import Side
from solver.clearance import Obstacle, obstacles
from solver.front_end import FrontEnd
from solver.search.wheels import MIRROR
from solver.vectors import Array, Mask, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAMPLE_PITCH = 16.0
"""Distance in mm between the samples along a bar. Beside the true nearest point a tyre of 300 mm radius is further
away by at most pitch² / (8 · 300 mm), a tenth of a millimetre; the full sweep that follows measures exactly."""
NOWHERE = 1e5
"""Where a bar is put on the side that has none, mm."""


@dataclass(frozen=True, eq=False)
class Bars:
    """Points along the bars of both sides, the right ones mirrored; mm, car axes of the measured pose.

    names, radii: of each bar; starts: index of its first point
    points: (2, p, 3) with measured arms; per_mm: their way for a millimetre of arm extension
    on_arm: (p,) whether the arm carries them, else the body
    """

    names: tuple[str, ...]
    radii: Array
    starts: NDArray[np.int64]
    points: Array
    per_mm: Array
    on_arm: Mask


def bars_of(front_end: FrontEnd) -> Bars:
    """All bars of a front end but those that turn with the wheel: steering doesn't bring those nearer."""
    by_side = [_bars(front_end, side) for side in ("left", "right")]
    names = tuple(dict.fromkeys(name for bars in by_side for name in bars))
    points, per_mm, starts, radii, on_arm = [], [], [], [], []
    count = 0
    for name in names:
        pair = [bars.get(name) for bars in by_side]
        either = next(bar for bar in pair if bar is not None)[0]
        longest = max(float(length(bar[0].end - bar[0].start)) for bar in pair if bar is not None)
        share = np.linspace(0.0, 1.0, int(longest / SAMPLE_PITCH) + 2)[:, None]
        both = [_along(bar, share) for bar in pair]
        points.append(np.stack([a for a, _ in both]))
        per_mm.append(np.stack([b for _, b in both]))
        starts.append(count)
        radii.append(max(bar[0].radius for bar in pair if bar is not None))
        on_arm += [either.fixed_to == "arm"] * len(share)
        count += len(share)
    if not names:
        empty = np.empty((2, 0, 3))
        return Bars((), np.empty(0), np.empty(0, int), empty, empty, np.empty(0, bool))
    seen_from_left = np.stack([np.ones(3), MIRROR])[:, None]
    return Bars(
        names,
        np.array(radii),
        np.array(starts),
        np.concatenate(points, axis=1) * seen_from_left,
        np.concatenate(per_mm, axis=1) * seen_from_left,
        np.array(on_arm),
    )


def _bars(front_end: FrontEnd, side: Side) -> dict[str, tuple[Obstacle, Obstacle]]:
    """Each bar by its name, with measured arms and with arms a millimetre longer."""
    assembly = front_end.left if side == "left" else front_end.right
    none, one = (
        obstacles(replace(front_end, changes=replace(front_end.changes, arm_extension=e)), assembly)
        for e in (0.0, 1.0)
    )
    # Two objects of one name are two bars all the same.
    found: dict[str, tuple[Obstacle, Obstacle]] = {}
    for bar, longer in zip(none, one, strict=True):
        if bar.fixed_to != "knuckle":
            found[bar.name + " " * sum(name.strip() == bar.name for name in found)] = bar, longer
    return found


def _along(pair: tuple[Obstacle, Obstacle] | None, share: Array) -> tuple[Array, Array]:
    """Points along a bar, and their way for a millimetre of arm extension."""
    if pair is None:
        return np.full((len(share), 3), NOWHERE), np.zeros((len(share), 3))
    bar, longer = pair
    points = bar.start + share * (bar.end - bar.start)
    return points, longer.start + share * (longer.end - longer.start) - points
