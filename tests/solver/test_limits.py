"""What stops the wheel: at each reported place its value is at its threshold, and nothing comes earlier."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Goal, Move, Side
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle, over_centre_rack
from solver.front_end import FrontEnd, assemble
from solver.limits import Limit, limits_of, over_centre_travel_left
from solver.measures import steer_angle
from solver.sweep import RACK_POINTS, TURNS, rack_sign
from solver.vectors import Array
from tests.solver.cars import CARS, FRONT, GOAL, REAR, perturbed

REACH = 90.0
PITCH = REACH / (RACK_POINTS - 1)
"""mm of rack between the places that are looked at: a limit is told to within this."""
UNDER = {"over-centre margin": math.radians(0.05), "tyre": 0.25}
"""By how much a value may be under its threshold where it is met: both curves bend down, so the straight line
between two places is on the safe side of them, but for the 0.19 mm of the search along a bar."""

ALMOST_OVER = Changes(pickup_move=Move(forward=22.0))
"""On the rear-rack car: a pickup so near the steering axis that the margin is met within reach."""


def limits(front_end: FrontEnd, turn: Side, goal: Goal = GOAL) -> tuple[Limit, ...]:
    """Limits of one turn within reach."""
    return limits_of(front_end, goal, REACH)[turn].limits


def excess(front_end: FrontEnd, limit: Limit, further: Array) -> Array:
    """By how much what a limit looks at is over its threshold, so much further on; NaN past over-centre."""
    assembly = front_end.left if limit.wheel == "left" else front_end.right
    rack = rack_sign(front_end, limit.turn) * (limit.rack + further)
    pose = front_end.poses(assembly, rack, np.array([limit.travel]))
    if limit.name == "over-centre margin":
        found = over_centre_angle(pose) - GOAL.over_centre_margin
    else:
        obstacle = next(o for o in obstacles(front_end, assembly) if limit.name.endswith(o.name))
        found = gap(front_end.tyre.grown(), obstacle, pose) - GOAL.clearance
    return np.where(pose.reachable, found, np.nan)[:, 0]


@settings(max_examples=40)
@given(car=perturbed(), closer=st.floats(0, 24), extension=st.floats(0, 30))
def test_each_limit_is_where_it_is_met(car: Car, closer: float, extension: float) -> None:
    """Limits come in order; at each the value still holds, and a pitch further on it doesn't."""
    forward = closer if car.left.pickup[0] < 0 else -closer
    front_end = assemble(car, Changes(arm_extension=extension, pickup_move=Move(forward=forward)))
    for turn in TURNS:
        found = limits(front_end, turn)
        assert sorted(item.rack for item in found) == [item.rack for item in found]
        for item in found:
            assert turn == item.turn
            assert math.isfinite(item.lock)
            if item.wheel is not None and item.rack > 0:
                under = UNDER.get(item.name, UNDER["tyre"])
                over = excess(front_end, item, np.linspace(0, PITCH, 9))
                assert over[0] >= -under, item
                assert np.isnan(over).any() or over.min() <= under, item
                # Where the wheel doesn't swing fast yet, the straight line is good to half a millimetre.
                if item.lock < math.radians(45) and item.name != "over-centre margin":
                    assert over[0] <= 0.5, item


@pytest.mark.parametrize("changes", [Changes(), ALMOST_OVER, Changes(arm_extension=25.0)])
@pytest.mark.parametrize("turn", TURNS)
def test_nothing_earlier(turn: Side, changes: Changes) -> None:
    """Up to the first limit every margin and gap holds, looked at four times as closely."""
    front_end = assemble(REAR, changes)
    first = limits(front_end, turn)[0]
    rack = rack_sign(front_end, turn) * np.linspace(0, first.rack, 180)
    for assembly in front_end.sides:
        pose = front_end.poses(assembly, rack, front_end.travels(21))
        assert pose.reachable.all()
        straight = over_centre_angle(pose)[0]
        least = np.minimum(straight, GOAL.over_centre_margin)
        # Two of the 21 travels lie between those that were looked at.
        assert np.all(over_centre_angle(pose) >= least - math.radians(0.1))
        for obstacle in obstacles(front_end, assembly):
            if obstacle.fixed_to != "knuckle":
                found = gap(front_end.tyre.grown(), obstacle, pose)
                assert found.min() >= GOAL.clearance - UNDER["tyre"], obstacle.name


def test_margin_is_met() -> None:
    """With the pickup moved close to the steering axis the margin is among the limits of both turns."""
    front_end = assemble(REAR, ALMOST_OVER)
    for turn in TURNS:
        assert "over-centre margin" in [item.name for item in limits(front_end, turn)]


