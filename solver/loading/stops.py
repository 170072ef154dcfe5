"""Hits at lock: of the knuckle on a stop bracket's pad, and of the rack on its own stop.

Two ways in which a stop is loaded, of which the harder counts: the tyres throw wheels and steering wheel to lock with
nobody holding them, or driver and assistance press on while the tyres push. A case of its own is that driver and
assistance drive the steering to lock while the tyres only roll. What swings has energy (`solver.strength.impact`); a
kerb's strike is a peak already, with its own dynamic factor, and counts once.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from solver.car import Side
from solver.clearance import arm_angle_of
from solver.corner import Pose, pose_corner
from solver.front_end import Assembly, FrontEnd
from solver.loading.cases import other_wheel
from solver.loading.contact import shares, unit_loads
from solver.loading.inputs import LoadCase
from solver.loading.statics import Holding, holding, react, react_on_pad
from solver.loading.sweep import (
    TRAVELS,
    MemberLoads,
    at_poses,
    in_range,
    member_rows,
    rack_at,
    side_index,
    travel_shares,
)
from solver.loading.vehicle import Vehicle
from solver.measures import steer_angle
from solver.part import Where
from solver.strength.impact import impact_force
from solver.vectors import Array, Index, Mask, dot, rotate


class AtLock(NamedTuple):
    """One wheel at the lock of a turn over its travel (m,), and its loads in each case that can happen there (c, m).

    along_rack: share of the tie rod's force that is along the rack, positive where a push of the rod presses it
        further into lock
    push: of the wheel's tie rod on the rack towards lock, in the worst pose of each case, (c,)
    """

    assembly: Assembly
    pose: Pose
    hold: Holding
    travel: Array
    allowed: Mask
    force: Array
    moment: Array
    along_rack: Array
    push: Array


class TurnAtLock(NamedTuple):
    """Both wheels at the lock of one turn, with the cases that can happen there by their index."""

    turn: Side
    chosen: Index
    cases: tuple[LoadCase, ...]
    vehicle: Vehicle
    inner: AtLock
    outer: AtLock


def at_lock(
    front_end: FrontEnd,
    turn: Side,
    locks: dict[Side, float],
    cases: tuple[LoadCase, ...],
    vehicle: Vehicle,
) -> TurnAtLock:
    """Both wheels at the lock of a turn in the cases that push them further.

    Not steering at rest, whose friction holds the wheel back, nor a wheel held by a kerb.
    """
    chosen = [
        i
        for i, case in enumerate(cases)
        if case.steer[1] >= 1.0 and not case.parking and (not case.forcing or case.steer[0] >= 1.0)
    ]
    # What driver and assistance push is counted at the rack.
    here = tuple(cases[i]._replace(forcing=0.0) for i in chosen)
    left, right = front_end.sides
    inner, outer = (left, right) if turn == "left" else (right, left)
    rack = float(rack_at(front_end, turn, locks, np.ones(1))[0])
    return TurnAtLock(
        turn,
        np.array(chosen, np.intp),
        tuple(cases[i] for i in chosen),
        vehicle,
        _wheel(front_end, inner, rack, here, vehicle),
        _wheel(front_end, outer, rack, tuple(map(other_wheel, here)), vehicle),
    )


def pad_hits(front_end: FrontEnd, turn: TurnAtLock, boss: Array, direction: Array) -> MemberLoads:
    """Members of the inner corner while its knuckle is on the pad of a stop bracket on its arm.

    boss: the point of the knuckle that meets the pad; direction: unit vector of the pad's push on it; both as in the
    measured pose, the direction seen from the arm
    """
    inner = turn.inner
    pose, hold = inner.pose, inner.hold
    normal = rotate(
        np.broadcast_to(direction, pose.ball_joint.shape), pose.corner.pivot_axis, arm_angle_of(pose)
    )
    at = pose.point(boss)
    # The rack is in balance: what the other wheel, driver and assistance push, this wheel's rod holds.
    pressed = turn.vehicle.rack_push
    by_hand = np.array([case.forcing for case in turn.cases]) * pressed
    rods = [(turn.outer.push + extra)[:, None] / inner.along_rack for extra in (by_hand, pressed)]
    steady = [react_on_pad(hold, inner.force, inner.moment, rod, at, normal).pad for rod in rods]
    hits = [_swung(turn, steady[0]), steady[1]]
    harder = hits[1] > hits[0]
    rod, pushing, hit = (np.where(harder, both[1], both[0]) for both in (rods, steady, hits))
    with np.errstate(divide="ignore", invalid="ignore"):
        factor = np.where(pushing > 0, hit / pushing, 1.0)
    found = react_on_pad(hold, inner.force, inner.moment, rod, at, normal, factor)
    case, column = picked = np.nonzero(inner.allowed & (pushing > 0))
    return member_rows(
        front_end,
        inner.assembly,
        turn.chosen[case],
        at_poses(pose, column),
        inner.travel[column],
        inner.force[picked],
        inner.moment[picked],
        found.rows(picked),
        push=-found.pad[picked][:, None] * normal[column],
        at=at[column],
        steady=pushing[picked],
    )


def rack_stop_hit(turn: TurnAtLock) -> tuple[float, Where]:
    """Largest force in N on the rack's own stop, through the end of the rack, spacer included; and where."""
    tyres = turn.inner.push + turn.outer.push
    by_hand = np.array([case.forcing for case in turn.cases]) * turn.vehicle.rack_push
    swung = _swung(turn, np.maximum(tyres + by_hand, 0.0)[:, None]).max(axis=1)
    hit = np.maximum(swung, tyres + turn.vehicle.rack_push)
    worst = int(np.argmax(hit))
    steer = float(steer_angle(turn.inner.pose)[len(turn.inner.travel) // 2])
    return float(hit[worst]), Where(turn.cases[worst].name, turn.turn, steer, 0.0, hit=True)


def _swung(turn: TurnAtLock, steady: Array) -> Array:
    """Force of a swing that ends at a stop, (c, m), from what keeps pushing, at the steering ratio of each pose."""
    wheel = turn.inner
    ratio = np.abs(wheel.hold.lever / wheel.along_rack) * 2 * math.pi / turn.vehicle.per_turn
    energy = np.nan_to_num(turn.vehicle.swing_energy(ratio))
    struck = np.array([bool(case.strike_rearward or case.strike_inward) for case in turn.cases])
    return np.where(
        struck[:, None], steady, impact_force(steady, energy, turn.vehicle.values["stop_stiffness"])
    )


def _wheel(
    front_end: FrontEnd, assembly: Assembly, rack: float, cases: tuple[LoadCase, ...], vehicle: Vehicle
) -> AtLock:
    travel = front_end.travels(TRAVELS)
    angles = front_end.arm_angles(assembly, travel)
    pose = pose_corner(assembly.corner, angles, np.full(len(travel), rack))
    hold = holding(pose)
    units, moments = unit_loads(hold, front_end.loaded_radius, vehicle)
    parts = shares(cases, vehicle, side_index(assembly))
    force, moment = np.tensordot(parts, units, 1), np.tensordot(parts, moments, 1)
    share = travel_shares(front_end, travel)
    allowed = np.array([in_range(case.travel, share) for case in cases]) & pose.reachable
    along_rack = dot(hold.rod, pose.corner.rack_direction) * math.copysign(1.0, rack)
    push = np.where(allowed, -react(hold, force, moment).tie_rod * along_rack, -np.inf).max(axis=1)
    push = np.where(np.isfinite(push), push, 0.0)
    return AtLock(assembly, pose, hold, travel, allowed, force, moment, along_rack, push)
