"""The ladder: how far each kind of work gets, from the least to the most, each rung with all that came before it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from solver.car import Changes, Freedom, Job
from solver.search.design import Space, Variable, fixed_size, open_variables, space_of
from solver.search.optimise import LOCK_PRICE, Found, least_effort
from solver.search.outcome import outcome_of
from solver.search.reasons import bindings
from solver.search.size import starts
from solver.tables import rows

FAR_LOCK = math.radians(85)
"""Lock that each rung is asked for: none gets there, so each goes as far as it can."""
WORTHWHILE = 0.4
"""Degrees of lock that a kind of work must bring to be a rung."""
ROUGH = 2.0
"""Change of the unknowns, mm, below which a rung is far enough: it shows what a kind of work can do, no size."""
ROUGH_WORTH = 0.4 * LOCK_PRICE
"""Effort that a further step must save: the price of what makes a rung."""
TOUCHED = 0.5
"""Change in mm below which a variable isn't used."""


@dataclass(frozen=True)
class Rung:
    """One rung: what may be changed on it, and the farthest lock that it gives; degrees and mm.

    added: the work that this rung adds; label: for people
    lock: of the inner wheel in the worse turn; ackermann: percent; over_centre: margin over the suspension's travel
    held_by: the limit that ends it
    changes: size of each change, by label; work: kinds of work with what they are done to, all that the rung takes
    parts: that it takes; tie_rods: lengths between joint centres, left and right
    load_path: whether it touches a part that holds the wheel or steers it
    meets_goal: whether the job's goal is within its reach
    """

    label: str
    added: tuple[str, ...]
    lock: float
    ackermann: float
    over_centre: float
    held_by: str
    changes: dict[str, float]
    work: tuple[str, ...]
    parts: tuple[str, ...]
    tie_rods: tuple[float, float]
    load_path: bool
    meets_goal: bool


def ladder(job: Job) -> list[Rung]:
    """Rungs from the bare car upwards; a kind of work that brings no lock is left out and not kept for the next.

    Tyre and ride height are the job's. A change that the job has decided on is a rung of its own, up to its size; what
    the job frees has the job's bounds; and where it frees nothing beyond spacer and arms, everything else is tried
    within the bounds of `data/efforts.csv`.

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled.
    """
    bare = Changes(wheel=job.fixed.wheel, ride_height_drop=job.fixed.ride_height_drop)
    far = replace(
        job, goal=replace(job.goal, lock=FAR_LOCK), fixed=bare, spacer_given=False, extension_given=False
    )
    rungs = [_rung(job, space_of(far, (Freedom("rack_spacer", 0.0, 0.0),)), None, ())]
    freed: tuple[Freedom, ...] = ()
    last: tuple[Space, Found] | None = None
    for group in _groups(job):
        space = space_of(far, (*freed, *group))
        found = _farthest(space, last)
        rung = _rung(job, space, found, group)
        if rung.lock < rungs[-1].lock + WORTHWHILE:
            continue
        rungs.append(rung)
        freed, last = (*freed, *group), (space, found)
    return rungs


def _groups(job: Job) -> list[tuple[Freedom, ...]]:
    """What may be changed, kind of work by kind of work, the one that is least to begin first."""
    open_ones = {free.variable: free for free in open_variables(job)}
    free_hand = not job.freedoms and not job.pickup
    groups: dict[tuple[float, str, str], list[Freedom]] = {}
    for row in rows("efforts"):
        name = row["variable"]
        decided = fixed_size(job.fixed, name)
        if name in open_ones:
            free = open_ones[name]
        elif decided:
            free = Freedom(name, min(decided, 0.0), max(decided, 0.0))  # type: ignore[arg-type]
        elif free_hand and float(row["high"]) > 0:
            free = Freedom(name, float(row["low"]), float(row["high"]))  # type: ignore[arg-type]
        else:
            continue
        groups.setdefault((float(row["to_begin"]), row["kind"], row["work"]), []).append(free)
    return [tuple(group) for _, group in sorted(groups.items(), key=lambda item: item[0])]


def _rung(job: Job, space: Space, found: Found | None, group: tuple[Freedom, ...]) -> Rung:
    if found is None:
        found = _farthest(space, None)
    outcome = outcome_of(space, found.design[None], found.racks[None])
    worse = int(outcome.lock[0].argmin())
    lock = math.degrees(float(outcome.lock[0, worse]))
    used = [
        (variable, float(size))
        for variable, size in zip(space.variables, found.design, strict=True)
        if abs(size) >= TOUCHED
    ]
    held = [b.name for b in bindings(space, found) if not b.bound]
    added = [v for v in space.variables if v.name in {f.variable for f in group}]
    return Rung(
        label=_label(added),
        added=tuple(v.name for v in added),
        lock=lock,
        ackermann=float(outcome.ackermann[0, worse]),
        over_centre=math.degrees(float(outcome.over_centre[0].min())),
        held_by=held[0] if held else "",
        changes={v.label: size for v, size in used},
        work=tuple(dict.fromkeys(f"{v.kind}: {v.work}" for v, _ in used)),
        parts=tuple(dict.fromkeys(v.parts for v, _ in used if v.parts)),
        tie_rods=(float(outcome.tie_rod[0, 0]), float(outcome.tie_rod[0, 1])),
        load_path=any(v.load_path for v, _ in used),
        meets_goal=lock >= math.degrees(job.goal.lock) - 0.05,
    )


def _label(added: list[Variable]) -> str:
    """What a rung adds, in words."""
    if not added:
        return "nothing changed"
    first = added[0]
    return f"{first.kind}: {first.work}"


def _farthest(space: Space, last: tuple[Space, Found] | None) -> Found:
    """The design with most lock; it begins where the rung before ended."""
    if last is None:
        return least_effort(space, starts(space)[0], ROUGH_WORTH, ROUGH)
    before, found = last
    sizes = dict(zip((v.name for v in before.variables), found.design, strict=True))
    start = [sizes.get(v.name, min(max(0.0, v.low), v.high)) for v in space.variables]
    return least_effort(space, np.concatenate([start, found.racks]), ROUGH_WORTH, ROUGH)