@pytest.mark.parametrize("spacer", [0.0, 7.0])
@pytest.mark.parametrize("name", CARS)
def test_rack_stop_and_teeth(name: str, spacer: float) -> None:
    """The stop is the rack's travel and the spacer, the teeth's end stays; both with the inner wheel's lock."""
    car = replace(CARS[name], rack=replace(CARS[name].rack, tooth_travel=67.5))
    front_end = assemble(car, Changes(rack_spacer=spacer))
    for turn in TURNS:
        found = {item.name: item for item in limits(front_end, turn)}
        assert car.rack.travel_each_side + spacer == found["rack stop"].rack
        assert 67.5 == found["end of the rack's teeth"].rack
        for item in (found["rack stop"], found["end of the rack's teeth"]):
            assert item.wheel is None
            poses = front_end.at_ride_height(np.array([rack_sign(front_end, turn) * item.rack]))
            inner, outer = poses if turn == "left" else poses[::-1]
            steer = float(steer_angle(inner)[0])
            assert (steer > 0) == (turn == "left")
            assert abs(steer) == pytest.approx(item.lock, abs=1e-12)
            # With a steering arm that points at all inwards or a rack far enough, the inner wheel turns more.
            assert abs(float(steer_angle(outer)[0])) < item.lock


def test_stop_past_over_centre_is_no_limit() -> None:
    """A rack stop that lies past over-centre is left out: the margin comes first and the wheel never gets there."""
    front_end = assemble(REAR, Changes(pickup_move=Move(forward=35.0)))
    assembly = front_end.left
    end = min(abs(x) for x in over_centre_rack(assembly.corner, assembly.ride_angle))
    assert end < front_end.rack_stop
    for turn in TURNS:
        names = [item.name for item in limits(front_end, turn)]
        assert "rack stop" not in names
        assert "over-centre margin" in names


@pytest.mark.parametrize("margin", [0.0, 1e-6, 1e-3])
def test_next_to_no_margin_still_has_a_place(margin: float) -> None:
    """With no margin wanted the limit is over-centre itself, on its near side, where the wheel still has an angle."""
    front_end = assemble(REAR, replace(ALMOST_OVER, rack_spacer=15.0))
    for turn in TURNS:
        first = limits(front_end, turn, replace(GOAL, over_centre_margin=margin, clearance=0.0))
        found = next(item for item in first if item.name == "over-centre margin")
        assembly = front_end.left if found.wheel == "left" else front_end.right
        angle = float(front_end.arm_angles(assembly, np.array([found.travel]))[0])
        below, above = over_centre_rack(assembly.corner, angle)
        end = above if rack_sign(front_end, turn) > 0 else -below
        # Near over-centre the margin falls by a root: 1e-3 rad of it is some 1e-5 mm of rack.
        assert end - 1e-2 < found.rack < end
        assert math.isfinite(found.lock)


def test_met_at_rest() -> None:
    """What is too close with the wheels straight ahead is met at no rack travel at all."""
    wide = replace(GOAL, clearance=150.0)
    for turn in TURNS:
        first = limits(assemble(FRONT, Changes()), turn, wide)[0]
        assert 0.0 == first.rack
        assert first.name.startswith("tyre on ")


@pytest.mark.parametrize("name", CARS)
def test_safe_rack(name: str) -> None:
    """For each travel the rack may go to the nearest of its limits; over all travel that is the first limit."""
    front_end = assemble(CARS[name], Changes(arm_extension=10.0))
    for turn, found in limits_of(front_end, GOAL, REACH).items():
        contacts = [item for item in found.limits if item.wheel is not None]
        assert min(item.rack for item in contacts) == found.safe_rack.min(), turn
        first = min(contacts, key=lambda item: item.rack)
        assert found.travel[int(found.safe_rack.argmin())] == first.travel
        assert len(found.travel) == len(found.safe_rack)


@pytest.mark.parametrize("name", CARS)
def test_travel_left_to_over_centre(name: str) -> None:
    """From a rack displacement on, so much further the linkage is in line: reachable just before, not after."""
    front_end = assemble(CARS[name], Changes())
    for assembly, rack in ((front_end.left, 40.0), (front_end.right, 40.0), (front_end.left, -40.0)):
        left = over_centre_travel_left(front_end, assembly, rack)
        assert left > 0
        way = math.copysign(1.0, rack)
        poses = front_end.at_ride_height(rack + way * np.array([left - 0.01, left + 0.01]))
        pose = poses[0] if assembly.side == "left" else poses[1]
        assert [True, False] == pose.reachable.tolist()
