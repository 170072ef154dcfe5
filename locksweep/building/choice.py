"""Which of a job's parts a build makes."""

from __future__ import annotations

from locksweep.solved import Solved
from solver.errors import LocksweepError
from solver.part import Part


def chosen_parts(solved: Solved, only: tuple[str, ...]) -> tuple[Part, ...]:
    """The parts that ``only`` names or whose family it names; without any name, all of the job's.

    Raises:
        UnknownPartError: the job has no such part.
    """
    if not only:
        return solved.parts
    chosen = tuple(p for p in solved.parts if p.name in only or p.dimensions.family in only)
    known = {p.name for p in solved.parts} | {p.dimensions.family for p in solved.parts}
    unknown = [name for name in only if name not in known]
    if unknown:
        refused = {item.name: item.reason for item in solved.refusals}
        why = "; ".join(refused.get(name, "this job has no such part") for name in unknown)
        raise UnknownPartError(
            f"part {', '.join(unknown)}: {why}. This job's parts are {', '.join(sorted(known)) or 'none'}"
        )
    return chosen


class UnknownPartError(LocksweepError, KeyError):
    """A part was asked for by a name that the job doesn't have."""

    def __str__(self) -> str:
        return str(self.args[0])
