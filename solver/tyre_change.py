"""A solved job on another tyre: with all else kept as it was sized, or sized anew; and whether the tyre goes in."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from solver.car import Changes, Job, Side, Wheel
from solver.clearance import gap, obstacles
from solver.errors import GeometryError
from solver.front_end import FrontEnd, assemble
from solver.solution import Solution
from solver.tyre import INCH, measuring_rim, parse_size, tyre_of

MOST_OVER = 1.45
"""Outside diameter over that of the measured tyre beyond which a size is taken for a slip of the pen. Common practice,
no source: no car's wheel well is laid out for a tyre half as large again."""


LEAST_LOCK = math.radians(10.0)
"""A lock under which no car is driven, so that nothing is sized for it. Common practice, no source."""


STRUT = "strut tube"


class Struck(NamedTuple):
    """What a tyre reaches into with the wheel straight at ride height; ``depth`` in mm."""

    name: str
    side: Side
    depth: float


def wheel_of(job: Job) -> Wheel:
    """Tyre and rim that a job runs on."""
    return job.fixed.wheel or job.car.wheel


def rim_code(size: str) -> int:
    """Rim diameter in inches of a size string.

    Raises:
        TyreSizeError: it is no size.
    """
    return parse_size(size)[2]


def usual_rim(size: str) -> float:
    """Width in mm of the rim that a size is stated for (UNECE Regulation 30)."""
    width, aspect, _ = parse_size(size)
    return measuring_rim(width, aspect)


def sized_anew(job: Job, wheel: Wheel) -> Job:
    """The job on another wheel, everything that it leaves open left open."""
    return replace(job, fixed=replace(job.fixed, wheel=wheel))


def all_kept(solution: Solution, wheel: Wheel) -> Job:
    """The job of a solution on another wheel, every change given as it was sized and nothing left open.

    A tie rod whose length is not given goes on keeping the measured toe: it is screwed, not made.
    """
    return replace(
        solution.job,
        fixed=replace(solution.changes, wheel=wheel),
        spacer_given=True,
        extension_given=True,
        freedoms=(),
        pickup=None,
        top_places=(),
    )


def within_reach(solution: Solution) -> Job | None:
    """The job with its lock lowered to the farthest in reach, in tenths of a degree; None where it is met, or hopeless.

    In reach is what the search could do with everything clear as far as the rack goes, and at most the first limit.
    """
    if solution.goal_met:
        return None
    job = solution.job
    farthest = math.degrees(solution.farthest_lock)
    lock = math.radians(math.floor(10 * farthest + 1e-6) / 10)
    return replace(job, goal=replace(job.goal, lock=lock)) if LEAST_LOCK <= lock < job.goal.lock else None


def same_changes(one: Changes, other: Changes) -> bool:
    """Whether two sets of changes are the same, wheels apart."""
    return replace(one, wheel=None) == replace(other, wheel=None)


def check_size(job: Job, wheel: Wheel) -> None:
    """Refuse a tyre that is far larger than the car's.

    Raises:
        TyreSizeError: it is no size
        GeometryError: it is over `MOST_OVER` of the measured tyre's diameter
    """
    width, aspect, rim = parse_size(wheel.tyre)
    measured = tyre_of(job.car.wheel)
    diameter = wheel.outside_diameter or rim * INCH + 2 * width * aspect / 100
    most = MOST_OVER * measured.outside_diameter
    if diameter > most:
        raise GeometryError(
            f"{wheel.tyre} is {diameter:.0f} mm in diameter, the tyre that the car stood on, {measured.size}, is "
            f"{measured.outside_diameter:.0f} mm: no wheel well of it takes so much larger a tyre; expected at most "
            f"{most:.0f} mm. For example: {wheel_of(job).tyre}"
        )


def fitted(job: Job, changes: Changes) -> FrontEnd:
    """The front end on its new tyre, if that goes in at all.

    Raises:
        GeometryError: the tyre can't stand on the ground, or reaches into something with the wheel straight that the
            tyre the car was measured on keeps clear of
    """
    wheel = changes.wheel or job.car.wheel
    try:
        front_end = assemble(job.car, changes)
    except GeometryError as error:
        raise GeometryError(f"on {wheel.tyre}: {error}") from error
    before = {(item.name, item.side) for item in struck(assemble(job.car, Changes()))}
    found = [item for item in struck(front_end) if (item.name, item.side) not in before]
    if found:
        worst = max(found, key=lambda item: item.depth)
        what = "a smaller tyre, or another offset"
        if worst.name == STRUT:
            # The gap grows by less than the offset falls, as the strut leans.
            lower = math.floor(wheel.offset - 1.05 * worst.depth - job.goal.clearance)
            what = f"a narrower tyre, or a lower offset, for example --offset '{lower} mm'"
        raise GeometryError(
            f"{wheel.tyre} on a rim {wheel.rim_width:.1f} mm wide with an offset of {wheel.offset:.1f} mm does not go "
            f"in: straight ahead at ride height it reaches {worst.depth:.1f} mm into the {worst.side} {worst.name}. "
            f"What helps: {what}"
        )
    return front_end


def struck(front_end: FrontEnd) -> tuple[Struck, ...]:
    """What the new tyre, not grown, reaches into with the wheels straight at ride height, left side first."""
    found = []
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        for obstacle in obstacles(front_end, assembly):
            depth = -float(gap(front_end.tyre, obstacle, pose)[0])
            if depth > 0:
                found.append(Struck(obstacle.name, assembly.side, depth))
    return tuple(found)


def lift(old: FrontEnd, new: FrontEnd) -> float:
    """By how much, mm, the body stands higher on the new tyre."""
    return old.ground - new.ground
