"""All load cases over the whole sweep of steering and suspension travel, for both corners, as one long table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from solver.car import Side
from solver.corner import Pose, pose_corner
from solver.front_end import Assembly, FrontEnd, link_of, points_of
from solver.loading.arm import LinkLoads, link_loads, pivot_loads
from solver.loading.contact import shares, superposed, unit_loads
from solver.loading.inputs import LoadCase
from solver.loading.statics import Reactions, holding, react, residual
from solver.loading.strut import strut_loads
from solver.loading.vehicle import Vehicle
from solver.measures import steer_angle
from solver.sweep import TURNS, rack_sign
from solver.vectors import Array, Index, Mask, dot, length

STEERING, TRAVELS = 21, 5
"""Rack displacements from lock to lock and wheel travels that are looked at. Loads change smoothly over both and are
largest at the ends of a case's range, which are among them: finer grids find less than 1 % more."""
SLACK = 1e-9


class MemberLoads(NamedTuple):
    """Loads of the members, one row a case, wheel and pose: arrays (k,), forces in N, moments in N mm.

    case: index of the case; side: 0 left, 1 right
    steer: of this wheel, rad, positive left; travel: of this wheel, mm, bump positive
    vertical, rearward, inward: of the ground on the tyre
    tie_rod: positive in tension; rack: its share along the rack
    ball_joint, strut_top: sizes; strut: along the damper, positive pressed together; strut_side: square to it
    rod_moment: bending of the strut's rod where it leaves the tube
    front_pivot, rear_pivot: radial; thrust: along the pivots' axis, for both together
    about_axis: moment of the load about the steering axis
    pad: force of a stop bracket's pad; steady: what of it keeps pushing, the rest is the hit
    link: how the link that is cut is loaded along its length
    """

    case: Index
    side: Index
    steer: Array
    travel: Array
    vertical: Array
    rearward: Array
    inward: Array
    tie_rod: Array
    rack: Array
    ball_joint: Array
    strut_top: Array
    strut: Array
    strut_side: Array
    rod_moment: Array
    front_pivot: Array
    rear_pivot: Array
    thrust: Array
    about_axis: Array
    pad: Array
    steady: Array
    link: LinkLoads

    @property
    def rows(self) -> int:
        """How many there are."""
        return len(self.case)

    def only(self, chosen: Index | Mask) -> MemberLoads:
        """Those rows alone that an index or mask chooses."""
        columns = [column[chosen] for column in self[:-1]]
        return MemberLoads._make([*columns, LinkLoads._make(column[chosen] for column in self.link)])


class LoadSweep(NamedTuple):
    """Loads of both corners over all cases and poses.

    residual: largest unbalanced force over the load, and moment over the load times a metre, of any row
    """

    cases: tuple[LoadCase, ...]
    vehicle: Vehicle
    loads: MemberLoads
    residual: float


def load_sweep(
    front_end: FrontEnd,
    locks: dict[Side, float],
    cases: tuple[LoadCase, ...],
    vehicle: Vehicle,
    steering: int = STEERING,
    travels: int = TRAVELS,
) -> LoadSweep:
    """Every case at every pose of its range.

    locks: rack displacement at the lock of each turn, mm, positive
    steering, travels: size of the grid, both odd, so that straight ahead and ride height are among them
    """
    found = [_corner(front_end, a, locks, cases, vehicle, steering, travels) for a in front_end.sides]
    return LoadSweep(cases, vehicle, joined([table for table, _ in found]), max(off for _, off in found))


def _corner(
    front_end: FrontEnd,
    assembly: Assembly,
    locks: dict[Side, float],
    cases: tuple[LoadCase, ...],
    vehicle: Vehicle,
    steering: int,
    travels: int,
) -> tuple[MemberLoads, float]:
    steer_share = np.linspace(-1.0, 1.0, steering)
    travel = front_end.travels(travels)
    pose = pose_corner(
        assembly.corner,
        front_end.arm_angles(assembly, travel),
        rack_at(front_end, assembly.side, locks, steer_share)[:, None],
    )
    travel_share = travel_shares(front_end, travel)
    wanted = np.stack(
        [in_range(c.steer, steer_share)[:, None] & in_range(c.travel, travel_share) for c in cases]
    )
    case, row, column = picked = np.nonzero(wanted & pose.reachable)
    with np.errstate(invalid="ignore", divide="ignore"):
        hold = holding(pose)
        force, moment = unit_loads(hold, front_end.loaded_radius, vehicle)
        parts = shares(cases, vehicle, side_index(assembly))
        whole = superposed(parts, react(hold, force, moment))
        force, moment = np.tensordot(parts, force, 1), np.tensordot(parts, moment, 1)
        unbalanced, turning = residual(hold, force, moment, whole)
    force, moment = force[picked], moment[picked]
    size = length(force) + length(moment) / 1000.0
    off = (unbalanced[picked] + turning[picked] / 1000.0) / np.where(size > 0, size, 1.0)
    found = member_rows(
        front_end,
        assembly,
        case,
        at_poses(pose, (row, column)),
        travel[column],
        force,
        moment,
        whole.rows(picked),
    )
    return found, float(off.max(initial=0.0))


