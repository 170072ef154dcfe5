"""Hits at lock: the rack in balance, the pad's force by moments, and the energy of a swing."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from solver.loading.cases import cases_of
from solver.loading.inputs import LoadCase, LoadInputs
from solver.loading.statics import react
from solver.loading.stops import TurnAtLock, at_lock, pad_hits, rack_stop_hit
from solver.loading.sweep import MemberLoads
from solver.strength.impact import impact_force
from solver.vectors import rotate
from tests.solver.cars import CARS
from tests.solver.loading.setting import locks_of, state, vehicle

cars = pytest.mark.parametrize("name", CARS)
# Behind the steering axis on the rear-rack car, seen from the left; the pad pushes it forwards and out.
BOSS = np.array([-80.0, 640.0, 230.0])
NORMAL = np.array([-0.8, 0.6, 0.0])


@cache
def turn(name: str, push: float = 0.0, rate_free: bool = False) -> TurnAtLock:
    """The left turn of a changed car at lock; with a push of driver and assistance along the rack."""
    found = state(name)
    car = vehicle(found, LoadInputs(hand_force=0.0, assistance=push))
    if rate_free:
        inputs = tuple(i._replace(value=0.0) if i.key == "swing_rate" else i for i in car.inputs)
        car = replace(car, inputs=inputs)
    return at_lock(found.front_end, "left", locks_of(found), cases_of(()), car)


def hits(name: str, push: float = 0.0, rate_free: bool = False) -> tuple[TurnAtLock, MemberLoads]:
    """The hits on a pad, on whichever side of the boss it is pushed against."""
    at = turn(name, push, rate_free)
    front_end = state(name).front_end
    tables = [pad_hits(front_end, at, BOSS, way * NORMAL) for way in (1, -1)]
    return at, max(tables, key=lambda table: float(table.pad.max(initial=0.0)))


@cars
def test_rack_is_in_balance(name: str) -> None:
    """What the pad's wheel holds along the rack is what the other wheel and the push put in."""
    push = 4000.0
    at, found = hits(name, push)
    assert found.rows > 5
    outer = at.outer
    tension = react(outer.hold, outer.force, outer.moment).tie_rod
    from_other = np.where(outer.allowed, -tension * outer.along_rack, -np.inf).max(axis=1)
    by_case = {int(at.chosen[i]): float(from_other[i]) for i in range(len(at.chosen))}
    sign = math.copysign(1.0, state(name).front_end.left_sign)
    for row in range(found.rows):
        held = float(found.rack[row]) * sign
        case = at.cases[list(at.chosen).index(int(found.case[row]))]
        other = by_case[int(found.case[row])]
        # Either nobody presses on, or all of the push does.
        assert any(
            abs(held - other - extra) < 1e-6 * (1 + abs(held)) for extra in (push, case.forcing * push)
        )


@cars
def test_pad_carries_what_is_left_about_the_steering_axis(name: str) -> None:
    """Steady force × lever = moment of ground and rod about the steering axis."""
    at, found = hits(name, 4000.0)
    pose, hold = at.inner.pose, at.inner.hold
    for row in range(found.rows):
        m = int(np.argmin(np.abs(at.inner.travel - found.travel[row])))
        axis, ball = pose.steering_axis[m], pose.ball_joint[m]
        boss = pose.point(BOSS)[m]
        turning = float(found.about_axis[row]) + float(found.tie_rod[row]) * float(hold.lever[m])
        # The pad sits on the arm and turns with it about the pivots; the boss goes with the knuckle.
        angle = front_end_angle(name, float(at.inner.travel[m]))
        normal = rotate(NORMAL, pose.corner.pivot_axis, np.array(angle))
        lever = abs(float(axis @ np.cross(boss - ball, normal)))
        assert abs(turning) == pytest.approx(float(found.steady[row]) * lever, rel=1e-9)


def front_end_angle(name: str, travel: float) -> float:
    """Turn of the inner wheel's arm about its pivots at a wheel travel."""
    front_end = state(name).front_end
    return float(front_end.arm_angles(front_end.left, np.array([travel]))[0])


