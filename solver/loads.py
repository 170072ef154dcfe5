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
from solver.front_end import Assembly, FrontEnd, link_of
from solver.measures import contact_centre, steer_angle
from solver.solution import State
from solver.tables import rows
from solver.vectors import Array, cross, rotate, unit

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s²."""


@dataclass(frozen=True)
class LinkLoads:
    """Axial force and bending of the lengthened link; mm, N.

    A link that starts between the pivots is a cantilever: its moment grows from the ball joint inwards. One that
    starts at a pivot is pinned there and held by the arm's other leg, a two-force member: a beam with an overhang,
    whose moment is largest where the leg joins it.

    length: ball joint to start; leg: ball joint to the other leg's joint, None for a cantilever
    outer_axial, axial: outside of the leg's joint and inside of it, positive in tension; across: at the ball joint
    leg_force: positive in tension
    """

    length: float
    leg: float | None
    outer_axial: float
    axial: float
    across: float
    leg_force: float

    def moment(self, from_ball: float) -> float:
        """Bending moment in N mm at a distance from the ball joint."""
        at = min(max(from_ball, 0.0), self.length)
        if self.leg is None or at <= self.leg:
            return self.across * at
        return self.across * self.leg * (self.length - at) / (self.length - self.leg)

    def largest_moment(self, first: float, last: float) -> float:
        """Between two distances from the ball joint: at one of them, or where the leg joins."""
        places = [first, last] + ([self.leg] if self.leg is not None and first < self.leg < last else [])
        return max(self.moment(place) for place in places)


@dataclass(frozen=True)
class CaseLoads:
    """Member loads of one corner in one load case.

    case, source: from `data/load_cases.csv`
    contact: force of the ground on the tyre, car axes
    ball_joint: force on the arm's outer end; strut_top: force on the body
    tie_rod: positive in tension
    link: how the link that is cut is loaded along its length
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
    link: LinkLoads
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
    at = contact_centre(pose, front_end.loaded_radius)[0]
    solution, residual = _balance(pose, at, contact)
    on_arm = -solution[:3]
    axis = pose.steering_axis[0]
    return CaseLoads(
        case=row["name"],
        source=row["source"],
        side=assembly.side,
        contact=contact,
        ball_joint=on_arm,
        strut_top=-solution[3:6],
        tie_rod=float(solution[6]),
        link=_link_loads(front_end, assembly, pose, on_arm),
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


def _link_loads(front_end: FrontEnd, assembly: Assembly, pose: Pose, on_arm: Array) -> LinkLoads:
    """The link's loads from the force of the knuckle on the arm."""
    corner, extension = assembly.corner, front_end.changes.arm_extension
    link = link_of(front_end.car, assembly.side)
    angle = arm_angle_of(pose)

    def turned(vector: Array) -> Array:
        return np.asarray(rotate(vector[None, :], corner.pivot_axis, angle)[0])

    along = turned(link.along)
    length = link.length + extension
    axial = float(on_arm @ along)
    sideways = on_arm - axial * along
    across = float(np.linalg.norm(sideways))
    if link.leg is None:
        return LinkLoads(length, None, axial, axial, across, 0.0)
    # The leg's joint moves outwards with the ball joint; the leg has to be made longer to meet it there.
    joint = link.start + (length - link.leg) * link.along
    leg = turned(unit(link.leg_pivot - joint))
    leg_across = leg - (leg @ along) * along
    size = float(np.linalg.norm(leg_across))
    # Moments about the link's pinned start give the leg's force; its share along the link goes back into it.
    force = -float(sideways @ leg_across) / size * length / ((length - link.leg) * size)
    return LinkLoads(length, link.leg, axial, axial + force * float(leg @ along), across, force)
