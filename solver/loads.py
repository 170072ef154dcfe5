"""Loads through one corner by statics: from the contact centre to ball joint, strut top and tie rod.

A screening: rigid bodies, no friction, the arm carries nothing about its pivot axis (spring and damper act on
the strut). Forces in N, moments in N mm, lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.clearance import arm_angle_of
from solver.corner import Pose
from solver.front_end import Assembly, FrontEnd, link_points, points_of
from solver.measures import contact_centre, steer_angle
from solver.solution import State
from solver.tables import rows
from solver.vectors import Array, cross, rotate, unit

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s²."""


@dataclass(frozen=True)
class CaseLoads:
    """Member loads of one corner in one load case.

    case, source: from `data/load_cases.csv`
    contact: force of the ground on the tyre, car axes
    ball_joint: force on the arm's outer end; strut_top: force on the body
    tie_rod: positive in tension
    link_axial: force along the link that is cut, where it is cut, positive in tension
    link_moment: bending moment there, N mm
    about_axis: moment of the contact force about the steering axis
    residual: largest unbalanced force over the contact force; tells that the statics were solved
    """

    case: str
    source: str
    side: str
    contact: Array
    ball_joint: Array
    strut_top: Array
    tie_rod: float
    link_axial: float
    link_moment: float
    about_axis: float
    residual: float


def load_cases(state: State) -> list[CaseLoads]:
    """Every case of the table on both corners of a front end in its poses."""
    front_end = state.front_end
    found = []
    for assembly in front_end.sides:
        racks = np.array([0.0, state.turn(assembly.side).rack])
        straight, lock = (front_end.inner_wheel(assembly.side, rack) for rack in racks[:, None])
        for row in rows("load_cases"):
            pose = lock if row["wheel"] == "lock" else straight
            found.append(_case(front_end, assembly, pose, row))
    return found


def worst(cases: list[CaseLoads], measure: str) -> CaseLoads:
    """The case with the largest absolute value of a member load."""
    return max(cases, key=lambda case: abs(float(getattr(case, measure))))


def _case(front_end: FrontEnd, assembly: Assembly, pose: Pose, row: dict[str, str]) -> CaseLoads:
    mass = front_end.car.corner_masses[0 if assembly.side == "left" else 1]
    steer = float(steer_angle(pose)[0])
    ahead = np.array([math.cos(steer), math.sin(steer), 0.0])
    leftward = np.array([-math.sin(steer), math.cos(steer), 0.0])
    static = mass * GRAVITY
    contact = static * (
        float(row["vertical"]) * np.array([0.0, 0.0, 1.0])
        - float(row["rearward"]) * ahead
        - assembly.corner.side * float(row["inward"]) * leftward
    )
    at = contact_centre(pose, front_end.tyre.loaded_radius or 0.0)[0]
    solution, residual = _balance(pose, at, contact)
    on_arm = -solution[:3]
    axial, moment = _link_loads(front_end, assembly, pose, on_arm)
    axis = pose.steering_axis[0]
    return CaseLoads(
        case=row["name"],
        source=row["source"],
        side=assembly.side,
        contact=contact,
        ball_joint=on_arm,
        strut_top=-solution[3:6],
        tie_rod=float(solution[6]),
        link_axial=axial,
        link_moment=moment,
        about_axis=float(axis @ cross(at - pose.ball_joint[0], contact)),
        residual=residual,
    )


def _balance(pose: Pose, at: Array, contact: Array) -> tuple[Array, float]:
    """Forces on knuckle and strut from arm and top mount (3 + 3) and the tie rod's tension, and the residual.

    Six equations of equilibrium of knuckle and strut together, and one for the arm, which can't carry a moment
    about its pivots: seven equations for seven unknowns.
    """
    ball, top, pickup = pose.ball_joint[0], pose.corner.strut_top, pose.pickup[0]
    rod = unit(pose.inner_joint[0] - pickup)
    matrix, right = np.zeros((7, 7)), np.zeros(7)
    for column, (point, force) in enumerate(
        [(ball, e) for e in np.eye(3)] + [(top, e) for e in np.eye(3)] + [(pickup, rod)]
    ):
        matrix[:3, column] = force
        matrix[3:6, column] = cross(point - ball, force)
    right[:3], right[3:6] = -contact, -cross(at - ball, contact)
    matrix[6, :3] = cross(pose.corner.pivot_axis, ball - pose.corner.pivot)
    solved = np.linalg.solve(matrix, right)
    unbalanced = float(np.max(np.abs(matrix[:3] @ solved - right[:3])))
    return np.asarray(solved), unbalanced / float(np.linalg.norm(contact))


def _link_loads(front_end: FrontEnd, assembly: Assembly, pose: Pose, on_arm: Array) -> tuple[float, float]:
    """Axial force in N and bending moment in N mm of the link where it is cut.

    A link that starts between the pivots is taken as a cantilever from the cut outwards. One that starts at a
    pivot is pinned there and held by the arm's other leg, a two-force member that joins it near the ball joint:
    a beam with an overhang, F a (L − c)/(L − a) at a distance c from the ball joint, for the leg at a.
    """
    car, corner = front_end.car, assembly.corner
    points = points_of(car, assembly.side)
    angle = arm_angle_of(pose)

    def turned(vector: Array) -> Array:
        return np.asarray(rotate(vector[None, :], corner.pivot_axis, angle)[0])

    start, along = link_points(car, points)
    extension = front_end.changes.arm_extension
    measured = float(np.linalg.norm(np.array(points.ball_joint) - start))
    length = measured + extension
    cut = (car.arm.cut_distance if car.arm.cut_distance is not None else measured / 2) + extension
    link = turned(along)
    axial = float(on_arm @ link)
    across_force = on_arm - axial * link
    across = float(np.linalg.norm(across_force))
    if car.arm.link_start == "between pivots":
        return axial, across * cut
    offset = car.arm.brace_offset if car.arm.brace_offset is not None else measured / 4
    if offset >= cut - extension:
        return axial, across * cut
    other = points.arm_rear_pivot if car.arm.link_start == "front pivot" else points.arm_front_pivot
    joint = np.array(points.ball_joint) - offset * along
    leg = turned(unit(np.array(other) - joint))
    leg_across = float(np.linalg.norm(leg - (leg @ link) * link))
    # Moments about the link's pinned start give the leg's force; its share along the link goes back into it.
    sideways = float(across_force @ (leg - (leg @ link) * link)) / leg_across
    leg_force = -sideways * length / ((length - offset) * leg_across)
    axial += leg_force * float(leg @ link)
    return axial, across * offset * (length - cut) / (length - offset)