@cars
def test_swing_makes_it_harder(name: str) -> None:
    """F = W + √(W² + 2 E k) with the energy at the steering ratio of the pose; a kerb's strike counts once."""
    at, found = hits(name, 0.0)
    ratio = np.abs(at.inner.hold.lever / at.inner.along_rack) * 2 * math.pi / at.vehicle.per_turn
    for row in range(found.rows):
        m = int(np.argmin(np.abs(at.inner.travel - found.travel[row])))
        case = at.cases[list(at.chosen).index(int(found.case[row]))]
        energy = 0.5 * (2 * 1.0 + 0.04 * float(ratio[m]) ** 2) * math.radians(90) ** 2 * 1000
        steady = float(found.steady[row])
        expected = steady + math.sqrt(steady**2 + 2 * energy * 5000.0)
        if case.strike_rearward or case.strike_inward:
            expected = steady
        assert expected == pytest.approx(float(found.pad[row]), rel=1e-9)


@cars
def test_sudden_load_without_a_swing_counts_twice(name: str) -> None:
    """A load that is applied at once, with nothing moving, is twice the load at rest."""
    at, found = hits(name, 0.0, rate_free=True)
    struck = np.array([bool(c.strike_rearward or c.strike_inward) for c in at.cases])
    is_struck = np.array([struck[list(at.chosen).index(int(case))] for case in found.case])
    assert found.pad[~is_struck] == pytest.approx(2 * found.steady[~is_struck], rel=1e-9)


@cars
def test_steering_at_rest_presses_no_stop(name: str) -> None:
    """Cases that hold the wheel back, and those that don't reach lock, load no stop."""
    names = {case.name for case in turn(name).cases}
    assert {"slide caught at lock", "steered hard to lock", "at rest"} <= names
    assert not any("parking" in n or "kerb strike from ahead" in n or "against a kerb" in n for n in names)


@cars
def test_rack_stop(name: str) -> None:
    """The rack's stop takes both wheels' rods and the push; more push never helps, and a great one is felt."""
    pushes = (0.0, 3000.0, 6000.0, 30000.0, 40000.0)
    forces = [rack_stop_hit(turn(name, push)) for push in pushes]
    values = [force for force, _ in forces]
    assert sorted(values) == values
    # Of a great push the case of driving to lock is the worst: the push, and the tyres', come on at once.
    at = turn(name)
    hard = [case.name for case in at.cases].index("steered hard to lock")
    ratio = np.abs(at.inner.hold.lever / at.inner.along_rack) * 2 * math.pi / at.vehicle.per_turn
    steady = float(at.inner.push[hard] + at.outer.push[hard]) + 40000.0
    energy = 0.5 * (2 * 1.0 + 0.04 * float(ratio.max()) ** 2) * math.radians(90) ** 2 * 1000
    assert steady + math.sqrt(steady**2 + 2 * energy * 5000.0) == pytest.approx(values[-1], rel=1e-9)
    assert {"left"} == {where.side for _, where in forces}
    assert all(where.hit for _, where in forces)


def test_impact_is_at_least_twice_and_grows() -> None:
    """More steady force, more energy or a stiffer stop make a harder hit."""
    base = float(impact_force(1000.0, 2000.0, 5000.0))
    assert base > 2000.0
    assert base < float(impact_force(1100.0, 2000.0, 5000.0))
    assert base < float(impact_force(1000.0, 2500.0, 5000.0))
    assert base < float(impact_force(1000.0, 2000.0, 6000.0))
    assert 2000.0 == float(impact_force(1000.0, 0.0, 5000.0))


def test_case_without_lock_is_left_out() -> None:
    """A builder's case straight ahead is none of the stops'."""
    found = state("rear rack")
    own = LoadCase("mine", "given", steer=(0.0, 0.0))
    at = at_lock(found.front_end, "left", locks_of(found), cases_of((own,)), vehicle(found))
    assert "mine" not in {case.name for case in at.cases}
