"""One corner cut free at one pose under one load case: where its members are, and what runs through each of them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from solver.car import Side
from solver.corner import Pose, pose_corner
from solver.front_end import Assembly, FrontEnd, link_of, points_of
from solver.loading.contact import shares, unit_loads
from solver.loading.envelope import MEMBERS
from solver.loading.inputs import LoadCase
from solver.loading.statics import holding, react, react_on_pad
from solver.loading.sweep import STEERING, TRAVELS, MemberLoads, rack_at, side_index
from solver.loading.vehicle import Vehicle
from solver.measures import contact_centre, steer_angle
from solver.part import Where
from solver.vectors import Array, apply

SAME = 1e-6
"""By how much, rad or mm, a pose may differ and still be the one that was meant."""


class CornerShape(NamedTuple):
    """Points of one posed corner, each (3,), car axes, mm; what it does not have is None.

    contact: of tyre and ground; spin_axis, rack_direction: unit vectors pointing left
    tube: lower and upper end of the damper's tube, (2, 3)
    link_start, leg_joint, leg_pivot: of the lower arm
    """

    side: Side
    pose: Pose
    contact: Array
    wheel_centre: Array
    spin_axis: Array
    ball_joint: Array
    pickup: Array
    inner_joint: Array
    rack_direction: Array
    strut_top: Array
    tube: Array
    front_pivot: Array
    rear_pivot: Array
    link_start: Array
    leg_joint: Array | None
    leg_pivot: Array | None


class FreeBody(NamedTuple):
    """Forces in N on one posed corner, each (3,), and the moment in N mm that turns the wheel about its axis.

    where: the case and pose
    at_contact, at_hub: of ground and kerb on the wheel; couple: what friction or a held wheel turns it with
    on_arm: of the knuckle on the arm at the ball joint; on_body: of the strut on the body
    rod: of the tie rod on the knuckle
    pad, pad_at: of a stop bracket's pad on the knuckle, and its place; None where none is met
    values: of each member by its key in `solver.loading.envelope`, in that one's unit
    """

    where: Where
    shape: CornerShape
    at_contact: Array
    at_hub: Array
    couple: Array
    on_arm: Array
    on_body: Array
    rod: Array
    pad: Array | None
    pad_at: Array | None
    values: dict[str, float]


def row_of(cases: tuple[LoadCase, ...], loads: MemberLoads, where: Where) -> int | None:
    """The row of a table that a `Where` came from; None where there is none, such as for a check without a pose.

    A hit on the rack's own stop is in no table: what the same case does at the same pose stands for it.
    """
    if where.side is None or where.steer is None or where.travel is None:
        return None
    named = np.array([case.name == where.case for case in cases])[loads.case]
    here = (np.abs(loads.steer - where.steer) < SAME) & (np.abs(loads.travel - where.travel) < SAME)
    of_side = (loads.side == (0 if where.side == "left" else 1)) & named & here
    found = np.flatnonzero(of_side & ((loads.pad > 0) == where.hit))
    if not found.size:
        found = np.flatnonzero(of_side)
    return int(found[0]) if found.size else None


def corner_shape(front_end: FrontEnd, assembly: Assembly, pose: Pose) -> CornerShape:
    """The points of one pose, whose arrays have no axes of their own."""
    car, corner = front_end.car, assembly.corner
    points, link = points_of(car, assembly.side), link_of(car, assembly.side)
    damper = apply(pose.rotation, corner.damper_direction)
    low = pose.point(corner.damper_point)
    # The link starts on the pivots' axis, so that it stays where it is when the arm swings.
    along = pose.ball_joint - link.start
    whole = link.length + front_end.changes.arm_extension
    joint = None if link.leg is None else pose.ball_joint - along * (link.leg / whole)
    return CornerShape(
        side=assembly.side,
        pose=pose,
        contact=contact_centre(pose, front_end.loaded_radius),
        wheel_centre=pose.wheel_centre,
        spin_axis=pose.spin_axis,
        ball_joint=pose.ball_joint,
        pickup=pose.pickup,
        inner_joint=pose.inner_joint,
        rack_direction=corner.rack_direction,
        strut_top=corner.strut_top,
        tube=np.stack([low, low + car.strut.tube_length * damper]),
        front_pivot=np.array(points.arm_front_pivot),
        rear_pivot=np.array(points.arm_rear_pivot),
        link_start=link.start,
        leg_joint=joint,
        leg_pivot=None if link.leg is None else link.leg_pivot,
    )


def posed(front_end: FrontEnd, assembly: Assembly, locks: dict[Side, float], where: Where) -> Pose:
    """The pose of the load sweep's grid that is nearest to a `Where`; straight ahead at ride height for none."""
    travel = front_end.travels(TRAVELS)
    column = int(np.argmin(np.abs(travel - (where.travel or 0.0))))
    angle = front_end.arm_angles(assembly, travel)[column]
    rack = rack_at(front_end, assembly.side, locks, np.linspace(-1.0, 1.0, STEERING))
    steer = steer_angle(pose_corner(assembly.corner, np.full(len(rack), angle), rack))
    off = np.abs(steer - (where.steer or 0.0)) if where.steer is not None else np.abs(rack)
    return pose_corner(assembly.corner, angle, rack[int(np.nanargmin(off))])


def free_body(
    front_end: FrontEnd,
    locks: dict[Side, float],
    cases: tuple[LoadCase, ...],
    vehicle: Vehicle,
    loads: MemberLoads,
    row: int,
    pad: tuple[Array, Array] | None = None,
) -> FreeBody:
    """One row of a table of loads as forces at points.

    locks, cases, vehicle: as the table was made with
    pad: for a row with a stop hit the boss in the measured pose and the unit vector of the pad's push on it, seen
        from the arm
    """
    from solver.clearance import arm_angle_of
    from solver.vectors import rotate

    one = loads.only(np.array([row]))
    assembly = front_end.sides[int(one.side[0])]
    case = cases[int(one.case[0])]
    hit = bool(one.pad[0] > 0)
    where = Where(case.name, assembly.side, float(one.steer[0]), float(one.travel[0]), hit)
    pose = posed(front_end, assembly, locks, where)
    # What driver and assistance push while a stop is hit is counted at the rack.
    parts = shares((case._replace(forcing=0.0) if hit else case,), vehicle, side_index(assembly))[0]
    hold = holding(pose)
    forces, moments = unit_loads(hold, front_end.loaded_radius, vehicle)
    force, moment = parts @ forces, parts @ moments
    push, at = None, None
    if hit and pad is not None:
        at = pose.point(pad[0])
        normal = rotate(pad[1], pose.corner.pivot_axis, arm_angle_of(pose))
        found = react_on_pad(hold, force, moment, one.tie_rod[0], at, normal, one.pad[0] / one.steady[0])
        push = float(found.pad) * normal
    else:
        found = react(hold, force, moment)
    return FreeBody(
        where=where,
        shape=corner_shape(front_end, assembly, pose),
        at_contact=parts[:3] @ forces[:3],
        at_hub=parts[3:5] @ forces[3:5],
        couple=parts[5:] @ moments[5:],
        on_arm=found.ball_joint,
        on_body=found.strut_top,
        rod=float(found.tie_rod) * hold.rod,
        pad=push,
        pad_at=at,
        values={member.key: float(member.measure(one)[0]) / member.scale for member in MEMBERS},
    )
