"""A job with its answer: solved, its parts sized, nothing built."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from locksweep.documents.record import record_of
from solver.car import Job
from solver.part import Part, Refusal
from solver.sizing import all_parts
from solver.sizing.context import SizingContext
from solver.solution import Solution, solve


@dataclass(frozen=True)
class Solved:
    """A job with its answer, its parts and their loads."""

    job: Job
    solution: Solution
    parts: tuple[Part, ...]
    refusals: tuple[Refusal, ...]
    context: SizingContext

    @property
    def complete(self) -> bool:
        """True when the goal is met and no part was refused."""
        return self.solution.goal_met and not self.refusals

    def record(self, **built: Any) -> dict[str, Any]:
        """All of it as plain data (`locksweep.documents.record`)."""
        return record_of(self.context, self.parts, self.refusals, **built)


def solve_job(job: Job, *, aids: bool = True) -> Solved:
    """Solve a job and size its parts; when the goal is out of reach no parts are sized.

    aids: marking aids as well, which change no number of the car and take longer to load than to size

    Raises:
        LocksweepError: the car can't be assembled, or a material isn't known.
    """
    solution = solve(job)
    context = SizingContext(solution)
    parts, refusals = all_parts(context, aids=aids) if solution.goal_met else ((), ())
    return Solved(job, solution, parts, refusals, context)


def json_text(data: Any, *, ascii_only: bool = False) -> str:
    """JSON, indented, and never a NaN.

    ascii_only: for a terminal or pipe of any encoding; else the text is for a file in UTF-8
    """
    return json.dumps(data, indent=2, ensure_ascii=ascii_only, allow_nan=False) + "\n"
