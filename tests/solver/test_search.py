"""The constrained search: its figures against single front ends, its answer against a lattice, its bounds."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Freedom, Goal, Job, JointLimits, Move, PickupWork, TieRod
from solver.clearance import gap, obstacles
from solver.corner import over_centre_angle
from solver.errors import GeometryError
from solver.front_end import FrontEnd, assemble, points_of
from solver.joints import articulation, limited
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    ideal_outer_angle,
    inclination_angle,
    percent_ackermann,
    steer_angle,
)
from solver.search.bars import SAMPLE_PITCH
from solver.search.design import Space, space_of
from solver.search.goals import reserves_of
from solver.search.optimise import KEPT, STEP, _Problem, least_effort
from solver.search.outcome import CONTACT_RACKS, FAR, outcome_of
from solver.search.size import sizings, starts
from solver.search.tie_rods import choose
from solver.solution import solve
from solver.sweep import rack_sign
from solver.vectors import Array
from tests.solver.cars import CARS, job

EVERYTHING = (
    Freedom("ball_joint_drop", 0.0, 20.0),
    Freedom("strut_top_forward", -10.0, 10.0),
    Freedom("strut_top_outward", -10.0, 10.0),
    Freedom("pickup_forward", -10.0, 10.0),
    Freedom("pickup_outward", -8.0, 8.0),
    Freedom("pickup_up", -6.0, 6.0),
    Freedom("rack_forward", -8.0, 8.0),
    Freedom("rack_up", -6.0, 6.0),
)
ANGLE = math.radians(1e-4)
"""What arm angles found to 1e-6 rad leave in any angle, amply."""


def free(name: str, lock: float, *freedoms: Freedom, **goal: Any) -> Job:
    """A job of a test car that frees more than spacer and arms."""
    base = job(CARS[name], lock=math.radians(lock))
    return replace(base, goal=replace(base.goal, **goal), freedoms=freedoms)


def inner_and_outer(front_end: FrontEnd, turn: int, rack: float) -> tuple[Any, Any]:
    """Poses of inner and outer wheel at ride height."""
    side = ("left", "right")[turn]
    poses = front_end.at_ride_height(np.array([rack_sign(front_end, side) * rack]))  # type: ignore[arg-type]
    return poses if turn == 0 else poses[::-1]


@settings(max_examples=25, deadline=None)
@given(
    name=st.sampled_from(list(CARS)),
    shares=st.lists(st.floats(0, 1), min_size=10, max_size=10),
    rack=st.floats(30, 66),
)
def test_figures_are_those_of_the_front_end(name: str, shares: list[float], rack: float) -> None:
    """Every figure of a design is what its front end, assembled alone, measures."""
    space = space_of(free(name, 42.0, *EVERYTHING))
    design = space.low + np.array(shares) * (space.high - space.low)
    outcome = outcome_of(space, np.stack([design, design]), np.array([[rack, rack - 3.0]] * 2))
    front_end = assemble(space.car, space.changes(design))
    radius = front_end.loaded_radius
    assert outcome.wheels.sound.all()
    straight = front_end.at_ride_height(np.zeros(1))
    feet = [axis_on_ground(p, contact_centre(p, radius)[..., 2])[0, 1] for p in straight]
    for turn, at in enumerate((rack, rack - 3.0)):
        inner, outer = inner_and_outer(front_end, turn, at)
        steer = [float(abs(steer_angle(p)[0])) for p in (inner, outer)]
        if math.isfinite(steer[0]):
            assert steer[0] == pytest.approx(outcome.lock[1, turn], abs=ANGLE)
            ideal = ideal_outer_angle(np.array(steer[0]), feet[0] - feet[1], space.car.wheelbase)
            # Percent Ackermann divides by some tenth of a radian.
            assert float(percent_ackermann(*steer, ideal)) == pytest.approx(
                outcome.ackermann[1, turn], abs=0.05
            )
    for i, (pose, assembly) in enumerate(zip(straight, front_end.sides, strict=True)):
        assert float(camber_angle(pose)[0]) == pytest.approx(outcome.camber[1, i], abs=ANGLE)
        assert float(caster_angle(pose)[0]) == pytest.approx(outcome.caster[1, i], abs=ANGLE)
        assert float(inclination_angle(pose)[0]) == pytest.approx(outcome.inclination[1, i], abs=ANGLE)
        assert float(assembly.corner.tie_rod) == pytest.approx(outcome.tie_rod[1, i], abs=2e-3)
        travel = np.array([-space.car.droop_travel, 0.0, space.car.bump_travel])
        toe = steer_angle(front_end.poses(assembly, np.zeros(1), travel))[0]
        assert float(np.ptp(toe)) == pytest.approx(outcome.bump_steer[1, i], abs=ANGLE)
    assert front_end.track == pytest.approx(outcome.track[1], abs=5e-3)


@settings(max_examples=15, deadline=None)
@given(name=st.sampled_from(list(CARS)), extension=st.floats(0, 40), rack=st.floats(40, 60))
def test_margins_and_gaps_are_those_of_the_poses(name: str, extension: float, rack: float) -> None:
    """Margin and gaps of a design are the least over its own poses, as the exact gap finds them."""
    space = space_of(free(name, 42.0))
    design = np.array([0.0, extension])
    outcome = outcome_of(space, design[None], np.array([[rack, rack]]))
    front_end = assemble(space.car, space.changes(design))
    travel = np.array([-space.car.droop_travel, 0.0, space.car.bump_travel])
    tyre = front_end.tyre.grown()
    for turn, side in enumerate(("left", "right")):
        sign = rack_sign(front_end, side)  # type: ignore[arg-type]
        margins, gaps = [], {}
        for assembly in front_end.sides:
            pose = front_end.poses(assembly, sign * rack * np.append(CONTACT_RACKS, 1.0), travel)
            margins.append(float(over_centre_angle(pose)[-1].min()))
            for bar in obstacles(front_end, assembly):
                if bar.fixed_to != "knuckle":
                    least = float(np.nanmin(gap(tyre, bar, pose)))
                    gaps[bar.name] = min(gaps.get(bar.name, FAR), least)
        assert min(margins) == pytest.approx(outcome.over_centre[0, turn], abs=ANGLE)
        for bar_name, least in gaps.items():
            found = float(outcome.gaps[bar_name][0, turn])
            # Samples are never too near, but for what the exact search misses, and beside the nearest point too far by
            # the pitch against the tyre's curvature; where a bar grazes the shoulder, by a share of the pitch.
            assert least - 0.2 <= found <= least + SAMPLE_PITCH / 4


def lattice(space: Space, steps: int) -> Array:
    """All designs on a grid over the bounds."""
    return np.array(list(itertools.product(*(np.linspace(v.low, v.high, steps) for v in space.variables))))


@pytest.mark.parametrize(
    ("name", "lock", "freedoms"),
    [
        ("rear rack", 42.0, ()),
        ("front rack", 44.0, ()),
        ("rear rack", 41.0, (Freedom("pickup_forward", 0.0, 10.0),)),
        ("front rack", 42.0, (Freedom("pickup_forward", -10.0, 0.0),)),
    ],
)
def test_no_lattice_point_takes_less(name: str, lock: float, freedoms: tuple[Freedom, ...]) -> None:
    """Nothing on a fine grid over the same bounds reaches the goal with less effort than the design found."""
    space = space_of(free(name, lock, *freedoms))
    found = min((least_effort(space, start) for start in starts(space)), key=lambda f: (f.short, f.effort))
    assert found.short < 0.02
    assert not found.broken
    efforts = np.array([v.effort for v in space.variables])
    table = lattice(space, 9 if len(space.variables) > 2 else 25)
    table = table[np.abs(table) @ efforts < found.effort - 0.5]
    for racks in np.linspace(found.racks.min() - 10.0, found.racks.max() + 4.0, 15):
        for part in np.array_split(table, max(1, len(table) // 60)):
            both, others = reserves_of(space, part, np.full((len(part), 2), racks))
            kept = np.stack([r.left for r in (*both, *others)]).min(axis=0)
            # A tenth of a millimetre or degree is what a step may break a limit by.
            assert kept.max(initial=-1.0) < 0.1


def test_slopes() -> None:
    """The slopes that the search goes by are those of central differences."""
    space = space_of(free("rear rack", 42.0, *EVERYTHING[:5]))
    unknowns = np.concatenate([(space.low + space.high) / 2, [61.0, 62.0]])
    problem = _Problem(space)
    _, slopes, _, _ = problem.at(unknowns)
    for i in range(len(unknowns)):
        ahead, behind = unknowns.copy(), unknowns.copy()
        ahead[i] += 10 * STEP
        behind[i] -= 10 * STEP
        central = (problem.at(ahead)[0] - problem.at(behind)[0]) / (20 * STEP)
        # One-sided over 0.01 mm against central over 0.2 mm: curvature and a change of the nearest sample.
        assert slopes[:, i] == pytest.approx(central, abs=0.03)


@pytest.mark.parametrize("name", CARS)
def test_bounds_are_kept(name: str) -> None:
    """Whatever is asked for, every change stays between its bounds and what is fixed stays as it is."""
    freedoms = (Freedom("ball_joint_drop", 0.0, 12.0), Freedom("strut_top_outward", -6.0, 0.0))
    base = free(name, 85.0, *freedoms)
    base = replace(base, fixed=replace(base.fixed, pickup_move=Move(forward=2.0)))
    for sized in itertools.islice(sizings(base), 3):
        changes = sized.changes
        assert 0.0 <= changes.ball_joint_drop <= 12.0
        assert -6.0 <= changes.strut_top_shift.outward <= 0.0
        assert 0.0 <= changes.arm_extension <= base.goal.max_arm_extension
        assert Move(forward=2.0) == changes.pickup_move
        assert sized.short > 0


@pytest.mark.parametrize("name", CARS)
def test_goals_are_met_by_the_front_end(name: str) -> None:
    """Caster, camber, Ackermann and bump steer that were asked for are those of the final, rounded front end."""
    plain = solve(free(name, 40.0)).as_modified
    wish = {
        "least_caster": min(plain.left.caster, plain.right.caster) + math.radians(0.4),
        "bump_steer": math.radians(6.0),
    }
    freedoms = (Freedom("strut_top_forward", -15.0, 15.0), Freedom("strut_top_outward", -10.0, 10.0))
    solution = solve(free(name, 40.0, *freedoms, **wish))
    assert solution.goal_met, solution.answer
    state = solution.as_modified
    assert min(state.left.caster, state.right.caster) >= wish["least_caster"] - math.radians(KEPT)
    assert solution.changes.strut_top_shift.forward < 0


def test_conflicting_goals_name_the_culprit() -> None:
    """Where two wishes can't be had together, the answer names what is missed and by how much."""
    base = free("rear rack", 38.0, least_caster=math.radians(19.0))
    answer = solve(base).answer or ""
    assert "caster" in answer
    assert "is missed by" in answer
    assert "[may_change]" in answer


