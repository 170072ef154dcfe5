"""Bars against bars and against solids of revolution, and the gaps of one corner's hardware."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from solver.body.bars import TOLERANCE, bar_to_bar, bar_to_solid
from solver.body.hardware import Rods, both_corners, hardware_gaps, ring_solid
from solver.body.revolved import tyre_solid
from solver.body.source import RingSource
from solver.body.surface import NO_TRIANGLES, Surface
from solver.body.sweep import wheel_sweeps
from solver.car import Changes, KeepClear
from solver.clearance import gap, obstacles
from solver.front_end import assemble
from solver.vectors import length
from tests.solver.body.scenes import QUICK, TYRE, front_end, random_sweep, ring, sweeps
from tests.solver.cars import REAR

SOLIDS = {
    "tyre": tyre_solid(TYRE),
    "thin barrel": ring(190.0, 196.0, -95.0, 20.0),
    "disc": ring(65, 140, -62, -57),
}


@settings(max_examples=40)
@given(seed=st.integers(0, 2**32), name=st.sampled_from(sorted(SOLIDS)), count=st.integers(1, 12))
def test_bar_to_solid(seed: int, name: str, count: int) -> None:
    """The least distance of several bars is that of ten thousand places along each, thin solids included."""
    rng = np.random.default_rng(seed)
    solid, poses = SOLIDS[name], random_sweep(rng, count)
    starts = poses.centres + rng.uniform(-400, 400, (count, 3))
    ends = starts + rng.uniform(-500, 500, (count, 3)) * (rng.random((count, 1)) < 0.9)
    distance, row, place = bar_to_solid(solid, starts, ends, poses.centres, poses.axes)
    share = np.linspace(0, 1, 10_001)[:, None, None]
    places = starts + share * (ends - starts)
    expected = float(solid.distance(places, poses.centres, poses.axes).min())
    # Never too small; too large by the tolerance at most, and the samples by half their pitch of 0.09 mm.
    assert expected - 0.045 <= distance <= expected + TOLERANCE
    assert distance == pytest.approx(
        float(solid.distance(place, poses.centres[row], poses.axes[row])), abs=1e-9
    )


@settings(max_examples=60)
@given(st.integers(0, 2**32), st.sampled_from(["random", "parallel", "points"]))
def test_bar_to_bar(seed: int, kind: str) -> None:
    """Two segments' distance is what bounded least squares finds, parallel ones and ones without length included."""
    rng = np.random.default_rng(seed)
    a, b, c, d = rng.uniform(-100, 100, (4, 3))
    if kind == "parallel":
        d = c + rng.uniform(-2, 2) * (b - a)
    if kind == "points":
        b = a.copy()
    found, place = bar_to_bar(*(x[None] for x in (a, b, c, d)))

    # Bounded linear least squares over the shares of both: |a + s u − c − t v| with 0 ≤ s, t ≤ 1.
    best = lsq_linear(np.stack([b - a, c - d], axis=1), c - a, bounds=(0, 1), method="bvls", tol=1e-14)
    assert math.sqrt(2 * best.cost) == pytest.approx(float(found[0]), abs=1e-6)
    share = np.clip(np.dot(place[0] - a, b - a) / max(np.dot(b - a, b - a), 1e-12), 0, 1)
    assert place[0] == pytest.approx(a + share * (b - a), abs=1e-9)


def test_tyre_and_bars_as_the_limits_see_them() -> None:
    """The tyre's least gap to arm, strut and rail is that of `solver.clearance.gap` over the same poses."""
    sweep = sweeps()["left"]
    found = {one.second: one for one in hardware_gaps(sweep) if one.first == "tyre"}
    part = sweep.parts[0]
    for obstacle in obstacles(part.front_end, part.assembly):
        expected = float(np.nanmin(gap(front_end().tyre.grown(), obstacle, part.pose)))
        # That search is high by up to 0.19 mm, this one by 0.05.
        assert expected == pytest.approx(found[obstacle.name].gap, abs=0.25)
    assert found["strut tube"].cause is None
    assert found["strut tube"].gap == pytest.approx(found["strut tube"].at_rest, abs=0.2)
    rail = found["rail"]
    assert rail.cause is not None
    assert rail.gap < rail.at_rest


