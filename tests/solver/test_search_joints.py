"""Joints and tie rods as limits of the search: against front ends assembled alone."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.car import Freedom, JointLimits, TieRod
from solver.front_end import FrontEnd, points_of
from solver.joints import articulation, limited
from solver.search.tie_rods import choose
from solver.solution import solve
from solver.sweep import rack_sign
from tests.solver.searching import search_job


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


def test_a_joint_is_a_limit_of_the_search() -> None:
    """Where a joint would be bent too far at the wanted lock, another design is found, or the joint is the reason."""
    base = search_job("rear rack", 41.0)
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
    base = search_job("rear rack", 41.0)
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
    none = choose(replace(base, tie_rods=(stiff,)), (rod, rod), False, most)
    assert none.rod is None
    assert f"stiff has an outer joint that bends {math.degrees(most / 2):.0f}°" in none.reason
    assert f"bends {math.degrees(most):.0f}° to each side" in none.reason
