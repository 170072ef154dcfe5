"""A job as it is solved and on another tyre: answers, clearances and parts of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from locksweep.body.clearances import clearances_of, gap_of, with_confidence
from locksweep.body.load import LoadedBody, load_bodies
from locksweep.job import parse_job
from locksweep.job.source import read_text
from locksweep.retyre.wheel import NewWheel, new_wheel
from locksweep.solved import Solved, solve_job
from solver.body.answer import Answer
from solver.body.compare import PlaceChange, compare_places
from solver.body.cut_change import CutChange, compare_cuts
from solver.car import Job
from solver.sizing.plate_stays import PlateCheck, check_plates
from solver.tyre_change import all_kept, fitted, same_changes, sized_anew, within_reach

Progress = Callable[[str], None]

MOST_STEPS = 4
"""By which the lock is lowered until it is in reach; the first is enough where sizes can be had finely."""


@dataclass(frozen=True, eq=False)
class Condition:
    """The car in one condition.

    solved: the answer to the job's own goal
    sized: with its parts, for the farthest lock in reach where the goal is missed; the same object where it is met
    clearances: of the sized car
    """

    solved: Solved
    sized: Solved
    clearances: Answer


@dataclass(frozen=True, eq=False)
class Changed:
    """The car on the new tyre against the old one.

    places, cuts: of all bodies; plates: those of the old tyre against the new one's sweep
    """

    condition: Condition
    places: tuple[PlaceChange, ...]
    cuts: tuple[CutChange, ...]
    plates: tuple[PlateCheck, ...]


@dataclass(frozen=True, eq=False)
class TyreChange:
    """All of it.

    old: the job as it stands; plates: its plates against its own sweep
    kept: the new tyre with every change and part of the old job kept
    anew: the job sized anew for the new tyre; None where that changes nothing more
    """

    job: Job
    wheel: NewWheel
    gap: float
    old: Condition
    plates: tuple[PlateCheck, ...]
    kept: Changed
    anew: Changed | None

    @property
    def complete(self) -> bool:
        """True when the goal is met on the new tyre and no part is refused, be it with all kept or sized anew."""
        tried = [self.kept] if self.anew is None else [self.kept, self.anew]
        return any(one.condition.solved.complete for one in tried)


def change_tyre(
    path: Path,
    size: str,
    given: Mapping[str, str | None],
    *,
    gap: str | None = None,
    confidence: float | None = None,
    progress: Progress = lambda _: None,
) -> TyreChange:
    """What another tyre does to the job of a file; nothing is written.

    size: of the new tyre; given: see `locksweep.retyre.wheel.new_wheel`
    gap: wanted, as a length in words; None for the goal's clearance
    confidence: share of cars, 0.5 to 0.999; None for the job's

    Raises:
        LocksweepError: the job, a scan, the tyre or an option can't be used.
    """
    job = with_confidence(parse_job(read_text(path), str(path)), confidence)
    wheel = new_wheel(job, size, given)
    wanted = job.goal.clearance if gap is None else gap_of(gap, job)
    progress("solving the job as it is")
    solved = solve_job(job)
    kept = all_kept(solved.solution, wheel.wheel)
    fitted(job, kept.fixed)
    progress(f"solving it on {wheel.wheel.tyre}")
    with_kept = solve_job(kept)
    again = solve_job(sized_anew(job, wheel.wheel))
    progress("reading what was measured and scanned")
    loaded = load_bodies(job, path.parent)

    def condition(of: Solved, sized: Solved) -> Condition:
        progress(f"sweeping {sized.solution.as_modified.front_end.tyre.size} past the body")
        return Condition(of, sized, swept(sized, loaded, wanted))

    # A job that was never in reach has no parts: nothing is sized for less on the builder's behalf.
    old = condition(solved, solved)
    changed = _changed(old, condition(with_kept, _in_reach(with_kept)), wanted)
    anew, sized = None, _in_reach(again)
    if not same_changes(sized.solution.changes, solved.solution.changes):
        anew = _changed(old, condition(again, sized), wanted)
    plates = check_plates(solved.parts, old.clearances)
    return TyreChange(job, wheel, wanted, old, plates, changed, anew)


def _in_reach(solved: Solved) -> Solved:
    """The same, for the farthest lock in reach where the wanted one is not."""
    for _ in range(MOST_STEPS):
        nearest = within_reach(solved.solution)
        if nearest is None:
            break
        solved = solve_job(nearest)
    return solved


def swept(solved: Solved, loaded: list[LoadedBody], gap: float, *, lines: bool = True) -> Answer:
    """Clearances of a solved job from bodies that are loaded already, whatever tyre they were loaded for."""
    return clearances_of(solved.solution.as_modified.front_end, loaded, solved.job, gap, lines=lines)


def _changed(old: Condition, new: Condition, gap: float) -> Changed:
    bodies = list(zip(old.clearances.bodies, new.clearances.bodies, strict=True))
    places = [place for before, after in bodies for place in compare_places(before, after, gap)]
    return Changed(
        new,
        tuple(sorted(places, key=lambda place: place.after.clearance)),
        tuple(cut for before, after in bodies for cut in compare_cuts(before, after)),
        check_plates(old.solved.parts, new.clearances),
    )
