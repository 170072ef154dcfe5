"""Jobs that free more than spacer and arms, and single front ends to hold the search's figures against."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from solver.car import Car, Freedom, Job, JointLimits, Side, VariableName
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle
from solver.front_end import FrontEnd
from solver.joints import articulation, rod_to_rack
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    ideal_outer_angle,
    inclination_angle,
    percent_ackermann,
    steer_angle,
)
from solver.search.design import Space
from solver.search.goals import reserves_of
from solver.search.optimise import FARTHEST
from solver.search.outcome import CONTACT_RACKS, FAR, outcome_of
from solver.sweep import rack_sign
from solver.vectors import Array
from tests.solver.cars import CARS, job

BOUNDS: dict[VariableName, tuple[float, float]] = {
    "rack_spacer": (0.0, 14.0),
    "arm_extension": (0.0, 60.0),
    "ball_joint_drop": (0.0, 20.0),
    "strut_top_forward": (-10.0, 10.0),
    "strut_top_outward": (-10.0, 10.0),
    "pickup_forward": (-12.0, 12.0),
    "pickup_outward": (-10.0, 10.0),
    "pickup_up": (-8.0, 8.0),
    "rack_forward": (-10.0, 10.0),
    "rack_up": (-8.0, 8.0),
}
JOINTS = JointLimits(rod_inner=math.radians(30), rod_outer=math.radians(30), ball_joint=math.radians(25))


def free(*names: VariableName) -> tuple[Freedom, ...]:
    """Freedoms within bounds that fit the test cars."""
    return tuple(Freedom(name, *BOUNDS[name]) for name in names)


EVERYTHING = free(*BOUNDS)


def search_job(name: str, lock: float, *names: VariableName, **goal: Any) -> Job:
    """A job of a test car for a lock in degrees that frees some variables beside spacer and extension."""
    return replace(job(CARS[name], lock=math.radians(lock), **goal), freedoms=free(*names))


def designs(space: Space) -> st.SearchStrategy[Array]:
    """Any design within the bounds."""
    share = st.lists(st.floats(0.0, 1.0), min_size=len(space.variables), max_size=len(space.variables))
    return share.map(lambda shares: space.low + np.array(shares) * (space.high - space.low))


@dataclass(frozen=True)
class Turned:
    """One turn of a single front end with the rack at one displacement; radians and mm.

    gaps: by name of the obstacle, on the search's own poses; room: of the joints' limits
    """

    lock: float
    ackermann: float
    over_centre: float
    gaps: dict[str, float]
    room: dict[str, float]


def turned(front_end: FrontEnd, turn: Side, rack: float) -> Turned:
    """A turn as `solver.front_end` and `solver.measures` have it, on the search's rack and travel positions."""
    car = front_end.car
    signed = rack_sign(front_end, turn) * rack
    poses = front_end.at_ride_height(np.array([signed]))
    inner, outer = (float(abs(steer_angle(pose)[0])) for pose in (poses if turn == "left" else poses[::-1]))
    straight = front_end.at_ride_height(np.zeros(1))
    feet = [axis_on_ground(p, contact_centre(p, front_end.loaded_radius)[..., 2])[0, 1] for p in straight]
    ideal = ideal_outer_angle(np.array(inner), feet[0] - feet[1], car.wheelbase)
    travel = np.array([-car.droop_travel, 0.0, car.bump_travel])
    margins, gaps, bent = [], {}, {}
    for assembly in front_end.sides:
        pose = front_end.poses(assembly, signed * np.append(CONTACT_RACKS, 1.0), travel)
        margins.append(over_centre_angle(pose)[-1].min())
        for bar in obstacles(front_end, assembly):
            if bar.fixed_to != "knuckle":
                seen = np.where(pose.reachable, gap(front_end.tyre.grown(), bar, pose), FAR)
                gaps[bar.name] = min(gaps.get(bar.name, FAR), float(seen.min()))
        angles = articulation(car.left if assembly.side == "left" else car.right, pose)
        for joint, angle in (
            ("inner tie-rod joint", rod_to_rack(pose)),
            ("outer tie-rod joint", angles.rod_outer),
            ("ball joint", angles.ball_joint),
        ):
            bent[joint] = max(bent.get(joint, 0.0), float(np.nanmax(angle)))
    limits = dict(
        zip(("inner tie-rod joint", "outer tie-rod joint", "ball joint"), vars(JOINTS).values(), strict=True)
    )
    return Turned(
        lock=inner,
        ackermann=float(percent_ackermann(inner, outer, float(ideal))),
        over_centre=float(np.min(margins)),
        gaps=gaps,
        room={name: limits[name] - angle for name, angle in bent.items()},
    )


def straight_ahead(front_end: FrontEnd) -> dict[str, Array]:
    """Figures of both sides at ride height, and of the car; radians and mm."""
    car = front_end.car
    poses = front_end.at_ride_height(np.zeros(1))
    travel = np.array([-car.droop_travel, 0.0, car.bump_travel])
    toes = [steer_angle(front_end.poses(a, np.zeros(1), travel))[0] for a in front_end.sides]
    return {
        "camber": np.array([camber_angle(pose)[0] for pose in poses]),
        "caster": np.array([caster_angle(pose)[0] for pose in poses]),
        "inclination": np.array([inclination_angle(pose)[0] for pose in poses]),
        "bump_steer": np.array([np.ptp(toe) for toe in toes]),
        "tie_rod": np.array([float(side.corner.tie_rod) for side in front_end.sides]),
        "track": np.array(front_end.track),
    }


def with_joints(car: Car) -> Car:
    """The car with limits of its joints measured."""
    return replace(car, joints=JOINTS)


def rack_for_lock(space: Space, table: Array, start: Array) -> Array:
    """Rack displacements (n, 2) that give designs (n, k) the lock wanted, by the secant rule from ``start`` (2,)."""
    wanted = space.goal.lock
    before = np.repeat(start[None] - 2.0, len(table), axis=0)
    now = np.repeat(start[None], len(table), axis=0)
    missed = wanted - outcome_of(space, table, before).lock
    for _ in range(5):
        missing = wanted - outcome_of(space, table, now).lock
        slope = np.maximum((missed - missing) / np.where(now == before, np.inf, now - before), 1e-3)
        before, missed = now, missing
        now = np.clip(now + np.clip(missing / slope, -15.0, 15.0), 1.0, FARTHEST)
    return now


def worst_left(space: Space, table: Array, racks: Array) -> Array:
    """What the worst of all limits leaves, lock among them, (n,); mm or degrees, negative where one is broken."""
    asked = reserves_of(space, table, racks)
    return np.asarray(np.stack([reserve.left for reserve in (*asked.lock, *asked.others)]).min(axis=0))
