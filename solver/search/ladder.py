"""The ladder: how far each kind of work gets, from the least to the most, each rung with all that came before it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from solver.car import Changes, Freedom, Goal, Job, Side
from solver.front_end import assemble
from solver.search.design import Space, space_of
from solver.search.linear import LOCK_PRICE, best_step
from solver.search.optimise import FIRST_RADIUS, Found, box_of, evaluated, least_effort
from solver.search.reasons import Broken, bindings, missed_wishes, named
from solver.search.starts import begin, search
from solver.search.tie_rods import RodChoice, choice_for
from solver.search.variables import NAMES, Variable, fixed_size, variables_of
from solver.search.works import PLATES, WELDED, Work, decide, works_of
from solver.sweep import TURNS

FAR_LOCK = math.radians(85)
"""Lock that each rung is asked for: none gets there, so each goes as far as it can."""
WORTHWHILE = 0.5
"""Degrees of lock that a kind of work must bring to be a rung."""
ROUGH = 2.0
"""Change of the unknowns, mm, below which a rung is far enough: it shows what a kind of work can do, no size."""
ROUGH_WORTH = WORTHWHILE * LOCK_PRICE
"""Effort that a further step must save: the price of what makes a rung."""
NEARLY = 1.0
"""Degrees of lock short of the goal for which a rung is looked at closely: it must not miss what a sizing reaches."""
TRIMMED = 0.1
"""Degrees of lock that a rung gives up to be spared what hardly brings any."""
TOUCHED = 0.5
"""Change in mm below which a variable isn't used."""
TOP_AXES = ("strut_top_forward", "strut_top_outward")
BY_PLATES: dict[str, Any] = {
    "kind": "bolt in",
    "work": "turned or other strut-top plates",
    "parts": "strut-top plates (not made here)",
}
"""How a strut top is moved by plates."""


@dataclass(frozen=True)
class Rung:
    """One rung: what may be changed on it, and the farthest lock that it gives; degrees and mm.

    title: of the work that this rung adds; decided: whether the job has decided on its sizes
    lock: of the inner wheel in the worse turn; ackermann: percent; over_centre: margin over the suspension's travel
    held_by: the limit that ends it
    changes: size of each change, by label; work: what is done, and to what, all that the rung takes
    parts: that it takes; tie_rods: lengths between joint centres, left and right; rod: of those listed the one to take
    load_path: whether it touches a part that holds the wheel or steers it
    meets_goal: whether all that the job asks for is within its reach
    missed: what the job asks for beside lock and this farthest design doesn't give
    """

    title: str
    decided: bool
    lock: float
    turn: Side
    ackermann: float
    over_centre: float
    held_by: str
    changes: dict[str, float]
    work: tuple[tuple[str, str], ...]
    parts: tuple[str, ...]
    tie_rods: tuple[float, float]
    rod: RodChoice | None
    load_path: bool
    meets_goal: bool
    missed: tuple[Broken, ...]


@dataclass(frozen=True, eq=False)
class _Climb:
    """How far the ladder has come: the designs that are open, the one that goes farthest, and the kinds of work."""

    space: Space
    found: Found
    works: tuple[Work, ...] = ()

    @property
    def lock(self) -> float:
        """Degrees."""
        return math.degrees(self.space.goal.lock) - self.found.short


def ladder(job: Job) -> list[Rung]:
    """Rungs from the bare car upwards; a kind of work that brings no lock is left out and not kept for the next.

    Tyre and ride height are the job's. A change that the job has decided on is a rung of its own, whatever it brings;
    what the job frees has the job's bounds; and where it frees nothing beyond spacer and arms, everything else is
    tried within the bounds of `data/efforts.csv`. Tie rods are what keeps the measured toe. What the job asks for
    beside lock, clearance and margin doesn't hold a rung back, but a rung says what of it is missed, and meets the
    goal only if all of it can be had together.

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled.
    """
    rungs: list[Rung] = []
    for climb, added in _climbs(job):
        met = bool(rungs and rungs[-1].meets_goal and not added.decided)
        rungs.append(_rung(job, climb, added, met))
    return rungs


def _climbs(job: Job) -> Iterator[tuple[_Climb, Work]]:
    """Each rung's designs with the work that it adds."""
    wheel, drop = job.fixed.wheel, job.fixed.ride_height_drop
    goal = Goal(FAR_LOCK, job.goal.clearance, job.goal.over_centre_margin)
    far = replace(job, goal=goal, fixed=Changes(wheel=wheel, ride_height_drop=drop))
    # Nothing is fitted to the bare car, so no stop bracket either.
    bare = space_of(replace(far, car=replace(job.car, stop_mounts=())), ())
    now = _Climb(bare, least_effort(bare, begin(bare), ROUGH_WORTH, ROUGH))
    yield now, Work("nothing changed", 0.0)
    if job.car.stop_mounts:
        now = replace(now, space=space_of(far, ()))
    for work in works_of(job):
        tried = max((_with_work(far, now, one) for one in _choices(work)), key=lambda climb: climb.lock)
        if work.decided or tried.lock >= now.lock + WORTHWHILE:
            now = replace(tried, works=(*now.works, work))
            yield now, work


