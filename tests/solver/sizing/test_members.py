"""Members that are not made here: checked as far as they were measured, and plainly not assessed where they weren't."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from solver.car import Changes, JointLimits, Move, PickupWork, TieRod
from solver.loading.inputs import LoadInputs, SteeringArm
from solver.part import Check, Member
from solver.search.tie_rods import RodChoice
from solver.sizing.context import SizingContext
from solver.sizing.members import members
from solver.strength.columns import column_strength
from solver.strength.materials import UNKNOWN, material
from solver.strength.sections import tube
from solver.sweep import TURNS
from solver.sweep_summary import wheel_summary
from tests.solver.sizing.setting import context

MOVED = Changes(rack_spacer=8.0, arm_extension=22.0, pickup_move=Move(18.0, 0.0, 0.0))
PICKUP = "steering arm of the knuckle"


def by_name(found: SizingContext) -> dict[str, Member]:
    """Members by name."""
    return {member.name: member for member in members(found)}


def check(member: Member, name: str) -> Check:
    """One of a member's checks."""
    return next(item for item in member.checks if item.name == name)


def moved(loads: LoadInputs | None = None, work: PickupWork | None = None) -> SizingContext:
    """The car as if its pickup were drilled 18 mm further forward, loads as before."""
    found = context(loads).solution
    job = replace(found.job, pickup=work)
    return SizingContext(replace(found, job=job, sized=replace(found.sized, changes=MOVED)))


def test_what_is_not_measured_is_said() -> None:
    """Tie rod of the thinnest kind and weakest steel, strut's rod and other leg not assessed."""
    found = by_name(context())
    buckling = check(found["tie rods"], "buckling of the tie rod")
    assert "12.0 mm thick, not measured: the thinnest that cars have" in buckling.inputs
    assert "the weakest of the candidates" in buckling.inputs
    assert () == found["strut"].checks
    assert "[strut] rod_diameter, is not measured" in found["strut"].not_assessed[0]
    assert () == found["lower arm's other leg"].checks
    assert "its section is not measured" in found["lower arm's other leg"].not_assessed[0]
    assert PICKUP not in found


def test_tie_rod_buckles_at_its_new_length() -> None:
    """Euler or Johnson for the longer of both new rods as measured, against the hardest push."""
    found = context(LoadInputs(assistance=0.0, tie_rod=15.0))
    buckling = check(by_name(found)["tie rods"], "buckling of the tie rod")
    modified = found.solution.as_modified
    length = max(modified.left.tie_rod, modified.right.tie_rod)
    assert length != pytest.approx(found.solution.as_measured.left.tie_rod, abs=1.0)
    steel = material(UNKNOWN)
    expected = column_strength(tube(15.0, 0.0), length, steel.yield_strength, steel.modulus)
    assert expected == buckling.capacity
    assert float(np.max(-found.loads.tie_rod)) == pytest.approx(buckling.demand)
    thinner = check(by_name(context(LoadInputs(assistance=0.0, tie_rod=13.0)))["tie rods"], buckling.name)
    assert thinner.margin < buckling.margin


def test_strut_rod() -> None:
    """32 M / π d³ of the worst moment against the weakest steel's yield."""
    found = context(LoadInputs(assistance=0.0, strut_rod=22.0))
    bending = check(by_name(found)["strut"], "bending of the strut's rod")
    moment = float(found.loads.rod_moment.max())
    assert 32 * moment / (math.pi * 22.0**3) == pytest.approx(bending.demand)
    assert 210.0 == bending.capacity


def test_measured_arm_is_worst_where_something_joins() -> None:
    """No place along the measured arm, ends and joints included, is stressed more than the check says."""
    found = context()
    arm = check(by_name(found)["lower arm"], "stress in the measured arm")
    link, section = found.loads.link, tube(42.0, 32.0)
    for place in np.linspace(0.0, float(link.whole.min()), 40):
        stress = section.stress(link.axial(place), link.moment(place), link.torque(place))
        assert float(stress.max()) <= arm.demand * (1 + 1e-9)


def test_drilled_pickup_is_not_assessed_without_its_section() -> None:
    """Nothing is known of the metal: it says so in so many words."""
    found = by_name(moved())[PICKUP]
    assert () == found.checks
    assert any("[steering_arm] is not measured" in item for item in found.not_assessed)
    assert "18.0 mm" in found.changed


def test_drilled_pickup_by_its_measured_section() -> None:
    """Edge, metal between the holes, bearing and the section beside the old hole, by hand."""
    arm = SteeringArm(width=34.0, thickness=16.0, hole=13.0, edge=17.0, material=UNKNOWN)
    found = moved(LoadInputs(assistance=0.0, steering_arm=arm))
    member = by_name(found)[PICKUP]
    force = float(np.abs(found.loads.tie_rod).max())
    assert (19.5, 17.0) == check(member, "edge distance of the new hole")[1:3]
    assert (3.25, 5.0) == check(member, "metal between old and new hole")[1:3]
    bearing = check(member, "bearing of the stud in the hole")
    assert force / (13.0 * 16.0) == pytest.approx(bearing.demand)
    modulus = 16.0 * (34.0**3 - 13.0**3) / (6 * 34.0)
    bending = check(member, "bending of the arm at the old hole")
    assert force * 18.0 / modulus == pytest.approx(bending.demand)
    assert "the weakest of the candidates" in bending.inputs


