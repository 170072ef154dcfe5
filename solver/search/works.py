"""Kinds of work for the ladder, the one that is least to begin first, with how far each may go."""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.car import Changes, Freedom, Job
from solver.search.variables import NAMES, fixed_size, open_variables, variables_of, with_size
from solver.tables import rows

PLATES = "strut tops moved by other plates"
PLATES_TO_BEGIN = 25.0
"""Of swapping or turning a top plate: as much as to begin a slot (`data/efforts.csv`)."""
DRILLED, WELDED = "pickups drilled anew", "pickups cut off and welded on"


@dataclass(frozen=True)
class Work:
    """One kind of work.

    freedoms: what it lets change; decided: sizes in mm that the job has decided on, by variable
    places: shifts of the strut top, forward and outward, that it has to choose from; mm
    """

    title: str
    to_begin: float
    freedoms: tuple[Freedom, ...] = ()
    decided: tuple[tuple[str, float], ...] = ()
    places: tuple[tuple[float, float], ...] = ()


def works_of(job: Job) -> list[Work]:
    """What may be changed, work by work. A change that the job has decided on is one of its own, at its size; what the
    job frees has the job's bounds; and where it frees nothing beyond spacer and arms, everything else is tried within
    the bounds of `data/efforts.csv`.

    Raises:
        GeometryError: from `solver.search.pickup`.
    """
    found: dict[str, Work] = {}
    open_ones: dict[str, Freedom] = {free.variable: free for free in open_variables(job)}
    by_hand = {row["variable"]: _by_hand(row) for row in rows("efforts") if free_hand(job)}
    for variable in variables_of(job, [Freedom(name, 0.0, 0.0) for name in NAMES]):
        name = variable.name
        work = found.get(variable.title, Work(variable.title, variable.to_begin))
        if size := fixed_size(job.fixed, name):
            work = replace(work, decided=(*work.decided, (name, size)))
        elif (free := open_ones.get(name) or by_hand.get(name)) is not None:
            work = replace(work, freedoms=(*work.freedoms, free))
        else:
            continue
        found[work.title] = work
    if WELDED in found and free_hand(job):
        # Cut off and welded on, a pickup may go any way.
        ways = [by_hand[name] for name in ("pickup_forward", "pickup_outward", "pickup_up")]
        found[WELDED] = replace(found[WELDED], freedoms=tuple(way for way in ways if way is not None))
    if job.top_places:
        found[PLATES] = Work(PLATES, PLATES_TO_BEGIN, places=job.top_places)
    works = [_as_decided(job, work) for work in found.values()]
    return sorted((work for work in works if work.freedoms or work.decided or work.places), key=_to_begin)


def _as_decided(job: Job, work: Work) -> Work:
    """What the builder has decided on is not gone beyond by guess."""
    pickup = work.title in (DRILLED, WELDED) and any(
        fixed_size(job.fixed, f"pickup_{way}") for way in ("forward", "outward", "up")
    )
    return replace(work, freedoms=()) if free_hand(job) and (work.decided or pickup) else work


def _to_begin(work: Work) -> float:
    return work.to_begin


def free_hand(job: Job) -> bool:
    """Whether a job frees nothing beyond spacer and arms, so that everything is tried."""
    return not (job.freedoms or job.pickup or job.top_places)


def decide(changes: Changes, work: Work) -> Changes:
    """Changes with those that a job has decided on for a kind of work."""
    for name, size in work.decided:
        changes = with_size(changes, name, size)
    return changes


def _by_hand(row: dict[str, str]) -> Freedom | None:
    low, high = float(row["low"]), float(row["high"])
    return Freedom(row["variable"], low, high) if high else None  # type: ignore[arg-type]