def _choices(work: Work) -> list[Work]:
    """A work for each place that it may move the strut top to."""
    if not work.places:
        return [work]
    return [replace(work, decided=tuple(zip(TOP_AXES, place, strict=True))) for place in work.places]


def _with_work(job: Job, now: _Climb, work: Work) -> _Climb:
    """The farthest design with one more kind of work; it begins where the rung before ended."""
    freed = {free.variable for free in work.freedoms}
    kept = tuple(v for v in now.space.variables if v.name not in freed)
    added = variables_of(job, work.freedoms, welded=work.title == WELDED)
    space = replace(now.space, variables=(*kept, *added))
    if work.decided:
        fixed = decide(space.fixed, work)
        space = replace(space, fixed=fixed, common=space_of(replace(job, fixed=fixed), ()).common)
    sizes = dict(zip((v.name for v in now.space.variables), now.found.design.tolist(), strict=True))
    design = [sizes.get(v.name, min(max(0.0, v.low), v.high)) for v in space.variables]
    return _Climb(
        space, least_effort(space, np.append(design, now.found.racks), ROUGH_WORTH, ROUGH), now.works
    )


def _wishes(goal: Goal) -> bool:
    """Whether a goal asks for more than lock, clearance and margin."""
    return goal != Goal(
        goal.lock, goal.clearance, goal.over_centre_margin, max_arm_extension=goal.max_arm_extension
    )


def _met(job: Job, climb: _Climb) -> Found | None:
    """A design that gives all that the job asks for; looked for only where the rung's own doesn't tell."""
    wanted = math.degrees(job.goal.lock)
    if climb.lock < wanted - NEARLY:
        return None
    if climb.lock >= wanted and not climb.found.broken and not _wishes(job.goal):
        return climb.found
    space = replace(climb.space, goal=job.goal)
    found = search(space) if _wishes(job.goal) else least_effort(space, climb.found.unknowns)
    return found if not found.given_up and not found.broken else None


def _trimmed(climb: _Climb, wanted: float) -> Found:
    """A design that goes as far but for a tenth of a degree, and not below the lock wanted, with less change.

    One step by the slopes, taken if it keeps what it promises.
    """
    space, found = climb.space, climb.found
    target = climb.lock - TRIMMED
    if target < wanted <= climb.lock:
        target = wanted
    values = found.at.values.copy()
    values[:2] += math.degrees(space.goal.lock) - target
    box = box_of(space)
    step = best_step(replace(found.at, values=values), found.unknowns, box, FIRST_RADIUS).step
    trial = evaluated(space, np.clip(found.unknowns + step, box.low, box.high))
    lost = trial.cost - trial.effort - (found.cost - found.effort)
    return trial if lost < 2 * TRIMMED * LOCK_PRICE and trial.effort < found.effort else found


def _rung(job: Job, climb: _Climb, added: Work, met: bool) -> Rung:
    wanted, space = math.degrees(job.goal.lock), climb.space
    reaching = None if met else _met(job, climb)
    # Where only a close look reaches the goal, that is the rung's design.
    shown = reaching if reaching is not None and climb.lock < wanted else _trimmed(climb, wanted)
    outcome, changes = shown.outcome, space.changes(shown.design)
    worse = int(outcome.lock[0].argmin())
    used = _used(job, climb, changes)
    left, right = outcome.tie_rod[0].tolist()
    missed: tuple[Broken, ...] = ()
    if _wishes(job.goal):
        missed = missed_wishes(evaluated(replace(space, goal=job.goal), shown.unknowns).reserves)
    return Rung(
        title=added.title,
        decided=bool(added.decided and not added.places),
        lock=math.degrees(float(outcome.lock[0, worse])),
        turn=TURNS[worse],
        ackermann=float(outcome.ackermann[0, worse]),
        over_centre=math.degrees(float(outcome.over_centre[0].min())),
        held_by=_held_by(climb),
        changes={variable.label: size for variable, size in used},
        work=tuple(dict.fromkeys((variable.kind, variable.work) for variable, _ in used)),
        parts=tuple(dict.fromkeys(variable.parts for variable, _ in used if variable.parts)),
        tie_rods=(left, right),
        rod=choice_for(job, assemble(job.car, changes)) if job.tie_rods else None,
        load_path=any(variable.load_path for variable, _ in used),
        meets_goal=met or reaching is not None,
        missed=missed,
    )


def _used(job: Job, climb: _Climb, changes: Changes) -> list[tuple[Variable, float]]:
    """What a design changes, decided or found, with its size in mm."""
    titles = {work.title for work in climb.works}
    everything = [Freedom(name, 0.0, 0.0) for name in NAMES]
    return [
        (replace(variable, **BY_PLATES) if PLATES in titles and variable.name in TOP_AXES else variable, size)
        for variable in variables_of(job, everything, welded=WELDED in titles)
        if abs(size := fixed_size(changes, variable.name)) >= TOUCHED
    ]


def _held_by(climb: _Climb) -> str:
    """The limit that ends the lock."""
    held = [binding.name for binding in bindings(climb.space, climb.found) if not binding.bound]
    return held[0] if held else named(min(climb.found.reserves, key=lambda r: float(r.left[0])))