def test_pickup_keeps_its_edge() -> None:
    """A drilled pickup keeps 1.2 diameters of metal round it; metal that is too narrow is told with its numbers."""
    work = PickupWork("drill", (-20.0, 30.0), (-18.0, 18.0), hole=12.0)
    base = replace(free("rear rack", 44.0), pickup=work)
    bounds = {v.name: (v.low, v.high) for v in space_of(base).variables}
    assert (-20 + 1.2 * 12, 30 - 1.2 * 12) == pytest.approx(bounds["pickup_forward"])
    assert (-18 + 1.2 * 12, 18 - 1.2 * 12) == pytest.approx(bounds["pickup_outward"])
    assert "pickup_up" not in bounds
    with pytest.raises(GeometryError, match=r"needs 14\.4 mm of metal .* metal_outward is 20\.0 mm"):
        space_of(replace(base, pickup=replace(work, outward=(-10.0, 10.0))))


def test_top_goes_to_one_of_its_places() -> None:
    """A strut top that a swapped plate moves goes to one of the plate's places or stays."""
    places = ((-12.0, 0.0), (12.0, 0.0))
    base = replace(free("rear rack", 38.0), top_places=places)
    caster = solve(free("rear rack", 38.0)).as_modified.left.caster
    wish = replace(base, goal=replace(base.goal, least_caster=caster + math.radians(0.8)))
    solution = solve(wish)
    assert solution.goal_met, solution.answer
    top = solution.changes.strut_top_shift
    assert (top.forward, top.outward) in places
    assert Move() == solve(base).changes.strut_top_shift


