"""What the tyre must stay clear of, as samples along bars, the same number on both sides."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from solver.car import FixedTo, Side
from solver.clearance import Obstacle, obstacles
from solver.front_end import FrontEnd
from solver.search.wheels import MIRROR
from solver.vectors import Array, Mask, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAMPLE_PITCH = 24.0
"""Greatest distance in mm between the samples along a bar, as `solver.tyre.nearest_point_distance` has it. The parabola
through the nearest sample and its two neighbours tells where between them the tyre comes nearest."""
NOWHERE = 1e5
"""Where a bar is put on the side that has none, mm."""


@dataclass(frozen=True, eq=False)
class Bars:
    """Bars of both sides, the right ones mirrored; mm, car axes of the measured pose.

    Bars of one name that are alike on both sides are one; where they differ each is one that the other side has not.

    names, radii: (b,); on_arm: (b,) whether the arm carries it, else the body
    counts: (b,) of samples, three or more, evenly spaced from end to end
    start, pitch: (2, b, 3) first sample, and the way to the next one, with measured arms
    start_per_mm, pitch_per_mm: their change for a millimetre of arm extension
    """

    names: tuple[str, ...]
    radii: Array
    on_arm: Mask
    counts: NDArray[np.intp]
    start: Array
    pitch: Array
    start_per_mm: Array
    pitch_per_mm: Array

    @property
    def firsts(self) -> NDArray[np.intp]:
        """(b,) index of each bar's first sample among all (p,)."""
        return np.asarray(np.cumsum(self.counts) - self.counts)

    @property
    def of_sample(self) -> NDArray[np.intp]:
        """(p,) the bar that each sample lies on."""
        return np.repeat(np.arange(len(self.counts)), self.counts)


def bars_of(front_end: FrontEnd) -> Bars:
    """All bars of a front end but those that turn with the wheel: steering doesn't bring those nearer."""
    by_side = [_bars(front_end, side) for side in ("left", "right")]
    keys = tuple(dict.fromkeys(key for bars in by_side for key in bars))
    counts = []
    lines = np.zeros((4, 2, len(keys), 3))
    lines[0] = NOWHERE
    for i, key in enumerate(keys):
        pair = [bars.get(key) for bars in by_side]
        longest = max(float(length(bar[0].end - bar[0].start)) for bar in pair if bar is not None)
        counts.append(max(int(longest / SAMPLE_PITCH) + 2, 3))
        for side, bar in enumerate(pair):
            if bar is not None:
                (start, pitch), (longer_start, longer_pitch) = (_line(one, counts[-1]) for one in bar)
                lines[:, side, i] = start, pitch, longer_start - start, longer_pitch - pitch
    start, pitch, start_per_mm, pitch_per_mm = lines * np.stack([np.ones(3), MIRROR])[:, None]
    return Bars(
        names=tuple(key.name for key in keys),
        radii=np.array([key.radius for key in keys]),
        on_arm=np.array([key.fixed_to == "arm" for key in keys], bool),
        counts=np.array(counts, np.intp),
        start=start,
        pitch=pitch,
        start_per_mm=start_per_mm,
        pitch_per_mm=pitch_per_mm,
    )


class _Key(NamedTuple):
    """What bars of both sides must share to be one; number: of those that share it on one side, from 0."""

    name: str
    radius: float
    fixed_to: FixedTo
    number: int


def _bars(front_end: FrontEnd, side: Side) -> dict[_Key, tuple[Obstacle, Obstacle]]:
    """Each bar with measured arms and with arms a millimetre longer."""
    assembly = front_end.left if side == "left" else front_end.right
    none, one = (
        obstacles(replace(front_end, changes=replace(front_end.changes, arm_extension=e)), assembly)
        for e in (0.0, 1.0)
    )
    found: dict[_Key, tuple[Obstacle, Obstacle]] = {}
    for bar, longer in zip(none, one, strict=True):
        if bar.fixed_to != "knuckle":
            alike = (bar.name, bar.radius, bar.fixed_to)
            found[_Key(*alike, sum(key[:3] == alike for key in found))] = bar, longer
    return found


def _line(bar: Obstacle, count: int) -> tuple[Array, Array]:
    return bar.start, (bar.end - bar.start) / (count - 1)
