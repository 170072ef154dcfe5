"""The answer to a job: the car as measured and as modified, what limits it, and the parts it takes."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.car import Changes, Goal, Job, Side
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle
from solver.front_end import Assembly, FrontEnd, assemble
from solver.limits import (
    BEYOND_STOP,
    RACK_STOP,
    Gain,
    Limit,
    TurnLimits,
    Unmet,
    limits_of,
    over_centre_travel_left,
)
from solver.margins import OVER_CENTRE, TYRE_ON
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    ideal_outer_angle,
    inclination_angle,
    kerb_to_kerb,
    percent_ackermann,
    scrub_radius_and_trail,
    steer_angle,
)
from solver.search import Sized, sizings
from solver.sweep import TURNS, rack_sign
from solver.sweep_measures import SweepMeasures, measure_sweep, turns_of

SPARE_CLEARANCES = (0.0, 0.5, 2.0)
"""Clearance beyond the goal, mm, that is searched for in turn where the full sweep keeps finding a nearer contact than
the search's few poses did."""
UNIT_WORDS = {
    "mm": "a millimetre",
    "deg": "a degree",
    "%": "a percent",
    "tenths of a degree": "a tenth of a degree",
}
SPACER, ACKERMANN = "rack spacer", "percent Ackermann"
MOST_SIZINGS = 6
"""That are swept in full for one spare clearance."""


@dataclass(frozen=True)
class CornerState:
    """One corner at ride height, rack centred; mm and radians."""

    side: Side
    camber: float
    toe: float
    caster: float
    inclination: float
    scrub_radius: float
    trail: float
    tie_rod: float
    strut_gap: float


@dataclass(frozen=True)
class TurnState:
    """One turn at its lock, the first limit met; mm and radians.

    lock: steer angle of the inner wheel, positive; outer: of the outer wheel
    rack: displacement from the centre, positive
    stop_lock: steer angle that the rack's own stop would allow; None when it lies past over-centre
    over_centre: least over-centre margin of either wheel at ride height; over_centre_travel: rack travel left to it
    limits: all limits within reach of the sweep that end the lock, in the order they are met; aside: those that don't
    gain: what moving the first one brings; unmet: what isn't met within the sweep
    safe_rack: for each wheel travel, rack displacement up to which margin and clearances hold
    """

    turn: Side
    lock: float
    outer: float
    ideal_outer: float
    percent_ackermann: float
    turning_circle: float
    rack: float
    stop_lock: float | None
    over_centre: float
    over_centre_travel: float
    limits: tuple[Limit, ...]
    aside: tuple[Limit, ...]
    gain: Gain | None
    unmet: tuple[Unmet, ...]
    safe_rack: tuple[float, ...]
    travel: tuple[float, ...]

    @property
    def first_limit(self) -> Limit:
        """What is met first."""
        return self.limits[0]


@dataclass(frozen=True)
class State:
    """The front end in one condition, as measured or as modified; track in mm, turns of the steering wheel."""

    front_end: FrontEnd
    left: CornerState
    right: CornerState
    left_turn: TurnState
    right_turn: TurnState
    track: float
    turns_lock_to_lock: float

    def turn(self, turn: Side) -> TurnState:
        """The state at lock of one turn."""
        return self.left_turn if turn == "left" else self.right_turn

    @cached_property
    def sweep(self) -> SweepMeasures:
        """All measures from lock to lock over the suspension's travel, worked out when they are asked for first."""
        return measure_sweep(self.front_end, {t: self.turn(t).rack for t in TURNS})

    @property
    def lock(self) -> float:
        """The lesser lock of both turns, rad."""
        return min(self.left_turn.lock, self.right_turn.lock)


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
        return _failure(self.job, self.sized, self.as_modified)

    @property
    def farthest_lock(self) -> float:
        """What lock is in reach, rad: the goal's where that is met."""
        return self.job.goal.lock if self.goal_met else _farthest(self.job, self.sized, self.as_modified)

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


def state_of(front_end: FrontEnd, goal: Goal, bracket: bool = True) -> State:
    """All measures of a front end; without ``bracket`` as it is before any stop bracket is fitted."""
    limits = limits_of(front_end, goal, front_end.rack_stop + BEYOND_STOP)
    usable = front_end.rack_stop - (front_end.stop_room if bracket else 0.0)
    left_turn, right_turn = (_turn_state(front_end, turn, limits[turn], usable) for turn in TURNS)
    left, right = (_corner_state(front_end, assembly) for assembly in front_end.sides)
    lock_to_lock = turns_of(front_end, left_turn.rack + right_turn.rack)
    return State(front_end, left, right, left_turn, right_turn, front_end.track, lock_to_lock)


def _corner_state(front_end: FrontEnd, assembly: Assembly) -> CornerState:
    pose = front_end.at_ride_height(np.zeros(1))[0 if assembly.side == "left" else 1]
    radius = front_end.loaded_radius
    scrub, trail = scrub_radius_and_trail(pose, radius)
    tube = next(o for o in obstacles(front_end, assembly) if o.name == "strut tube")
    return CornerState(
        side=assembly.side,
        camber=float(camber_angle(pose)[0]),
        toe=assembly.toe,
        caster=float(caster_angle(pose)[0]),
        inclination=float(inclination_angle(pose)[0]),
        scrub_radius=float(scrub[0]),
        trail=float(trail[0]),
        tie_rod=float(assembly.corner.tie_rod),
        strut_gap=float(gap(front_end.tyre.grown(), tube, pose)[0]),
    )


def _turn_state(front_end: FrontEnd, turn: Side, found: TurnLimits, usable: float) -> TurnState:
    limits = found.limits
    rack = min(limits[0].rack, usable)
    poses = front_end.at_ride_height(np.array([rack_sign(front_end, turn) * rack]))
    inner, outer = poses if turn == "left" else poses[::-1]
    steer_inner, steer_outer = (float(abs(steer_angle(p)[0])) for p in (inner, outer))
    radius = front_end.loaded_radius
    straight = front_end.at_ride_height(np.zeros(1))
    feet = [axis_on_ground(p, contact_centre(p, radius)[..., 2])[0] for p in straight]
    wheelbase = front_end.car.wheelbase
    ideal = float(ideal_outer_angle(np.array(steer_inner), feet[0][1] - feet[1][1], wheelbase))
    ahead = float(contact_centre(outer, radius)[0, 0])
    sign = rack_sign(front_end, turn)
    return TurnState(
        turn=turn,
        lock=steer_inner,
        outer=steer_outer,
        ideal_outer=ideal,
        percent_ackermann=float(percent_ackermann(steer_inner, steer_outer, ideal)),
        turning_circle=kerb_to_kerb(steer_outer, ahead, wheelbase, front_end.tyre.section_width),
        rack=rack,
        stop_lock=next((x.lock for x in limits if x.name == RACK_STOP), None),
        over_centre=min(float(over_centre_angle(p)[0]) for p in poses),
        over_centre_travel=min(over_centre_travel_left(front_end, a, sign * rack) for a in front_end.sides),
        limits=limits,
        aside=found.aside,
        gain=found.gain,
        unmet=found.unmet,
        safe_rack=tuple(float(x) for x in found.safe_rack),
        travel=tuple(float(x) for x in found.travel),
    )


def _failure(job: Job, sized: Sized, modified: State) -> str | None:
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
            f"{_held(sized)}{_nearest(sized, degrees(worst.lock), degrees(_farthest(job, sized, modified)))}"
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


def _farthest(job: Job, sized: Sized, modified: State) -> float:
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