def test_tie_rods() -> None:
    """Of the rods listed the one that adjusts to the design is taken; if none does, the length to look for is told."""
    base = free("rear rack", 41.0)
    rod = float(solve(base).as_modified.left.tie_rod)
    rods = (
        TieRod("short", rod - 60, rod - 20),
        TieRod("right", rod - 15, rod + 25),
        TieRod("long", rod + 90, rod + 130),
    )
    sized = solve(replace(base, tie_rods=rods)).sized
    assert sized.tie_rod is not None
    assert sized.tie_rod.rod is not None
    assert "right" == sized.tie_rod.rod.name
    tapered = tuple(replace(r, taper="1:8") for r in rods)
    told = choose(replace(base, tie_rods=tapered, pickup_taper="1:10"), np.array([rod, rod]), 0.1)
    assert told.rod is None
    assert f"look for one that adjusts to {rod:.0f} mm with a 1:10 taper" in told.reason
    drilled = replace(base, tie_rods=tapered, pickup_taper="1:10", pickup=PickupWork("weld", (0, 5), (0, 5)))
    assert choose(drilled, np.array([rod, rod]), 0.1).rod is not None


def bent_at_lock(front_end: FrontEnd, racks: tuple[float, float]) -> dict[str, float]:
    """Most by which each joint of either wheel is bent with the rack at both places and centred."""
    travel = np.linspace(-front_end.car.droop_travel, front_end.car.bump_travel, 3)
    rack = np.array([0.0, rack_sign(front_end, "left") * racks[0], rack_sign(front_end, "right") * racks[1]])
    found: dict[str, float] = {}
    for assembly in front_end.sides:
        pose = front_end.poses(assembly, rack, travel)
        bent = articulation(points_of(front_end.car, assembly.side), pose)
        for name, _, angle in limited(JointLimits(1.0, 1.0, 1.0), bent, pose):
            found[name] = max(found.get(name, 0.0), float(np.nanmax(angle)))
    return found


