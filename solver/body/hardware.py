"""Gaps among what moves with the wheels: tyre, rim, brake, tie rod, arm, strut, and bars and boxes round them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from solver.body.bars import bar_to_bar, bar_to_solid
from solver.body.nearest import least
from solver.body.revolved import Revolved, tyre_solid
from solver.body.source import RingSource
from solver.body.surface import Surface
from solver.body.sweep import Cause, WheelSweep
from solver.body.swept import SweptBar, SweptRevolved
from solver.car import FixedTo, Side
from solver.clearance import obstacles
from solver.vectors import Array

TIE_ROD_RADIUS = 10.0
"""mm, where it was not measured: as the stop bracket takes it. Common practice, no source."""
MOVING = ("lower arm", "tie rod", "tie-rod end")
"""Bars that are held against bodies and against each other."""
AT_ITS_JOINT = 0.25
"""Share of an arm or a tie rod, from its inner end, that is not held against the body: its bracket or the rack is
part of the body there, and touches it by design."""


def ring_solid(ring: RingSource) -> Revolved:
    """A ring about the wheel's axis, which points to the left on both sides."""
    near, far = ring.inner_face, ring.outer_face
    if ring.side == "right":
        near, far = -far, -near
    return Revolved(ring.inside_diameter / 2, ring.outside_diameter / 2, near, far)


@dataclass(frozen=True)
class Rods:
    """Sizes of the tie rod, mm: of its bar, and of its outer end with the ball's housing."""

    radius: float = TIE_ROD_RADIUS
    end_radius: float | None = None
    end_length: float = 40.0


@dataclass(frozen=True, eq=False)
class HardwareGap:
    """The least gap of two things of one corner over the sweep; mm.

    at_rest: the gap straight ahead at ride height; what overlaps there is joined by design
    place: on the bar, or on the body; cause: the pose, None where all poses are alike
    """

    first: str
    second: str
    side: Side
    gap: float
    at_rest: float
    place: Array
    cause: Cause | None


@dataclass(frozen=True, eq=False)
class _Bar:
    """A bar in all poses."""

    name: str
    moves_with: FixedTo | None
    swept: SweptBar


def hardware_gaps(
    sweep: WheelSweep,
    rings: Iterable[RingSource] = (),
    surfaces: Iterable[Surface] = (),
    rods: Rods | None = None,
) -> list[HardwareGap]:
    """Of one corner, the least first: tyre and rings against bars, moving bars against bars and bodies.

    rings: of this side alone are looked at
    surfaces: bodies fixed to the car that arm and tie rod are held against

    What moves together is left out, but for the tyre and what is fixed to the knuckle: that gap never changes, and may
    be too small from the start.
    """
    bars = _bars(sweep, rods or Rods())
    solids = [("tyre", tyre_solid(sweep.front_end.tyre.grown()))]
    solids += [(ring.name, ring_solid(ring)) for ring in rings if ring.side == sweep.side]
    found = []
    for name, solid in solids:
        swept = sweep.revolved(solid)
        for bar in bars:
            if name == "tyre" or bar.moves_with != "knuckle":
                found.append(_solid_and_bar(name, swept, bar, sweep))
    for i, bar in enumerate(bars):
        found += [_two_bars(bar, other, sweep) for other in bars[i + 1 :] if _may_meet(bar, other)]
    moving = [bar for bar in bars if bar.name in MOVING]
    for surface in surfaces:
        if surface.fixed_to == "body" and surface.side in (None, sweep.side):
            found += [_bar_and_body(bar, surface, sweep) for bar in moving]
    return sorted(found, key=lambda one: one.gap)


def _bars(sweep: WheelSweep, rods: Rods) -> list[_Bar]:
    part = sweep.parts[0]
    bars = [
        _Bar(one.name, one.fixed_to, sweep.bar(one.start, one.end, one.radius, one.fixed_to))
        for one in obstacles(part.front_end, part.assembly)
    ]
    rod = sweep.tie_rod(rods.radius)
    bars.append(_Bar("tie rod", None, rod))
    if rods.end_radius is not None:
        along = rod.ends - rod.starts
        inner = rod.ends - along * (rods.end_length / np.linalg.norm(along, axis=1))[:, None]
        bars.append(_Bar("tie-rod end", None, SweptBar(inner, rod.ends, rods.end_radius)))
    return bars


def _may_meet(bar: _Bar, other: _Bar) -> bool:
    """One of the two is the arm or the tie rod, and nothing joins them.

    Bars that the builder gave are not held against each other: an anti-roll bar given as fixed to the body moves.
    """
    both = {bar.name, other.name}
    if bar.moves_with == other.moves_with or not both & set(MOVING):
        return False
    # The arm ends at the ball joint below the strut's foot, the rod at the steering arm: both meet the knuckle.
    return not ("knuckle" in (bar.moves_with, other.moves_with) and both & {"lower arm", "tie-rod end"})


def _rest(sweep: WheelSweep) -> int:
    """Number of the pose nearest to straight ahead at ride height."""
    return int((np.abs(sweep.rack) + np.abs(sweep.travel)).argmin())


def _solid_and_bar(name: str, swept: SweptRevolved, bar: _Bar, sweep: WheelSweep) -> HardwareGap:
    rows = (bar.swept.starts, bar.swept.ends, swept.centres, swept.axes)
    rest = _rest(sweep)
    at_rest, _, _ = bar_to_solid(swept.solid, *(row[rest : rest + 1] for row in rows))
    distance, pose, place = bar_to_solid(swept.solid, *rows)
    radius = bar.swept.radius
    cause = None if bar.moves_with == "knuckle" else sweep.cause(pose)
    return HardwareGap(name, bar.name, sweep.side, distance - radius, at_rest - radius, place, cause)


def _two_bars(bar: _Bar, other: _Bar, sweep: WheelSweep) -> HardwareGap:
    first, second = bar.swept, other.swept
    distances, places = bar_to_bar(first.starts, first.ends, second.starts, second.ends)
    gaps = distances - first.radius - second.radius
    best = int(gaps.argmin())
    at_rest = float(gaps[_rest(sweep)])
    return HardwareGap(
        bar.name, other.name, sweep.side, float(gaps[best]), at_rest, places[best], sweep.cause(best)
    )


def _bar_and_body(bar: _Bar, surface: Surface, sweep: WheelSweep) -> HardwareGap:
    swept = bar.swept
    starts = swept.starts + AT_ITS_JOINT * (swept.ends - swept.starts)
    gap, point, pose = least(surface.points, SweptBar(starts, swept.ends, swept.radius))
    rest = _rest(sweep)
    still = SweptBar(starts[rest : rest + 1], swept.ends[rest : rest + 1], swept.radius)
    return HardwareGap(
        bar.name,
        surface.name,
        sweep.side,
        gap,
        least(surface.points, still)[0],
        surface.points[point],
        sweep.cause(pose),
    )


def both_corners(
    sweeps: Mapping[Side, WheelSweep],
    rings: Iterable[RingSource] = (),
    surfaces: Iterable[Surface] = (),
    rods: Rods | None = None,
) -> list[HardwareGap]:
    """`hardware_gaps` of both corners, the least first."""
    rings, surfaces = tuple(rings), tuple(surfaces)
    found = [one for sweep in sweeps.values() for one in hardware_gaps(sweep, rings, surfaces, rods)]
    return sorted(found, key=lambda one: one.gap)
