"""The front end in one condition, measured or modified: its corners at ride height, and both turns at their lock."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.car import Goal, Side
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle
from solver.front_end import Assembly, FrontEnd
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
from solver.sweep import TURNS, rack_sign
from solver.sweep_measures import SweepMeasures, measure_sweep, turns_of


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