@pytest.mark.parametrize("name", CARS)
def test_joint_angles_are_those_of_the_front_end(name: str) -> None:
    """What a design's joints have left is what its front end, assembled alone, leaves of their limits."""
    base = free(name, 42.0, *EVERYTHING)
    limits = JointLimits(rod_inner=0.5, rod_outer=0.6, ball_joint=0.7)
    space = space_of(replace(base, car=replace(base.car, joints=limits)))
    design = space.low + 0.7 * (space.high - space.low)
    outcome = outcome_of(space, design[None], np.array([[44.0, 41.0]]))
    bent = bent_at_lock(assemble(space.car, space.changes(design)), (44.0, 41.0))
    for (joint, most), limit in zip(bent.items(), (0.5, 0.6, 0.7), strict=True):
        assert limit - most == pytest.approx(float(outcome.joints[joint].min()), abs=ANGLE)


def test_a_joint_is_a_limit_of_the_search() -> None:
    """Where a joint would be bent too far at the wanted lock, another design is found, or the joint is the reason."""
    base = free("rear rack", 41.0)
    plain = solve(base)
    racks = plain.as_modified.left_turn.rack, plain.as_modified.right_turn.rack
    most = bent_at_lock(plain.as_modified.front_end, racks)["inner tie-rod joint"]
    tight = replace(base, car=replace(base.car, joints=JointLimits(rod_inner=most - math.radians(1.0))))
    held = solve(tight)
    assert not held.goal_met
    assert held.answer is not None
    assert "inner tie-rod joint" in held.answer
    moved = replace(tight, freedoms=(Freedom("rack_forward", -25.0, 25.0), Freedom("rack_up", -25.0, 25.0)))
    freed = solve(moved)
    assert freed.as_modified.lock > held.as_modified.lock + math.radians(0.5)