def member_rows(
    front_end: FrontEnd,
    assembly: Assembly,
    case: Index,
    pose: Pose,
    travel: Array,
    force: Array,
    moment: Array,
    found: Reactions,
    push: Array | None = None,
    at: Array | None = None,
    steady: Array | None = None,
) -> MemberLoads:
    """The table's rows from reactions at as many poses, all (k,) or (k, 3).

    push, at: force of a stop bracket on the arm and where it acts; steady: what of it keeps pushing, (k,)
    """
    steer = steer_angle(pose)
    rod = pose.inner_joint - pose.pickup
    strut, strut_side, rod_moment = strut_loads(front_end.car.strut.tube_length, pose, found.strut_top)
    points = points_of(front_end.car, assembly.side)
    front, rear, thrust = pivot_loads(points, pose, found.ball_joint, push, at)
    link = link_of(front_end.car, assembly.side)
    cosine, sine = np.cos(steer), np.sin(steer)
    side = assembly.corner.side
    return MemberLoads(
        case=case,
        side=np.full(len(case), side_index(assembly)),
        steer=steer,
        travel=travel,
        vertical=force[:, 2],
        rearward=-force[:, 0] * cosine - force[:, 1] * sine,
        inward=side * (force[:, 0] * sine - force[:, 1] * cosine),
        tie_rod=found.tie_rod,
        rack=found.tie_rod * dot(rod, pose.corner.rack_direction) / length(rod),
        ball_joint=length(found.ball_joint),
        strut_top=length(found.strut_top),
        strut=strut,
        strut_side=strut_side,
        rod_moment=rod_moment,
        front_pivot=front,
        rear_pivot=rear,
        thrust=thrust,
        about_axis=dot(pose.steering_axis, moment),
        pad=found.pad,
        steady=found.pad if steady is None else steady,
        link=link_loads(link, front_end.changes.arm_extension, pose, found.ball_joint, push, at),
    )


def joined(tables: Sequence[MemberLoads]) -> MemberLoads:
    """Several tables as one."""
    columns = [np.concatenate(column) for column in zip(*(table[:-1] for table in tables), strict=True)]
    links = zip(*(table.link for table in tables), strict=True)
    return MemberLoads._make([*columns, LinkLoads._make(np.concatenate(column) for column in links)])


def side_index(assembly: Assembly) -> int:
    """0 for the left corner, 1 for the right one."""
    return TURNS.index(assembly.side)


def rack_at(front_end: FrontEnd, side: Side, locks: dict[Side, float], share: Array) -> Array:
    """Signed rack displacements in mm for shares of lock, 1 with the wheel of ``side`` as the inner one."""
    inner, outer = (side, TURNS[1] if side == TURNS[0] else TURNS[0])
    ends = np.where(share >= 0, locks[inner], locks[outer])
    return np.asarray(share * ends * rack_sign(front_end, inner))


def travel_shares(front_end: FrontEnd, travel: Array) -> Array:
    """Wheel travels in mm as shares of bump and droop, −1 to 1."""
    car = front_end.car
    return np.asarray(travel / np.where(travel > 0, car.bump_travel, car.droop_travel))


def in_range(limits: tuple[float, float], share: Array) -> Mask:
    """Mask of the shares that lie within limits."""
    return np.asarray((share >= limits[0] - SLACK) & (share <= limits[1] + SLACK))


def at_poses(pose: Pose, index: Any) -> Pose:
    """Those poses alone that an index chooses."""
    changed: dict[str, Any] = {
        name: value[index] for name, value in vars(pose).items() if isinstance(value, np.ndarray)
    }
    return replace(pose, **changed)
