"""The table of loads: forces of each case by hand, the balance, and that a finer grid finds little more."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from solver.corner import pose_corner
from solver.loading.cases import cases_of, other_wheel, table_cases
from solver.loading.contact import parking_arm
from solver.loading.envelope import MEMBERS, largest_by_case, worst
from solver.loading.inputs import LoadCase
from solver.loading.sweep import LoadSweep, joined, load_sweep, rack_at
from solver.measures import contact_centre, steer_angle
from tests.solver.cars import CARS
from tests.solver.loading.setting import assembly, locks_of, state, vehicle

cars = pytest.mark.parametrize("name", CARS)


@cache
def swept(name: str, steering: int = 21, travels: int = 5, *added: LoadCase) -> LoadSweep:
    """The loads of a changed car."""
    found = state(name)
    return load_sweep(found.front_end, locks_of(found), cases_of(added), vehicle(found), steering, travels)


@cars
def test_balance(name: str) -> None:
    """Forces and moments, summed up anew about the wheel centre, leave less than 1e-9 of the load."""
    assert swept(name).residual < 1e-9


@cars
def test_forces_on_the_tyre(name: str) -> None:
    """The ground's force of each row is what the case says, in the wheel's own heading."""
    sweep = swept(name)
    loads, car = sweep.loads, sweep.vehicle
    for row in range(0, loads.rows, 7):
        case, side = sweep.cases[loads.case[row]], int(loads.side[row])
        rest = car.weights[side]
        wheel = max(
            rest + 1.1 * (case.braking * car.braking_transfer + case.cornering * car.cornering_transfer), 0.0
        )
        up = case.vertical * (car.axle_weight if case.overturning else wheel)
        tyre = 1.1 * case.vertical * wheel
        inward = case.inward * tyre + case.strike_inward * rest + case.overturning * car.tipping_force
        assert up == pytest.approx(loads.vertical[row])
        assert case.rearward * tyre + case.strike_rearward * rest == pytest.approx(
            loads.rearward[row], abs=1e-6
        )
        assert inward == pytest.approx(loads.inward[row], abs=1e-6)


@cars
def test_poses_lie_in_the_case_s_range(name: str) -> None:
    """No case is looked at outside of its range, and both ends of the range are among the poses."""
    sweep = swept(name)
    loads, front_end = sweep.loads, state(name).front_end
    for index, case in enumerate(sweep.cases):
        rows = loads.case == index
        travel = loads.travel[rows] / np.where(
            loads.travel[rows] > 0, front_end.car.bump_travel, front_end.car.droop_travel
        )
        assert case.travel[0] == pytest.approx(travel.min())
        assert case.travel[1] == pytest.approx(travel.max())
        for side in ("left", "right"):
            mine = rows & (loads.side == ("left", "right").index(side))
            corner = assembly(front_end, side)
            ends = [
                float(steer_angle(pose_corner(corner.corner, np.array([corner.ride_angle]), rack))[0])
                for rack in rack_at(front_end, side, locks_of(state(name)), np.array(case.steer))[:, None]
            ]
            at_ride = loads.steer[mine & (np.abs(loads.travel) < 1e-9)]
            assert min(ends) == pytest.approx(at_ride.min(), abs=1e-9)
            assert max(ends) == pytest.approx(at_ride.max(), abs=1e-9)


@cars
def test_finer_grid_finds_little_more(name: str) -> None:
    """Over 61 × 21 poses no member's worst is more than 1 % above that of the grid used."""
    coarse, fine = swept(name), swept(name, 61, 21)
    for member in MEMBERS[3:-1]:
        usual, _ = worst(coarse.cases, coarse.loads, member.measure(coarse.loads))
        more, _ = worst(fine.cases, fine.loads, member.measure(fine.loads))
        assert usual <= more * (1 + 1e-9) + 1e-9
        assert more <= 1.01 * usual + 1.0, member.label