def test_a_rod_whose_joint_leans_too_little_is_passed_over() -> None:
    """Of two rods of one length the one is taken whose joint allows the bend; without it that bend is told."""
    base = free("rear rack", 41.0)
    plain = solve(base).as_modified
    rod = float(plain.left.tie_rod)
    most = bent_at_lock(plain.front_end, (plain.left_turn.rack, plain.right_turn.rack))["outer tie-rod joint"]
    stiff = TieRod("stiff", rod - 15, rod + 15, articulation=most / 2)
    supple = TieRod("supple", rod - 10, rod + 20, thread="M14x1.5", articulation=most + math.radians(2.0))
    chosen = solve(replace(base, tie_rods=(stiff, supple)))
    assert chosen.sized.tie_rod is not None
    assert chosen.sized.tie_rod.rod is not None
    assert "supple" == chosen.sized.tie_rod.rod.name
    assert "M14x1.5 thread" in chosen.sized.tie_rod.reason
    assert chosen.as_modified.front_end.car.joints == JointLimits(rod_outer=supple.articulation)
    none = choose(replace(base, tie_rods=(stiff,)), np.array([rod, rod]), most)
    assert none.rod is None
    assert f"the outer joint of stiff allows {math.degrees(most / 2):.1f}° to each side" in none.reason
    assert f"leans by {math.degrees(most):.1f}° to each side" in none.reason


def test_given_tie_rod_is_searched_with() -> None:
    """A job that fixes the tie rods' length is searched with that length, whatever it does to toe."""
    base = free("rear rack", 40.0)
    measured = float(assemble(base.car, base.fixed).left.corner.tie_rod)
    fixed = replace(base, fixed=replace(base.fixed, tie_rod_length=measured + 3.0))
    space = space_of(fixed)
    outcome = outcome_of(space, np.zeros((1, 2)), np.full((1, 2), 60.0))
    assert outcome.tie_rod == pytest.approx(measured + 3.0)
    front_end = assemble(base.car, fixed.fixed)
    for turn in range(2):
        inner, _ = inner_and_outer(front_end, turn, 60.0)
        assert float(abs(steer_angle(inner)[0])) == pytest.approx(outcome.lock[0, turn], abs=ANGLE)


@pytest.mark.parametrize("lock", [10.0, 85.0])
@pytest.mark.parametrize("name", CARS)
def test_odd_jobs_have_an_answer(name: str, lock: float) -> None:
    """Nothing to keep clear of, no thread to spare, no arm to lengthen: an answer all the same."""
    car: Car = replace(CARS[name], keep_clear=(), rack=replace(CARS[name].rack, stud_engaged=10.0))
    goal: Goal = replace(job(car).goal, lock=math.radians(lock), max_arm_extension=0.0)
    solution = solve(replace(job(car), goal=goal))
    assert solution.goal_met == (lock < 30)
    assert 0.0 == solution.changes.rack_spacer
