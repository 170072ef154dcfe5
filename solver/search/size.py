"""The sizing of a job: the least change that meets its goal, in sizes that can be had."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from solver.car import Changes, Job, Move
from solver.front_end import FrontEnd, assemble
from solver.search.design import Space, joints_with, space_of
from solver.search.goals import reserves_of
from solver.search.optimise import KEPT, Found, least_effort, next_best
from solver.search.reasons import Binding, Broken, bindings, broken_limits, reason
from solver.search.rounding import rounded
from solver.search.tie_rods import RodChoice, choose, outer_bend, suits_taper
from solver.vectors import Array

COARSE = ("rack_spacer",)
"""Variables whose sizes are so far apart that the others are searched for anew once these are settled."""
PLAIN = {"rack_spacer", "arm_extension"}
"""Variables whose figures are so nearly straight that one start will do."""
MOST_STARTS = 243
"""Points of the coarse lattice that are looked at."""
TOUCHED = 0.25
"""mm of a change below which it is none."""
PLACE_EFFORT = 25.0
"""Of swapping or turning a top plate: as much as to begin a slot (`data/efforts.csv`)."""


@dataclass(frozen=True, eq=False)
class Sized:
    """A job's changes with every variable filled in.

    changes: the builder's changes with all that was sized; front_end: assembled with them
    reasons: for each variable by its name, what set it
    short: degrees of lock that no design within the bounds reaches
    bindings: the limits that hold the design, the one first that costs most
    broken: what the job asks for that can't be had with it
    tie_rod: which of those that can be bought, where the job lists any
    """

    changes: Changes
    front_end: FrontEnd
    reasons: dict[str, str] = field(default_factory=dict)
    short: float = 0.0
    bindings: tuple[Binding, ...] = ()
    broken: tuple[Broken, ...] = ()
    tie_rod: RodChoice | None = None

    @property
    def spacer_reason(self) -> str:
        """Why the rack spacer has its thickness."""
        return self.reasons["rack_spacer"]

    @property
    def extension_reason(self) -> str:
        """Why the arm extension is as long as it is."""
        return self.reasons["arm_extension"]


def sizings(job: Job, spare: float = 0.0) -> Iterator[Sized]:
    """Sizings of a job, least effort first; the first one usually is the answer.

    The search looks at few poses, so the full sweep may find a nearer contact; then the next one is due, or others
    with some clearance in mm to ``spare``.

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled with its fixed changes.
    """
    space, found = best_design(job, spare)
    if found is None:
        rod = _rod(job, space.base, np.full(2, space.base.rack_stop))
        yield Sized(space.fixed, _with_rod(space.base, rod), _given(job), tie_rod=rod)
        return
    held = bindings(space, found) if found.short > 0 else ()
    reasons = _given(job)
    for name in COARSE:
        if any(v.name == name for v in space.variables):
            space, found = _settled(space, found, name, reasons)
    for one in rounded(space, found):
        changes = space.changes(one.design)
        front_end = assemble(job.car, changes)
        reasons |= {
            v.name: reason(space, v, float(size), found, one.racks)
            for v, size in zip(space.variables, one.design, strict=True)
        }
        rod = _rod(job, front_end, one.racks)
        yield Sized(
            changes,
            _with_rod(front_end, rod),
            dict(reasons),
            found.short,
            held,
            broken_limits(found),
            rod,
        )


def best_design(job: Job, spare: float = 0.0) -> tuple[Space, Found | None]:
    """The design of least effort, before rounding, among all places of the strut top and all tie rods that can be had.

    None where nothing is left open.
    """
    candidates = [
        _searched(space_of(_with_top(job, place), spare=spare)) for place in ((0.0, 0.0), *job.top_places)
    ]
    space, found = min(candidates, key=_rank)
    if found is None or not job.tie_rods:
        return space, found
    choice = _rod(job, assemble(job.car, space.changes(found.design)), found.racks)
    if choice is not None and choice.rod is None:
        fitting = [rod for rod in job.tie_rods if suits_taper(job, rod)]
        suited = [_searched(replace(one, tie_rod=rod)) for one, _ in candidates for rod in fitting]
        usable = [c for c in suited if c[1] is not None and not c[1].broken]
        if usable and _rank(min(usable, key=_rank))[0] <= round(found.short, 2):
            return min(usable, key=_rank)
    return space, found


def _searched(space: Space) -> tuple[Space, Found | None]:
    if not space.variables:
        return space, None
    found = [least_effort(space, start) for start in starts(space)]
    best = min(((space, one) for one in found), key=_rank)
    while (fewer := _without_one(*best)) is not None:
        best = fewer
    return best


def _without_one(space: Space, found: Found) -> tuple[Space, Found] | None:
    """The design without one of its changes, where that gives no less and takes less, beginning the work included.

    Least effort by the millimetre spreads a change over all that may be changed; nobody drills for one millimetre.
    """
    tried = []
    for i, variable in enumerate(space.variables):
        if (
            variable.name not in PLAIN
            and abs(found.design[i]) > TOUCHED
            and variable.low <= 0 <= variable.high
        ):
            rest = space.settled(variable.name, 0.0)
            again = least_effort(rest, next_best(space, found, i, 0.0))
            kept = again.short <= found.short + KEPT and len(again.broken) <= len(found.broken)
            if kept and _whole_effort(rest, again) < _whole_effort(space, found):
                tried.append((rest, again))
    return min(tried, key=lambda design: _whole_effort(*design)) if tried else None


def _whole_effort(space: Space, found: Found) -> float:
    """Effort of a design with that of beginning each kind of work that it takes."""
    begun = {
        (v.kind, v.work): v.to_begin
        for v, size in zip(space.variables, found.design, strict=True)
        if abs(size) > TOUCHED
    }
    return found.effort + sum(begun.values())


def _rank(candidate: tuple[Space, Found | None]) -> tuple[float, float, float]:
    space, found = candidate
    if found is None:
        return 0.0, 0.0, 0.0
    top = space.fixed.strut_top_shift
    moved = PLACE_EFFORT if top.forward or top.outward else 0.0
    return round(found.short, 2), sum(round(-float(b.left[0]), 1) for b in found.broken), found.effort + moved


def _with_top(job: Job, place: tuple[float, float]) -> Job:
    if not any(place):
        return job
    return replace(job, fixed=replace(job.fixed, strut_top_shift=Move(*place)))


def _rod(job: Job, front_end: FrontEnd, racks: Array) -> RodChoice | None:
    if not job.tie_rods:
        return None
    needed = np.array([float(side.corner.tie_rod) for side in front_end.sides])
    return choose(job, needed, outer_bend(front_end, racks))


def _with_rod(front_end: FrontEnd, choice: RodChoice | None) -> FrontEnd:
    """With the joint limits of the tie rods that are bought."""
    if choice is None or choice.rod is None or choice.rod.articulation is None:
        return front_end
    return replace(front_end, car=replace(front_end.car, joints=joints_with(front_end.car, choice.rod)))


def _settled(space: Space, found: Found, name: str, reasons: dict[str, str]) -> tuple[Space, Found]:
    """One variable rounded to a size on the shelf, and the least effort of the others with it.

    The next size up first: less of a change rarely does what the least effort was just enough for.
    """
    i, variable = next((i, v) for i, v in enumerate(space.variables) if v.name == name)
    tried = []
    for size in space.steps(variable, float(found.design[i]), 1)[::-1]:
        rest = space.settled(name, float(size))
        start = next_best(space, found, i, float(size))
        again = least_effort(rest, start)
        tried.append((again.short, again.effort, float(size), rest, again))
        if again.short <= found.short + KEPT and not again.broken:
            break
    _, _, size, rest, again = min(tried, key=lambda t: (round(t[0], 2), t[1]))
    reasons[name] = reason(space, variable, size, found, again.racks)
    return rest, again


def starts(space: Space) -> list[Array]:
    """Where the search begins: with nothing changed and the rack used to its stop, and where more than spacer and arm
    may change, also at the best point of a coarse lattice of designs."""
    nearest = np.clip(0.0, space.low, space.high)
    begin = np.concatenate([nearest, np.full(2, space.base.rack_stop)])
    if {v.name for v in space.variables} <= PLAIN:
        return [begin]
    sizes = [
        np.unique([v.low, nearest[i], v.high]) if v.name not in PLAIN else np.array([nearest[i]])
        for i, v in enumerate(space.variables)
    ]
    table = np.array(list(itertools.islice(itertools.product(*sizes), MOST_STARTS)))
    racks = np.full((len(table), 2), space.base.rack_stop)
    lock, others = reserves_of(space, table, racks)
    lost = np.maximum(-np.stack([r.left for r in others]), 0.0).max(axis=0)
    gain = np.stack([r.left for r in lock]).min(axis=0) - lost
    return [begin, np.concatenate([table[int(gain.argmax())], racks[0]])]


def _given(job: Job) -> dict[str, str]:
    """Reasons of what is not searched for."""
    found = {
        "rack_spacer": "thickness given in the job file",
        "arm_extension": "extension given in the job file",
    }
    if not job.extension_given:
        found["arm_extension"] = "none allowed"
    return found
