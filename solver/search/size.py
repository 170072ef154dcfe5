"""The sizing of a job: the least change that meets its goal, in sizes that can be had."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from solver.car import Changes, Job, Move
from solver.errors import GeometryError
from solver.front_end import FrontEnd, assemble
from solver.search.design import Space, joints_with, space_of
from solver.search.goals import reserves_of
from solver.search.linear import BROKEN_PRICE, LOCK_PRICE
from solver.search.optimise import KEPT, WORTH, Found, evaluated, least_effort, next_best, without
from solver.search.reasons import Binding, Broken, bindings, missed_wishes, reason
from solver.search.rounding import Rounded, rounded
from solver.search.starts import PLAIN, search
from solver.search.tie_rods import RodChoice, choice_for, choose, drilled, usable

COARSE = ("rack_spacer",)
"""Variables whose sizes are so far apart that the others are searched for anew once these are settled."""
NEGLIGIBLE = 0.05
"""Degrees of lock for which no further kind of work is begun."""
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
    reasons = _given(job, space)
    held = bindings(space, found) if found.given_up else ()
    for name in COARSE:
        if any(v.name == name for v in space.variables):
            space, found = _settled(space, found, name, reasons)
    if found.given_up and not held:
        held = bindings(space, found)
    fault: GeometryError | None = None
    sized = 0
    for one in _sizes_to_be_had(space, found):
        changes = space.changes(one.design)
        try:
            front_end = assemble(job.car, changes)
        except GeometryError as error:
            fault = error
            continue
        sized += 1
        each = zip(space.variables, one.design.tolist(), strict=True)
        rod = choice_for(job, front_end) if job.tie_rods else None
        yield Sized(
            changes=changes,
            front_end=_with_rod(front_end, rod),
            reasons=reasons | {v.name: reason(space, v, size, found, one.racks) for v, size in each},
            short=found.given_up,
            bindings=held,
            broken=_broken(space, found, one),
            tie_rod=rod,
        )
    if not sized and fault is not None:
        raise fault


def best_design(job: Job, spare: float = 0.0) -> tuple[Space, Found]:
    """The design of least effort, before rounding, among all places of the strut top and all tie rods that can be had.

    Its tie rods stay within those of the list that suit it, where one does.
    """
    spaces = [space_of(_with_top(job, place), spare=spare) for place in ((0.0, 0.0), *job.top_places)]
    candidates = [_least_work(space, search(space)) for space in spaces]
    best = min(candidates, key=_cost)
    if not job.tie_rods:
        return best
    space, found = best
    left, right = found.outcome.tie_rod[0].tolist()
    if (rod := choose(job, (left, right), drilled(space.changes(found.design))).rod) is not None:
        within = replace(space, tie_rod=rod)
        kept = evaluated(within, found.unknowns)
        if len(kept.broken) <= len(found.broken):
            return within, kept
    if job.fixed.tie_rod_length is not None:
        return best
    suited = [(replace(one, tie_rod=rod), near.unknowns) for one, near in candidates for rod in usable(job)]
    steered = min(((one, least_effort(one, start)) for one, start in suited), key=_cost, default=best)
    # A rod that can be bought is worth other changes, but no lock and nothing else that is asked for.
    if _cost(steered) - steered[1].effort < _cost(best) - found.effort + BROKEN_PRICE * KEPT:
        return _least_work(*steered)
    return best


def _cost(candidate: tuple[Space, Found]) -> float:
    space, found = candidate
    top = space.fixed.strut_top_shift
    return found.cost + (PLACE_EFFORT if top.forward or top.outward else 0.0)


def _least_work(space: Space, found: Found) -> tuple[Space, Found]:
    """Without the kinds of work that bring less than it takes to begin them.

    The search weighs millimetres; that a cut has to be made at all is seen to here, work by work.
    """
    works = {v.title: v.to_begin for v in space.variables}
    if {v.name for v in space.variables} <= PLAIN:
        return space, found
    for work, to_begin in sorted(works.items(), key=lambda item: -item[1]):
        sizes = {
            v.name: float(size)
            for v, size in zip(space.variables, found.design, strict=True)
            if v.title == work
        }
        if not any(sizes.values()):
            space, found = without(space, found, sizes)
        elif all(v.low <= 0.0 <= v.high for v in space.variables if v.name in sizes):
            rest, start, foreseen = next_best(space, found, dict.fromkeys(sizes, 0.0))
            if foreseen < found.cost + 2 * to_begin:
                again = least_effort(rest, start)
                lost = again.cost - again.effort - (found.cost - found.effort)
                saved = space.begun(found.design) + found.effort - rest.begun(again.design) - again.effort
                if lost < LOCK_PRICE * NEGLIGIBLE and saved > 0.0:
                    space, found = rest, again
    return space, found


def _with_top(job: Job, place: tuple[float, float]) -> Job:
    if not any(place):
        return job
    return replace(job, fixed=replace(job.fixed, strut_top_shift=Move(*place)))


def _settled(space: Space, found: Found, name: str, reasons: dict[str, str]) -> tuple[Space, Found]:
    """One variable rounded to a size on the shelf, and the least effort of the others with it.

    The sizes below and above are tried in the order of what they would cost by the slopes.
    """
    variable, value = next(
        (v, x) for v, x in zip(space.variables, found.design.tolist(), strict=True) if v.name == name
    )
    sizes = [float(size) for size in space.steps(variable, value, 1)]
    tried = [(*next_best(space, found, {name: size}), size) for size in sizes]
    tried.sort(key=lambda t: t[2] + variable.effort * t[3])
    best: tuple[float, float, Space, Found] | None = None
    for rest, start, foreseen, size in tried:
        if best is not None and best[0] < foreseen + variable.effort * size + WORTH:
            break
        again = least_effort(rest, start)
        cost = again.cost + variable.effort * size
        if best is None or cost < best[0]:
            best = cost, size, rest, again
    assert best is not None
    _, size, rest, again = best
    reasons[name] = reason(space, variable, size, found, again.racks)
    return rest, again


def _sizes_to_be_had(space: Space, found: Found) -> list[Rounded]:
    """Rounded designs; where rounding leaves no tie rod of the list that suits, any length will do."""
    ranked = rounded(space, found)
    if space.tie_rod is not None and ranked[0].broken:
        free = replace(space, tie_rod=None)
        return rounded(free, evaluated(free, found.unknowns))
    return ranked


def _with_rod(front_end: FrontEnd, choice: RodChoice | None) -> FrontEnd:
    """With the joint limits of the tie rods that are bought."""
    if choice is None or choice.rod is None or choice.rod.articulation is None:
        return front_end
    return replace(front_end, car=replace(front_end.car, joints=joints_with(front_end.car, choice.rod)))


def _broken(space: Space, found: Found, one: Rounded) -> tuple[Broken, ...]:
    if not one.broken and not found.broken:
        return ()
    return missed_wishes(reserves_of(space, one.design[None], one.racks[None]).others)


def _given(job: Job, space: Space) -> dict[str, str]:
    """Reasons of what is not searched for."""
    found = {
        "rack_spacer": "thickness given in the job file",
        "arm_extension": "extension given in the job file" if job.extension_given else "none allowed",
    }
    if space.fixed.strut_top_shift != job.fixed.strut_top_shift:
        found |= dict.fromkeys(
            ("strut_top_forward", "strut_top_outward"), "of the places that the top plates give"
        )
    return found
