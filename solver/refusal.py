"""Why a goal is out of reach, in words: what stops it, how far short, what holds it there, and the nearest goal."""

from __future__ import annotations

import math

from solver.car import Job
from solver.limits import RACK_STOP
from solver.margins import OVER_CENTRE
from solver.search import Sized
from solver.state import State

UNIT_WORDS = {
    "mm": "a millimetre",
    "deg": "a degree",
    "%": "a percent",
    "tenths of a degree": "a tenth of a degree",
}
SPACER, ACKERMANN = "rack spacer", "percent Ackermann"


def why_not(job: Job, sized: Sized, modified: State) -> str | None:
    """Why a job's goal is out of reach with the changes that were found for it; None where it is met."""
    goal = job.goal
    worst = min((modified.left_turn, modified.right_turn), key=lambda t: t.lock)
    degrees = math.degrees
    if sized.short > 0 and any(ACKERMANN in b.name for b in sized.bindings):
        # Of all that is asked for beside the lock this alone changes with it.
        kept = degrees(goal.lock) - sized.short
        return (
            f"{degrees(goal.lock):.1f}° of lock is out of reach together with the rest that is asked for, which holds "
            f"to {kept:.1f}°. {_held(sized)}{_nearest(sized, kept, kept)}"
        )
    if worst.lock < goal.lock - 1e-6:
        by_bracket = worst.rack < worst.first_limit.rack
        first = "the stop bracket, set just before the rack's stop," if by_bracket else worst.first_limit.name
        return (
            f"{degrees(goal.lock):.1f}° of lock is out of reach: {first} comes first at "
            f"{degrees(worst.lock):.1f}° in the {worst.turn} turn, {degrees(goal.lock - worst.lock):.1f}° short. "
            f"{_held(sized)}{_nearest(sized, degrees(worst.lock), degrees(farthest(job, sized, modified)))}"
        )
    if sized.broken:
        return (
            f"the lock is in reach, but not all that is asked for together with it, by the changes that this job "
            f"allows: {_missed(sized)}. Ask for less there or for less lock, or allow more changes ([may_change])"
        )
    fitted = {mount.side for mount in job.car.stop_mounts}
    for turn in (modified.left_turn, modified.right_turn):
        if turn.turn not in fitted and turn.first_limit.name == OVER_CENTRE:
            return (
                f"nothing stops the {turn.turn} turn before over-centre: the rack's own stop lies beyond the margin, "
                f"which is met at {degrees(turn.first_limit.lock):.1f}°. Measure a place for a stop bracket "
                "([[stop]] in the job file), or take a thinner spacer or a longer steering arm"
            )
    for corner in (modified.left, modified.right):
        # The gap grows by less than the offset falls, as the strut leans.
        lower = math.ceil(1.05 * (goal.clearance - corner.strut_gap))
        if corner.strut_gap < goal.clearance - 1e-6:
            return (
                f"the {corner.side} tyre is {corner.strut_gap:.1f} mm from the strut tube where "
                f"{goal.clearance:.1f} mm is wanted. The strut turns with the wheel, so neither lock nor arm "
                f"length changes that: an offset {lower} mm lower, or a narrower "
                "tyre, does"
            )
    return None


def _missed(sized: Sized) -> str:
    return "; ".join(
        f"{b.name} is missed by {b.lacking:.{2 if b.lacking < 0.1 else 1}f} {b.unit}" for b in sized.broken
    )


def farthest(job: Job, sized: Sized, modified: State) -> float:
    """The farthest lock in reach, rad. The search keeps room for a stop bracket, where one is fitted."""
    return min(modified.lock, job.goal.lock - math.radians(max(sized.short, 0.0)))


def _nearest(sized: Sized, limit: float, lock: float) -> str:
    """The nearest goal in reach; where something else is missed at any lock there is none to be told.

    limit: where the first limit comes; lock: what is in reach; degrees
    """
    if sized.broken:
        return f"Beside the lock {_missed(sized)}: ask for less there, or allow more changes ([may_change])"
    nearest = math.floor(lock * 10 + 1e-6) / 10
    said = f"The nearest goal in reach with the changes of this job is {nearest:.1f}°"
    if limit - lock > 0.1:
        said += ": a stop bracket that holds over the whole suspension travel has to stop the wheel before the limit"
    return said


def _held(sized: Sized) -> str:
    """What holds the best design that there is, and what a little less of it would bring."""
    # A thicker spacer is what would give more rack travel.
    spacer = any(b.bound and SPACER in b.name for b in sized.bindings)
    told = [b for b in sized.bindings if b.lock >= 0.005 and not (spacer and b.name.startswith(RACK_STOP))]
    said = [
        f"{b.name} (a millimetre more would bring {b.lock:.2f}°)"
        if b.bound
        else f"{b.name} (eased by {UNIT_WORDS[b.unit]} it would bring {b.lock:.2f}°)"
        for b in told[:3]
    ]
    return f"What holds it there: {', '.join(said)}. " if said else ""
