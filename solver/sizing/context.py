"""What every sizing rule works from: the solution and the loads of its modified front end."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from solver.car import Side, StopMount
from solver.errors import DimensionError
from solver.loading.cases import cases_of
from solver.loading.envelope import MEMBERS, worst
from solver.loading.stops import TurnAtLock, at_lock, pad_hits, rack_stop_hit
from solver.loading.sweep import LoadSweep, MemberLoads, joined, load_sweep
from solver.loading.vehicle import Vehicle, vehicle_of
from solver.part import Check, Part, PartLoad, Refusal, Where
from solver.sizing.stop_contact import StopContact, stop_contact
from solver.solution import Solution
from solver.strength.materials import Material
from solver.sweep import TURNS
from solver.vectors import Array

DIMENSION_LIMIT = "dimension limit"
NO_ROOM = "room on the arm"
ROUNDING = 1e-9
"""A sixteenth of an inch is no round number of mm."""
LOST_LOCK = math.radians(0.05)
"""How much of the wanted lock a stop may take at ride height because it must hold at bump and droop as well."""


@dataclass(frozen=True, eq=False)
class SizingContext:
    """A solution with the loads of its modified front end, worked out once for all rules."""

    solution: Solution

    @cached_property
    def locks(self) -> dict[Side, float]:
        """Rack displacement at the lock of each turn, mm."""
        return {turn: self.solution.as_modified.turn(turn).rack for turn in TURNS}

    @cached_property
    def sweep(self) -> LoadSweep:
        """All load cases over the sweep, both corners."""
        job, modified = self.solution.job, self.solution.as_modified
        tyre = modified.front_end.tyre
        vehicle = vehicle_of(job, modified.track, job.car.wheelbase, tyre.section_width)
        return load_sweep(modified.front_end, self.locks, cases_of(job.loads.cases), vehicle)

    @property
    def vehicle(self) -> Vehicle:
        """Weights, heights and forces of the car."""
        return self.sweep.vehicle

    @cached_property
    def at_lock(self) -> dict[Side, TurnAtLock]:
        """Both wheels at the lock of each turn."""
        front_end, sweep = self.solution.as_modified.front_end, self.sweep
        return {turn: at_lock(front_end, turn, self.locks, sweep.cases, sweep.vehicle) for turn in TURNS}

    @cached_property
    def contacts(self) -> dict[Side, StopContact | str]:
        """Where the knuckle meets a stop bracket, for each side that has a place for one."""
        return {mount.side: self._contact(mount) for mount in self.solution.job.car.stop_mounts}

    def _contact(self, mount: StopMount) -> StopContact | str:
        modified = self.solution.as_modified
        left, right = modified.front_end.sides
        assembly = left if mount.side == "left" else right
        return stop_contact(modified.front_end, assembly, mount, modified.turn(mount.side))

    def leaves_lock(self, contact: StopContact) -> bool:
        """Whether a stop there leaves the wanted lock at ride height."""
        return contact.at_ride >= self.solution.job.goal.lock - LOST_LOCK

    @cached_property
    def hits(self) -> dict[Side, MemberLoads]:
        """Loads of each corner while its stop bracket takes a hit, where one can be fitted."""
        front_end = self.solution.as_modified.front_end
        found = {}
        for mount in self.solution.job.car.stop_mounts:
            contact = self.contacts[mount.side]
            if not isinstance(contact, str) and self.leaves_lock(contact):
                turn = self.at_lock[mount.side]
                found[mount.side] = pad_hits(front_end, turn, np.array(mount.contact), contact.direction)
        return found

    @cached_property
    def loads(self) -> MemberLoads:
        """All loads: of the sweep, and with the stop brackets hit."""
        return joined([self.sweep.loads, *self.hits.values()]) if self.hits else self.sweep.loads

    @cached_property
    def everyday(self) -> tuple[MemberLoads, MemberLoads]:
        """What of the sweep happens over and over, left and right."""
        sweep = self.sweep
        daily = np.array([case.everyday for case in sweep.cases])[sweep.loads.case]
        left, right = (sweep.loads.only(daily & (sweep.loads.side == side)) for side in (0, 1))
        return left, right

    @cached_property
    def rack_stop(self) -> tuple[float, Where]:
        """The hardest hit on the rack's own stop, N."""
        return max(map(rack_stop_hit, self.at_lock.values()), key=lambda pair: pair[0])

    def worst(self, measure: Callable[[MemberLoads], Array]) -> tuple[float, Where]:
        """Largest value of a measure over all cases and poses, and where it is."""
        return worst(self.sweep.cases, self.loads, measure(self.loads))

    def part_loads(self, *keys: str, of: MemberLoads | None = None) -> tuple[PartLoad, ...]:
        """Loads of members by their keys in `solver.loading.envelope`, for a part that they run through."""
        loads = self.loads if of is None else of
        found = []
        for member in (item for item in MEMBERS if item.key in keys and loads.rows):
            value, where = worst(self.sweep.cases, loads, member.measure(loads))
            if value > 0.5:
                found.append(PartLoad(member.label, value / member.scale, member.unit, where))
        return tuple(found)


def accepted(part: Part, override: tuple[str, ...] = ()) -> Part | Refusal:
    """The part, or a refusal where a dimension is out of its limits or a check falls short.

    override: names of parts and families that are made although a check falls short, and say so
    """
    try:
        part.dimensions.check()
    except DimensionError as error:
        return Refusal(part.name, DIMENSION_LIMIT, str(error), "see the limit named; change the job to suit")
    weak = [check for check in part.checks if check.reserve < 1.0 - ROUNDING]
    if not weak:
        return part
    if {part.name, part.dimensions.family} & set(override):
        return replace(part, overridden=tuple(_short(check) for check in weak))
    least = min(weak, key=lambda check: check.reserve)
    return Refusal(
        part.name,
        least.name,
        _short(least),
        "a stronger material or section, a shorter extension, or less lock; or override it by name, "
        f'[parts] override = ["{part.name}"], which every file of it will say',
    )


def not_weldable(name: str, steel: Material, key: str) -> Refusal | None:
    """Why a part that is welded can't be made of a material; ``key`` of [parts] says which; None for one that can."""
    if steel.weldable:
        return None
    return Refusal(
        name,
        "not weldable",
        f"{steel.name} is not to be welded to a steel arm with the filler that these parts take",
        f"{key} = a structural steel such as S355",
    )


def _short(check: Check) -> str:
    return (
        f"{check.name} is {_number(check.demand)} {check.unit} in the case '{check.case}', what it bears is "
        f"{_number(check.capacity)} {check.unit}: a margin of {check.margin:.2f}, {check.required:.2f} is required"
    )


def _number(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 9999.5 else f"{value:.0f}"
