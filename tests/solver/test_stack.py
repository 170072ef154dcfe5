"""A stack of front ends against the same front ends one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.assembling import arrays_of, shifts_of
from solver.car import Changes, Move, Side
from solver.front_end import assemble
from solver.measures import steer_angle
from solver.stack import Stack, stack
from tests.solver.cars import CARS

SIDES: tuple[Side, Side] = ("left", "right")
VARIANTS = [
    Changes(),
    Changes(rack_spacer=6.0, arm_extension=20.0),
    Changes(pickup_move=Move(6.0, -4.0, 2.0), ball_joint_drop=15.0),
    Changes(rack_shift=Move(4.0, 0.0, -3.0), strut_top_shift=Move(-8.0, -6.0, 0.0)),
]


def stacked(name: str) -> Stack:
    """All variants of a test car."""
    car = CARS[name]
    first = assemble(car, Changes())
    shifts = {}
    for side in SIDES:
        each = [vars(shifts_of(changes, side, 0.0)) for changes in VARIANTS]
        columns = {key: np.array([item[key] for item in each]) for key in each[0] if key != "inset"}
        shifts[side] = replace(shifts_of(Changes(), side, 0.0), **columns)
    points = {side: arrays_of(getattr(car, side)) for side in SIDES}
    ground = np.full(len(VARIANTS), first.ground)
    return stack(car, first.tyre, first.loaded_radius, ground, points, shifts)


@pytest.mark.parametrize("name", CARS)
def test_stack_is_each_front_end(name: str) -> None:
    """Every variant of a stack stands and moves as the same front end does alone, to rounding."""
    variants = stacked(name)
    rack, travel = np.linspace(-70.0, 70.0, 15), np.array([-40.0, 0.0, 35.0])
    assert variants.sound.all()
    for i, changes in enumerate(VARIANTS):
        alone = assemble(CARS[name], changes)
        assert alone.left_sign == variants.left_sign
        assert alone.rack_stop == pytest.approx(variants.rack_stop[i], abs=1e-12)
        for one, many in zip(alone.sides, variants.sides, strict=True):
            pose, poses = alone.poses(one, rack, travel), variants.poses(many, rack[None, :], travel)
            assert float(one.corner.tie_rod) == pytest.approx(many.corner.tie_rod[i], abs=1e-9)
            assert np.array_equal(pose.reach, poses.reach[i])
            assert poses.pickup[i] == pytest.approx(pose.pickup, abs=1e-8, nan_ok=True)
            assert steer_angle(poses)[i] == pytest.approx(steer_angle(pose), abs=1e-10, nan_ok=True)


def test_variant_that_cannot_stand() -> None:
    """A variant whose strut can't reach is told apart and leaves the others alone."""
    car = CARS[next(iter(CARS))]
    first = assemble(car, Changes())
    shifts = {side: replace(shifts_of(Changes(), side, 0.0), drop=np.array([0.0, 5000.0])) for side in SIDES}
    points = {side: arrays_of(getattr(car, side)) for side in SIDES}
    variants = stack(car, first.tyre, first.loaded_radius, np.full(2, first.ground), points, shifts)
    assert [True, False] == variants.sound.tolist()
    pose = variants.poses(variants.left, np.zeros((1, 1)), np.zeros(1))
    assert [True, False] == pose.reachable[:, 0, 0].tolist()
