"""What the tests of the loads share: two changed front ends with their vehicle, and random loads and poses."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from hypothesis import strategies as st

from solver.car import Changes, Job, Side
from solver.corner import Pose, pose_corner
from solver.front_end import Assembly, FrontEnd, assemble
from solver.loading.inputs import LoadInputs
from solver.loading.vehicle import Vehicle, vehicle_of
from solver.state import State, state_of
from solver.vectors import Array
from tests.solver.cars import CARS, GOAL

CHANGED = Changes(rack_spacer=5.0, arm_extension=25.0, ball_joint_drop=12.0)
BRACED = {"link_start": "rear pivot", "brace_offset": 70.0}


@cache
def state(name: str, braced: bool = False) -> State:
    """A changed car with its limits; braced: its link starts at the rear pivot and is held by another leg."""
    car = CARS[name]
    if braced:
        car = replace(car, arm=replace(car.arm, **BRACED))
    return state_of(assemble(car, CHANGED), GOAL)


def locks_of(state: State) -> dict[Side, float]:
    """Rack displacement at the lock of each turn."""
    return {"left": state.left_turn.rack, "right": state.right_turn.rack}


def vehicle(state: State, loads: LoadInputs | None = None) -> Vehicle:
    """The car with loads as usual, or as given."""
    front_end = state.front_end
    job = Job(front_end.car, GOAL, CHANGED, loads=loads or LoadInputs())
    return vehicle_of(job, state.track, front_end.car.wheelbase, front_end.tyre.section_width)


def assembly(front_end: FrontEnd, side: Side) -> Assembly:
    """One corner."""
    return front_end.left if side == "left" else front_end.right


def pose_at(state: State, side: Side, share: float, travel: float) -> tuple[Pose, float, float]:
    """One pose, shape (1,), its arm angle and its signed rack displacement; ``share`` of the left turn's lock."""
    front_end = state.front_end
    corner = assembly(front_end, side)
    angle = front_end.arm_angles(corner, np.array([travel]))
    rack = share * state.left_turn.rack
    return pose_corner(corner.corner, angle, np.array([rack])), float(angle[0]), rack


forces = st.tuples(*[st.floats(-2e4, 2e4)] * 3).map(np.array)
"""A force in N, up to two tonnes each way."""
moments = st.tuples(*[st.floats(-2e6, 2e6)] * 3).map(np.array)
names = st.sampled_from(tuple(CARS))
sides: st.SearchStrategy[Side] = st.sampled_from(("left", "right"))
shares = st.floats(-1.0, 1.0)
travels = st.floats(-60.0, 50.0)


def carried(pose: Pose, moved: Pose, point: Array) -> Array:
    """How far a point of the knuckle, given where it is in one pose, is moved in another, (3,)."""
    in_knuckle = pose.rotation[0].T @ (point - pose.ball_joint[0])
    return np.asarray(moved.ball_joint[0] + moved.rotation[0] @ in_knuckle - point)


def turned(pose: Pose, moved: Pose) -> Array:
    """Small rotation vector from one pose of the knuckle to another, (3,)."""
    change = moved.rotation[0] @ pose.rotation[0].T
    return (
        np.array([change[2, 1] - change[1, 2], change[0, 2] - change[2, 0], change[1, 0] - change[0, 1]]) / 2
    )
