"""Gaps to expect at the stops: against the tyre's own distance, sampled along each bar."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import parse_job
from solver.car import Side
from solver.clearance import in_arm, obstacles
from solver.corner import pose_corner
from solver.front_end import FrontEnd
from solver.gaps_at_lock import PlaceGap, gaps_at_lock, racks_at
from solver.measures import steer_angle
from solver.solution import Solution, solve
from solver.sweep import TURNS, rack_sign

CLEARANCE = 7.0
demos = pytest.mark.parametrize("name", demo_names())


@cache
def solution_of(name: str) -> Solution:
    """A demo job's answer."""
    return solve(parse_job(demo_text(name)))


def front_end_of(name: str) -> FrontEnd:
    """Its modified front end."""
    return solution_of(name).as_modified.front_end


def at_the_rack_stop(front_end: FrontEnd) -> tuple[PlaceGap, ...]:
    """Gaps with the rack on its own stops."""
    racks: dict[Side, tuple[float, ...]] = {turn: racks_at(front_end, turn, None) for turn in TURNS}
    return gaps_at_lock(front_end, racks, CLEARANCE)


@demos
def test_gaps_are_those_along_each_bar(name: str) -> None:
    """A gap is the least distance of the tyre's solid from points along the bar, less the bar's radius."""
    front_end = front_end_of(name)
    found = {(each.turn, each.wheel, each.place): each for each in at_the_rack_stop(front_end)}
    share = np.linspace(0, 1, 4001)[:, None]
    for turn in TURNS:
        for assembly in front_end.sides:
            angle = front_end.arm_angles(assembly, np.array([front_end.car.bump_travel]))
            pose = pose_corner(
                assembly.corner, angle, np.array([rack_sign(front_end, turn) * front_end.rack_stop])
            )
            for bar in obstacles(front_end, assembly):
                along = bar.start + share * (bar.end - bar.start)
                if bar.fixed_to == "arm":
                    along = in_arm(along, pose)
                elif bar.fixed_to == "knuckle":
                    along = np.stack([pose.point(point)[0] for point in along])
                each = found[turn, assembly.side, bar.name]
                for tyre, value in (
                    (front_end.tyre, each.expected[2]),
                    (front_end.tyre.grown(), each.expected[2] - each.at_least[2] + CLEARANCE),
                ):
                    distance = tyre.distance(along, pose.wheel_centre, pose.spin_axis).min() - bar.radius
                    # Points lie a tenth of a mm apart at most.
                    assert value == pytest.approx(distance, abs=0.02)


@demos
def test_nothing_on_the_way_is_nearer_than_told(name: str) -> None:
    """The least gap is no more than those at the stop, and is reached in the pose that is told."""
    for each in at_the_rack_stop(front_end_of(name)):
        assert each.least <= min(each.expected) + 1e-9
        assert each.travel in (-front_end_of(name).car.droop_travel, 0, front_end_of(name).car.bump_travel)


@demos
def test_a_bracket_is_met_at_its_steer_angle(name: str) -> None:
    """The rack displacements at a bracket give the inner wheel the lock of each travel, or the rack's stop is first."""
    front_end = front_end_of(name)
    locks = {-front_end.car.droop_travel: 0.75, 0.0: 0.78, front_end.car.bump_travel: math.pi / 2}
    racks = racks_at(front_end, "left", locks)
    assert front_end.rack_stop == racks[2]
    for (travel, lock), rack in zip(locks.items(), racks[:2], strict=False):
        angle = front_end.arm_angles(front_end.left, np.array([travel]))
        pose = pose_corner(front_end.left.corner, angle, np.array([rack_sign(front_end, "left") * rack]))
        # A grid of some 0.2 mm, between which the steer angle is taken as straight.
        assert lock == pytest.approx(abs(float(steer_angle(pose)[0])), abs=2e-4)
