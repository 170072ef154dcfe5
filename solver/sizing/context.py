"""What every sizing rule works from: the solution and the loads of its modified front end."""

from __future__ import annotations

from dataclasses import dataclass

from solver.errors import DimensionError
from solver.loads import CaseLoads
from solver.part import Part, Refusal
from solver.solution import Solution
from solver.strength import REQUIRED_MARGIN

DIMENSION_LIMIT = "dimension limit"


@dataclass(frozen=True)
class SizingContext:
    """A solution with the member loads of its modified front end, worked out once for all rules."""

    solution: Solution
    cases: list[CaseLoads]


def accepted(part: Part) -> Part | Refusal:
    """The part, or a refusal where a dimension is out of its limits or a strength check falls short."""
    try:
        part.dimensions.check()
    except DimensionError as error:
        return Refusal(part.name, DIMENSION_LIMIT, str(error), "see the limit named; change the job to suit")
    weak = [check for check in part.checks if check.margin < REQUIRED_MARGIN]
    if weak:
        worst = min(weak, key=lambda check: check.margin)
        return Refusal(
            part.name,
            worst.name,
            f"{worst.name} is {worst.demand:.0f} {worst.unit} in the case '{worst.case}', strength is "
            f"{worst.capacity:.0f} {worst.unit}: a margin of {worst.margin:.2f}, {REQUIRED_MARGIN:.2f} is required",
            "a stronger material or section, a shorter extension, or less lock",
        )
    return part
