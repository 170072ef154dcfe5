"""Joints, panels and what turns with the wheel among the limits; what moving the first limit brings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, JointLimits, Side, Vector, WheelWell
from solver.front_end import FrontEnd, assemble
from solver.joints import rod_to_rack
from solver.limits import Limit, TurnLimits, limits_of
from solver.margins import TOLD, panel_gaps
from solver.sweep import TURNS, sweep
from tests.solver.cars import CARS, GOAL, REAR

REACH = 90.0


def found_for(car: Car, changes: Changes | None = None, **goal: float) -> dict[Side, TurnLimits]:
    """Limits of both turns."""
    return limits_of(assemble(car, changes or Changes()), replace(GOAL, **goal), REACH)


def named(limits: tuple[Limit, ...], name: str) -> list[Limit]:
    """Those of one name."""
    return [limit for limit in limits if limit.name == name]


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("joint", ["rod_inner", "rod_outer", "ball_joint"])
def test_joint_is_a_limit(name: str, joint: str) -> None:
    """A joint that binds a little early ends the lock a little early; one that bends far enough is told as unmet."""
    words = {
        "rod_inner": "inner tie-rod joint",
        "rod_outer": "outer tie-rod joint",
        "ball_joint": "ball joint",
    }
    free = found_for(replace(CARS[name], joints=JointLimits(**{joint: math.radians(80)})))
    for turn in TURNS:
        assert not named(free[turn].limits, words[joint])
        left = min(item.left for item in free[turn].unmet if item.name == words[joint])
        worst = math.radians(80) - left
        if joint == "ball_joint":
            # It is bent most by the arm's swing, so it may bind with the wheel straight.
            continue
        tight = found_for(replace(CARS[name], joints=JointLimits(**{joint: worst - math.radians(0.5)})))
        met = named(tight[turn].limits, words[joint])
        assert met
        assert 0 <= min(limit.rack for limit in met) < REACH


def test_inner_joint_by_hand() -> None:
    """The inner joint is bent by the rod's angle to the rack: at rest that of two measured points."""
    front_end = assemble(REAR, Changes())
    pose, _ = front_end.at_ride_height(np.zeros(1))
    rod = np.subtract(REAR.left.pickup, REAR.left.inner_joint)
    # The rack lies along y: the angle follows from the rod's length across and along it.
    by_hand = math.atan2(math.hypot(rod[0], rod[2]), rod[1])
    # Assembling finds the ride height to 1e-11 rad of the arm.
    assert by_hand == pytest.approx(float(rod_to_rack(pose)[0]), abs=1e-6)


def test_strut_is_told_but_does_not_count() -> None:
    """A tyre on the strut tube is met at once, is set aside, and ends no lock."""
    inwards = Changes(wheel=replace(REAR.wheel, offset=REAR.wheel.offset + 40.0))
    for turn, found in found_for(REAR, inwards).items():
        aside = named(found.aside, "tyre on strut tube")
        assert {"left", "right"} == {limit.wheel for limit in aside}, turn
        assert all(limit.rack == 0 and not limit.counts for limit in aside)
        assert not named(found.limits, "tyre on strut tube")


def panel(x: float, half: float = 400.0) -> tuple[Vector, ...]:
    """A square panel across the car behind the left wheel, facing forward."""
    corners = ((-half, -half), (half, -half), (half, half), (-half, half))
    return tuple((x, 740.0 + across, 300.0 + up) for across, up in corners)


def with_panel(points: tuple[Vector, ...]) -> FrontEnd:
    """The rear-rack car with one panel on the left."""
    return assemble(replace(REAR, wheel_wells=(WheelWell("wall", points, "left", 1.0),)), Changes())