def test_drilled_pickup_by_the_metal_round_it() -> None:
    """The metal that was measured for the search gives the edge: 30 − 18 ahead, 16 to the side."""
    work = PickupWork("drill", (-18.0, 30.0), (-16.0, 16.0), hole=13.0)
    member = by_name(moved(work=work))[PICKUP]
    assert (19.5, 12.0) == check(member, "edge distance of the new hole")[1:3]
    assert any("section left" in item for item in member.not_assessed)


def test_welded_pickup_is_an_engineers() -> None:
    """No check pretends to know a weld on a knuckle."""
    work = PickupWork("weld", (-20.0, 30.0), (-10.0, 10.0))
    member = by_name(moved(work=work))[PICKUP]
    assert () == member.checks
    assert "an engineer does" in member.not_assessed[0]


def test_joints_say_what_is_not_known() -> None:
    """Angles of joints and pull-out of the ball joint are named with the load that it takes."""
    found = context()
    joints = by_name(found)["ball joints and bushes"]
    assert f"{float(found.loads.ball_joint.max()) / 1000:.1f} kN" in joints.not_assessed[0]
    assert any("[joints]" in item for item in joints.not_assessed)


def measured(**known: Any) -> SizingContext:
    """The car with more of it measured."""
    found = context().solution
    front_end = found.as_modified.front_end
    car = replace(found.job.car, **known)
    modified = replace(found.as_modified, front_end=replace(front_end, car=car))
    return SizingContext(replace(found, job=replace(found.job, car=car), as_modified=modified))


def test_rods_at_hand() -> None:
    """The needed length against the nearer end of the adjustment; out of it the margin is below 1."""
    modified = context().solution.as_modified
    low, high = sorted((modified.left.tie_rod, modified.right.tie_rod))
    name = "adjustment of the tie rods"
    for span, expected in (
        ((low - 50.0, high + 10.0), (high + 10.0) / high),
        ((low - 5.0, high + 80.0), low / (low - 5.0)),
        ((low - 90.0, high - 8.0), (high - 8.0) / high),
        ((low + 8.0, high + 90.0), low / (low + 8.0)),
    ):
        found = check(by_name(measured(tie_rod_range=span))["tie rods"], name)
        assert expected == pytest.approx(found.margin, rel=1e-9)
        assert (expected < 1.0) == (found.reserve < 1.0)
    without = by_name(measured(tie_rod_range=None))["tie rods"]
    assert name not in {item.name for item in without.checks}
    assert "shortest and longest of [tie_rod] are not given" in without.not_assessed[0]


def test_joints_are_bent_as_far_as_the_sweep_bends_them() -> None:
    """Outer joint: the largest angle that the sweep's own measures have, against the limit; unknown ones are named."""
    found = measured(joints=JointLimits(rod_outer=math.radians(25.0)))
    member = by_name(found)["ball joints and bushes"]
    (outer,) = member.checks
    summary = [wheel_summary(found.solution.as_modified.sweep, side).rod_outer for side in TURNS]
    # The other sweep's grid is another; both have lock and full travel, where joints are bent most.
    assert math.degrees(max(summary)) == pytest.approx(outer.demand, rel=0.01)
    assert 25.0 == pytest.approx(outer.capacity)
    assert "rod_inner, ball_joint" in " ".join(member.not_assessed)


def test_thread_of_the_rod_to_buy() -> None:
    """The pull against the stress area of its thread, π/4 (14 − 0.9382·1.5)², and the weakest steel's yield."""
    found = context().solution
    rod = TieRod("long", 300.0, 420.0, "M14x1.5", thread_size=(14.0, 1.5))
    choice = RodChoice((350.0, 350.0), rod, "adjusts to it")
    bought = SizingContext(replace(found, sized=replace(found.sized, tie_rod=choice)))
    named = check(by_name(bought)["tie rods"], "pull in the thread of the rod to buy")
    area = math.pi / 4 * (14.0 - 0.9382 * 1.5) ** 2
    assert area * material(UNKNOWN).yield_strength == pytest.approx(named.capacity, rel=1e-12)
    assert "M14x1.5" in named.inputs
    unmarked = replace(choice, rod=replace(rod, thread="", thread_size=None))
    silent = SizingContext(replace(found, sized=replace(found.sized, tie_rod=unmarked)))
    names = [item.name for item in by_name(silent)["tie rods"].checks]
    assert "pull in the thread of the rod to buy" not in names