@cars
def test_parking(name: str) -> None:
    """Steering at rest: the moment about the steering axis is μ W √(b²/8 + e²) beside that of the load at rest."""
    sweep = swept(name)
    loads, car = sweep.loads, sweep.vehicle
    names = [case.name for case in sweep.cases]
    turning = {
        key: loads.case == names.index(f"parking on dry ground, turning {key}") for key in ("in", "out")
    }
    still = loads.case == names.index("at rest")
    both = loads.about_axis[turning["in"]] - loads.about_axis[turning["out"]]
    mean = (loads.about_axis[turning["in"]] + loads.about_axis[turning["out"]]) / 2
    assert loads.about_axis[still] == pytest.approx(mean, abs=1e-3)
    front_end = state(name).front_end
    for row in range(0, both.size, 5):
        at = np.flatnonzero(turning["in"])[row]
        side = ("left", "right")[int(loads.side[at])]
        corner = assembly(front_end, side)
        share = np.linspace(-1, 1, 21)
        racks = rack_at(front_end, side, locks_of(state(name)), share)
        pose = pose_corner(corner.corner, np.full(21, front_end.arm_angles(corner, np.zeros(1))[0]), racks)
        i = int(np.argmin(np.abs(steer_angle(pose) - loads.steer[at])))
        contact = contact_centre(pose, front_end.loaded_radius)[i]
        axis, ball = pose.steering_axis[i], pose.ball_joint[i]
        foot = ball + axis * (contact[2] - ball[2]) / axis[2]
        offset = float(np.hypot(*(foot - contact)[:2]))
        torque = 0.7 * car.weights[int(loads.side[at])] * math.sqrt(car.tyre_width**2 / 8 + offset**2)
        assert 2 * torque == pytest.approx(abs(both[row]), rel=1e-9)


def test_parking_arm_grows_with_width_and_offset() -> None:
    """A wider tyre or a longer offset makes steering at rest heavier."""
    assert parking_arm(200.0, 20.0) < parking_arm(220.0, 20.0) < parking_arm(220.0, 30.0)
    assert 200.0 / math.sqrt(8) == pytest.approx(float(parking_arm(200.0, 0.0)))


@cars
def test_forced_against_a_kerb(name: str) -> None:
    """Driver and assistance: the rod pulls or pushes the rack with just their force beside what rest makes."""
    sweep = swept(name)
    loads = sweep.loads
    names = [case.name for case in sweep.cases]
    ways = [loads.case == names.index(f"steered against a kerb, {way}wards") for way in ("in", "out")]
    difference = np.abs(loads.rack[ways[0]] - loads.rack[ways[1]])
    assert np.full(difference.size, 2 * sweep.vehicle.rack_push) == pytest.approx(difference, rel=1e-9)


def test_case_of_the_builder() -> None:
    """A case that the builder adds is looked at beside all of the table."""
    own = LoadCase("jump", "given", vertical=4.0, steer=(0.0, 0.0), travel=(1.0, 1.0))
    sweep = swept("rear rack", 21, 5, own)
    assert len(table_cases()) + 1 == len(sweep.cases)
    rows = sweep.loads.only(sweep.loads.case == len(table_cases()))
    assert 2 == rows.rows
    assert rows.vertical == pytest.approx([4 * weight for weight in sweep.vehicle.weights])
    assert 55.0 == pytest.approx(float(rows.travel[0]))
    assert table_cases() == sweep.cases[:-1]


def test_other_wheel_of_a_case() -> None:
    """In a bend the other wheel is on the other side; no kerb strikes it too."""
    bend = LoadCase("bend", "test", vertical=1.2, cornering=1.0, inward=1.0)
    other = other_wheel(bend)
    assert (1.2, -1.0, -1.0) == (other.vertical, other.cornering, other.inward)
    struck = other_wheel(LoadCase("kerb", "test", vertical=2.0, strike_rearward=4.5, overturning=1.0))
    assert (1.0, 0.0, 0.0) == (struck.vertical, struck.strike_rearward, struck.overturning)


@cars
def test_worst_is_the_worst(name: str) -> None:
    """Of each member the worst row is no less than any other, and its case makes as much on its own."""
    sweep = swept(name)
    names = [case.name for case in sweep.cases]
    for member in MEMBERS:
        values = member.measure(sweep.loads)
        value, where = worst(sweep.cases, sweep.loads, values)
        assert value == values.max()
        by_case = largest_by_case(len(names), sweep.loads, values)
        assert value == by_case[names.index(where.case)] == by_case.max()


def test_joined_tables_keep_their_rows() -> None:
    """Left and right one after the other give the whole."""
    loads = swept("rear rack").loads
    left, right = (loads.only(loads.side == side) for side in (0, 1))
    again = joined([left, right])
    assert loads.rows == again.rows == left.rows + right.rows
    assert loads.tie_rod.tolist() == again.tie_rod.tolist()
    assert loads.link.ball.tolist() == again.link.ball.tolist()


def test_sides_of_an_even_car_load_alike() -> None:
    """The rear-rack car is even, so left and right see the same loads."""
    loads = swept("rear rack").loads
    left, right = (loads.only(loads.side == side) for side in (0, 1))
    for member in MEMBERS:
        # The solution of the poses is good to 1e-12 or so.
        assert member.measure(left) == pytest.approx(member.measure(right), rel=1e-7, abs=1e-3), member.label