def test_tie_rod_in_the_rim() -> None:
    """A barrel of the rim is missed by the tie rod by what a hand calculation of one pose gives, or less in others."""
    barrel = RingSource("rim's barrel", 380.0, 406.0, -90.0, 30.0, "left")
    assert ring_solid(barrel) == ring(190.0, 203.0, -90.0, 30.0)
    assert ring_solid(replace(barrel, side="right")) == ring(190.0, 203.0, -30.0, 90.0)
    sweep = sweeps()["left"]
    found = {
        (one.first, one.second): one for one in hardware_gaps(sweep, [barrel], rods=Rods(8.0, 17.0, 40.0))
    }
    rod = found["rim's barrel", "tie rod"]
    # Straight ahead, by hand: the rod's line against the ring, sampled in the wheel's own axes.
    pose = front_end().at_ride_height(np.zeros(1))[0]
    share = np.linspace(0, 1, 4001)[:, None]
    line = pose.inner_joint[0] + share * (pose.pickup[0] - pose.inner_joint[0]) - pose.wheel_centre[0]
    along = line @ pose.spin_axis[0]
    radial = np.sqrt((line**2).sum(axis=1) - along**2)
    far = np.maximum(np.abs(radial - 196.5) - 6.5, 0), np.maximum(np.abs(along + 30) - 60, 0)
    assert float(np.hypot(*far).min()) - 8.0 == pytest.approx(rod.at_rest, abs=0.06)
    assert rod.gap <= rod.at_rest
    # The end is a thicker bar about the rod's last 40 mm.
    end = found["rim's barrel", "tie-rod end"]
    assert end.gap >= rod.gap - (17.0 - 8.0) - 0.1
    assert ("rim's barrel", "strut tube") not in found


def test_arm_and_tie_rod_against_the_body() -> None:
    """A point of the body beside the arm's outer half is met by the arm; one at its bracket is not counted."""
    arm = next(obstacles(front_end(), front_end().left))
    outside, bracket = arm.start + 0.8 * (arm.end - arm.start), arm.start + 0.05 * (arm.end - arm.start)
    up = np.array([0.0, 0.0, arm.radius + 14.0])
    sweep = sweeps()["left"]
    bodies = [Surface(name, (place + up)[None], NO_TRIANGLES, "body", "left") for name, place in
              (("plate", outside), ("bracket", bracket))]  # fmt: skip
    found = {(one.first, one.second): one for one in hardware_gaps(sweep, surfaces=bodies)}
    plate = found["lower arm", "plate"]
    assert 14.0 == pytest.approx(plate.at_rest, abs=0.3)
    assert plate.gap < -10.0
    assert plate.cause is not None
    # It comes up to the plate in bump.
    assert 0 < plate.cause.travel
    assert found["lower arm", "bracket"].gap > 30.0
    far = hardware_gaps(sweeps()["right"], surfaces=bodies)
    assert not any(one.second in ("plate", "bracket") for one in far)


def test_what_is_joined_is_left_out() -> None:
    """Arm, rod and knuckle are not held against what they are joined to, nor the job's bars against each other."""
    extra = (
        *REAR.keep_clear,
        KeepClear("hose clip", (0, 660, 250), (0, 660, 280), 5.0, "knuckle", "left"),
        KeepClear("stay", (100, 400, 250), (100, 500, 250), 6.0, "body", "left"),
    )
    sweep = wheel_sweeps(assemble(replace(REAR, keep_clear=extra), Changes()), QUICK)["left"]
    pairs = {frozenset((one.first, one.second)) for one in hardware_gaps(sweep, rods=Rods(9.0, 17.0))}
    for absent in (
        ("tie rod", "tie-rod end"),
        ("lower arm", "strut tube"),
        ("strut tube", "hose clip"),
        ("rail", "stay"),
    ):
        assert frozenset(absent) not in pairs
    for present in (
        ("tie rod", "rail"),
        ("tie rod", "lower arm"),
        ("tie rod", "stay"),
        ("tyre", "hose clip"),
    ):
        assert frozenset(present) in pairs


def test_both_corners_alike() -> None:
    """A symmetric car has the same gaps on both sides, the least first."""
    found = both_corners(sweeps())
    assert [one.gap for one in found] == sorted(one.gap for one in found)
    sides = [[one.gap for one in found if one.side == side] for side in ("left", "right")]
    assert sides[0] == pytest.approx(sides[1], abs=0.06)
    assert all(length(one.place) < 1200 for one in found)
