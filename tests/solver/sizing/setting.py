"""A car whose arm is braced and sleeved and carries stop brackets, solved, with loads as a test wants them."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Literal

from solver.car import Arm, ArmSection, Changes, Job, PartChoices, Side, StopMount
from solver.loading.inputs import LoadInputs
from solver.part import Part, Refusal
from solver.sizing.context import SizingContext
from solver.solution import Solution, solve
from tests.solver.cars import GOAL, REAR

LEFT = replace(REAR.left, arm_front_pivot=(150.0, 340.0, 196.0))
ARM = Arm(
    ArmSection("round", 42.0, 42.0, 5.0, "tube", "S355"),
    "rear pivot",
    clear_radius=25.0,
    cut_distance=240.0,
    brace_offset=45.0,
)


def mount(side: Side, attachment: Literal["bolt", "weld"]) -> StopMount:
    """A place for a stop bracket behind the arm."""
    out = 1.0 if side == "left" else -1.0
    size = math.hypot(0.2, 0.05, 1.0)
    normal = (-0.2 / size, 0.05 * out / size, 1 / size)
    return StopMount((-18.0, 560.0 * out, 197.0), normal, (-84.0, 640.0 * out, 236.0), attachment, side)


@cache
def solution(attachment: Literal["bolt", "weld"] = "weld") -> Solution:
    """The car with 8 mm of rack spacer and its arm 22 mm longer."""
    car = replace(
        REAR,
        left=LEFT,
        right=LEFT.mirrored(),
        arm=ARM,
        stop_mounts=(mount("left", attachment), mount("right", attachment)),
    )
    changes = Changes(rack_spacer=8.0, arm_extension=22.0)
    return solve(Job(car, replace(GOAL, lock=math.radians(40)), changes, True, True))


def context(
    loads: LoadInputs | None = None,
    heavier: float = 1.0,
    choices: PartChoices | None = None,
    attachment: Literal["bolt", "weld"] = "weld",
) -> SizingContext:
    """The same front end with other loads or choices; without assistance unless ``loads`` say so."""
    found = solution(attachment)
    left, right = found.job.car.corner_masses
    job = replace(
        found.job,
        car=replace(found.job.car, corner_masses=(left * heavier, right * heavier)),
        loads=loads or LoadInputs(assistance=0.0),
        part_choices=choices or PartChoices(),
    )
    return SizingContext(replace(found, job=job))


def only_part(found: list[Part | Refusal]) -> Part:
    """The first of what a rule gives, which is a part."""
    part = found[0]
    assert isinstance(part, Part), part
    return part


def only_refusal(found: list[Part | Refusal]) -> Refusal:
    """The first of what a rule gives, which is a refusal."""
    refusal = found[0]
    assert isinstance(refusal, Refusal), refusal
    return refusal
