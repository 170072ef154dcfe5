"""Two states of a job, compared: parts, reasons, and what becomes of the old ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from locksweep.compare.parts import PartChange, compare_lists
from locksweep.compare.reuse import Reuse, reuse_of
from locksweep.compare.versions import Version, read_version
from locksweep.compare.why import EXACT, Cause, causes
from solver.errors import LocksweepError
from solver.families.closure_plate import ClosurePlateDimensions
from solver.sizing.plate_stays import PlateCheck, check_plates

Progress = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Comparison:
    """All of it: the two sides, what differs in the job files, and each part with what becomes of the old one."""

    old: Version
    new: Version
    causes: tuple[Cause, ...]
    parts: tuple[tuple[PartChange, Reuse], ...]

    @property
    def damage(self) -> tuple[str, ...]:
        """How the folders differ from their manifests, a sentence each."""
        return tuple(f"{side.source}: {words}" for side in (self.old, self.new) for words in side.damage)

    @property
    def complete(self) -> bool:
        """Whether the new job's goal is met and none of its parts is refused."""
        return self.new.solved.complete


def compare(old: Path, new: Path, progress: Progress = lambda _: None) -> Comparison:
    """Hold two built folders, two job files, or one of each against each other; nothing is written.

    Raises:
        LocksweepError: see `read_version`
    """
    progress(f"reading {old}")
    before = read_version(old)
    progress(f"reading {new}")
    after = read_version(new)
    changes = compare_lists(
        before.parts,
        after.parts,
        after.solved.refusals,
        sized=after.solved.solution.goal_met,
        within=EXACT,
    )
    plates = _plates(before, after, changes, progress)
    found = tuple(causes(before, after, progress)) if any(c.status != "unchanged" for c in changes) else ()
    return Comparison(
        before, after, found, tuple((change, reuse_of(change, plates.get(change.name))) for change in changes)
    )


def _plates(
    before: Version, after: Version, changes: list[PartChange], progress: Progress
) -> dict[str, PlateCheck]:
    """How old closure plates that would be made otherwise now stand against the new sweep, where that can be told."""
    if not any(
        change.status == "changed" and isinstance(part.dimensions, ClosurePlateDimensions)
        for change in changes
        for part in (change.before,)
        if part is not None
    ):
        return {}
    from locksweep.body.clearances import clearances_of
    from locksweep.body.load import load_bodies

    progress("sweeping the new tyre past the old plates")
    job = after.solved.job
    try:
        loaded = load_bodies(job, after.scans)
        front_end = after.solved.solution.as_modified.front_end
        swept = clearances_of(front_end, loaded, job, job.goal.clearance, lines=False)
    except LocksweepError:
        # A scan that isn't there: the rule for its dimensions decides.
        return {}
    return {check.name: check for check in check_plates(before.parts, swept)}
