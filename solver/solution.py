"""The answer to a job: the car as measured and as modified, what limits it, and the parts it takes."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property

from solver.car import Changes, Job
from solver.front_end import assemble
from solver.margins import TYRE_ON
from solver.refusal import farthest, why_not
from solver.search import Sized, sizings
from solver.state import State, state_of

SPARE_CLEARANCES = (0.0, 0.5, 2.0)
"""Clearance beyond the goal, mm, that is searched for in turn where the full sweep keeps finding a nearer contact than
the search's few poses did."""
MOST_SIZINGS = 6
"""That are swept in full for one spare clearance."""


@dataclass(frozen=True)
class Solution:
    """The answer to a job, parts apart (`solver.sizing`).

    as_measured: the car as it stands; as_modified: with all changes
    """

    job: Job
    sized: Sized
    as_modified: State
    as_measured: State

    @cached_property
    def failure(self) -> str | None:
        """Why the goal is out of reach, None when it is met."""
        return why_not(self.job, self.sized, self.as_modified)

    @property
    def farthest_lock(self) -> float:
        """What lock is in reach, rad: the goal's where that is met."""
        return self.job.goal.lock if self.goal_met else farthest(self.job, self.sized, self.as_modified)

    @property
    def remark(self) -> str | None:
        """What has to be looked for where none of the tie rods listed will do: no failure, as others can be bought."""
        rod = self.sized.tie_rod
        return None if rod is None or rod.rod is not None else f"Of the tie rods {rod.reason}"

    @property
    def answer(self) -> str | None:
        """Why the goal is out of reach and what else is to be known, None where there is nothing to say."""
        return ". ".join(said for said in (self.failure, self.remark) if said) or None

    @property
    def changes(self) -> Changes:
        """All changes, sized ones included."""
        return self.sized.changes

    @property
    def goal_met(self) -> bool:
        """True when the wanted lock is reached both ways before any limit."""
        return self.failure is None


def solve(job: Job) -> Solution:
    """The answer to a job.

    Raises:
        GeometryError, TyreSizeError: the car, measured or modified, can't be assembled.
    """
    measured = state_of(assemble(job.car, Changes()), job.goal, bracket=False)
    best: tuple[Sized, State] | None = None
    for spare in SPARE_CLEARANCES:
        for sized in itertools.islice(sizings(job, spare), MOST_SIZINGS):
            modified = state_of(sized.front_end, job.goal)
            if best is None or modified.lock > best[1].lock + 1e-9:
                best = sized, modified
            if sized.short > 0 or modified.lock >= job.goal.lock - 1e-6:
                return Solution(job, *best, measured)
        assert best is not None
        if not _touches_early(job, best[1]):
            break
    assert best is not None
    return Solution(job, *best, measured)


def _touches_early(job: Job, modified: State) -> bool:
    turns = (modified.left_turn, modified.right_turn)
    return any(t.lock < job.goal.lock - 1e-6 and t.first_limit.name.startswith(TYRE_ON) for t in turns)
