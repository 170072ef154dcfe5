"""Where parts that fit the car by themselves sit on it."""

from __future__ import annotations

import numpy as np
import pytest

from locksweep.demo_jobs import demo_text
from locksweep.job import parse_job
from solver.car import Job
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.part import Part
from solver.sizing import all_parts
from solver.sizing.context import SizingContext
from solver.sizing.places import places
from solver.solution import Solution, solve


@pytest.fixture(scope="module")
def demo() -> tuple[Job, Solution, dict[str, Part]]:
    """The metric demo job, solved and sized."""
    job = parse_job(demo_text("alder-coupe"))
    solution = solve(job)
    parts, _ = all_parts(SizingContext(solution))
    return job, solution, {part.name: part for part in parts}


def test_as_many_places_as_pieces(demo: tuple[Job, Solution, dict[str, Part]]) -> None:
    """Every piece of a part that stays on the car has a place of its own axes, and a marking aid has none."""
    _, solution, parts = demo
    for part in parts.values():
        found = places(solution, part)
        assert (0 if part.role == "marking aid" else part.quantity) == len(found), part.name
        for place in found:
            x, z = np.array(place.x_axis), np.array(place.z_axis)
            # Sizing rounds the axes of some parts to six digits.
            assert [1, 1, 0] == pytest.approx([x @ x, z @ z, x @ z], abs=2e-6)


def test_spacers_end_at_the_joints(demo: tuple[Job, Solution, dict[str, Part]]) -> None:
    """A spacer's outer face is at the inner joint's centre, (-100, ±300, 180) in the job file, along the rack."""
    _, solution, parts = demo
    ring = parts["rack-spacer"]
    left, right = places(solution, ring)
    thickness = ring.dimensions.envelope[2]
    assert (-100, 300 - thickness, 180) == pytest.approx(left.origin)
    assert (-100, -300 + thickness, 180) == pytest.approx(right.origin)
    assert ((0, 1, 0), (0, -1, 0)) == (left.z_axis, right.z_axis)


def test_sleeves_bridge_the_cut(demo: tuple[Job, Solution, dict[str, Part]]) -> None:
    """The gap in the middle of the sleeve starts 246 mm from the ball joint, on the line to the rear pivot."""
    _, solution, parts = demo
    sleeve = parts["arm-sleeve"].dimensions
    assert isinstance(sleeve, ArmSleeveDimensions)
    left, right = places(solution, parts["arm-sleeve"])
    pivot, ball = np.array((0, 330, 186.0)), np.array((8, 668, 172.0))
    along = (ball - pivot) / np.linalg.norm(ball - pivot)
    cut = np.array(left.origin) + (sleeve.tongue + sleeve.overlap) * np.array(left.z_axis)
    assert ball - 246 * along == pytest.approx(cut)
    assert along == pytest.approx(np.array(left.z_axis))
    mirrored = np.array(left.origin) * (1, -1, 1)
    assert mirrored == pytest.approx(np.array(right.origin))
    # Width lies across the arm in the car's length, so height points upwards.
    assert np.cross(left.z_axis, left.x_axis)[2] == pytest.approx(1, abs=2e-3)