@settings(max_examples=30)
@given(x=st.floats(-420, -330), y=st.floats(-120, 120), half=st.floats(60, 400))
def test_panel_gap_is_that_of_its_points(x: float, y: float, half: float) -> None:
    """The gap to a panel is the least over a fine net of its points, within what the net and the edge search miss."""
    points = tuple((a, b + y, c) for a, b, c in panel(x, half))
    front_end = with_panel(points)
    pose = sweep(front_end, dict.fromkeys(TURNS, 60.0), 3, 3).left
    gaps = panel_gaps(front_end, front_end.car.wheel_wells[0], pose, 60.0)
    steps = np.linspace(-half, half, 121)
    net = np.stack(np.meshgrid([x], steps + 740 + y, steps + 300, indexing="ij"), axis=-1).reshape(-1, 3)
    tyre = front_end.tyre.grown()
    for i in np.ndindex(gaps.shape):
        least = float(tyre.distance(net, pose.wheel_centre[i], pose.spin_axis[i]).min())
        if gaps[i] < 60.0 and least > 0:
            # A net of pitch p misses the nearest point by p/√2 at most, and its distance by p²/4 over the tyre's
            # least radius, its shoulder's; the edge search by 0.19 mm.
            pitch = 2 * half / 120
            assert gaps[i] == pytest.approx(least, abs=0.2 + pitch**2 / 4 / tyre.shoulder_radius), i
        elif gaps[i] >= 60.0:
            assert least >= 60.0 - 1e-6


def test_panel_is_told_but_does_not_count() -> None:
    """A panel in the tyre's way is told with its place, and takes nothing from the lock."""
    car = with_panel(panel(-345.0)).car
    whole, without = found_for(car), found_for(replace(car, wheel_wells=()))
    assert any(named(found.aside, "tyre on wall, uncut") for found in whole.values())
    for turn, found in whole.items():
        bare = without[turn]
        assert bare.limits == found.limits
        assert np.array_equal(bare.safe_rack, found.safe_rack)


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("extension", [0.0, 15.0])
def test_gain_is_had(name: str, extension: float) -> None:
    """With the first limit moved by what the gain says, the second one comes first, at the lock that it says."""
    changes = Changes(arm_extension=extension)
    for turn, found in found_for(CARS[name], changes).items():
        gain = found.gain
        assert gain is not None
        assert gain.name == found.limits[0].name
        assert gain.next_name == found.limits[1].name
        assert gain.lock == pytest.approx(found.limits[1].lock - found.limits[0].lock)
        assert gain.amount > 0
        if gain.name == "rack stop":
            rack = replace(
                CARS[name].rack, travel_each_side=CARS[name].rack.travel_each_side + gain.amount + 0.01
            )
            moved = found_for(replace(CARS[name], rack=rack), changes)[turn]
        elif gain.name.startswith("tyre on"):
            # Every gap gives way alike, so the second limit may go too: the first one's lock is what is looked at.
            moved = found_for(CARS[name], changes, clearance=GOAL.clearance - gain.amount - 0.01)[turn]
        else:
            continue
        assert moved.limits[0].lock >= found.limits[1].lock - 1e-3 or moved.limits[0].name == gain.next_name


@pytest.mark.parametrize("name", CARS)
def test_each_limit_stands_alone(name: str) -> None:
    """What else is in the way changes neither place nor lock of a limit."""
    car = replace(CARS[name], joints=JointLimits(rod_inner=math.radians(14), rod_outer=math.radians(12)))
    whole = found_for(car)
    alone = found_for(replace(car, keep_clear=(), joints=None))
    for turn in TURNS:
        left = [
            limit for limit in whole[turn].limits if "joint" not in limit.name and "rail" not in limit.name
        ]
        assert alone[turn].limits == tuple(left)


@pytest.mark.parametrize("name", CARS)
def test_unmet_is_not_met(name: str) -> None:
    """Nothing is both met and unmet by the same wheel, and what is left is not negative and is cut off at its end."""
    for found in found_for(CARS[name]).values():
        met = {(limit.name, limit.wheel) for limit in (*found.limits, *found.aside)}
        for item in found.unmet:
            assert (item.name, item.wheel) not in met
            assert 0 <= item.left
            assert item.unit == "rad" or item.left <= TOLD
