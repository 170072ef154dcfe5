"""What else a job asks for: had on the final front end, in sizes that can be had, or named with what is missed."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Changes, Goal, Job, VariableName
from solver.front_end import FrontEnd, assemble
from solver.measures import inclination_angle, steer_angle
from solver.roots import bracketed_root
from solver.search.optimise import COUNTS
from solver.solution import Solution, solve
from tests.solver.cars import CARS, REAR
from tests.solver.searching import JOINTS, search_job, straight_ahead, turned, with_joints

COUNTED = math.radians(COUNTS) + 1e-5
"""What may be missed and not be told, with what the search's arm angles leave, rad."""


def ackermann_at(front_end: FrontEnd, lock: float) -> list[float]:
    """Percent Ackermann of both turns with the inner wheel at a lock, rad."""
    found = []
    for turn in ("left", "right"):

        def short(rack: np.ndarray, turn: Any = turn) -> np.ndarray:
            return np.abs(steer_angle(front_end.inner_wheel(turn, rack))) - lock

        rack = float(bracketed_root(short, np.array([1.0]), np.array([front_end.rack_stop]))[0])
        found.append(turned(front_end, turn, rack).ackermann)  # type: ignore[arg-type]
    return found


def misses(goal: Goal, front_end: FrontEnd) -> list[str]:
    """What of a goal a front end assembled alone doesn't give, lock apart."""
    found = []
    state = straight_ahead(front_end)
    measured = [
        float(inclination_angle(p)[0]) for p in assemble(front_end.car, Changes()).at_ride_height(np.zeros(1))
    ]
    if goal.track is not None and front_end.track < goal.track - COUNTS:
        found.append("track")
    if goal.camber is not None and (
        state["camber"].min() < goal.camber[0] - COUNTED or state["camber"].max() > goal.camber[1] + COUNTED
    ):
        found.append("camber")
    if goal.least_caster is not None and state["caster"].min() < goal.least_caster - COUNTED:
        found.append("caster")
    if goal.inclination_kept is not None and np.any(
        np.abs(state["inclination"] - measured) > goal.inclination_kept + COUNTED
    ):
        found.append("inclination")
    if goal.bump_steer is not None and state["bump_steer"].max() > goal.bump_steer + COUNTED:
        found.append("bump steer")
    if goal.ackermann is not None:
        each = ackermann_at(front_end, goal.lock)
        # A few thousandths of a degree of lock, of which a percent is about a tenth.
        if min(each) < goal.ackermann[0] - 0.05 or max(each) > goal.ackermann[1] + 0.05:
            found.append("Ackermann")
    return found


@pytest.mark.parametrize(
    ("name", "lock", "names", "goal"),
    [
        ("rear rack", 41.0, (), {"track": 1515.0}),
        ("front rack", 41.0, ("strut_top_outward",), {"camber": (math.radians(-2.6), math.radians(-1.4))}),
        ("rear rack", 41.0, ("strut_top_forward",), {"least_caster": math.radians(6.0)}),
        (
            "rear rack",
            44.0,
            ("strut_top_outward", "ball_joint_drop"),
            {"inclination_kept": math.radians(0.3)},
        ),
        ("front rack", 43.0, ("rack_up", "pickup_up"), {"bump_steer": math.radians(1.2)}),
        ("rear rack", 44.0, ("pickup_outward", "pickup_forward"), {"ackermann": (44.0, 50.0)}),
        ("front rack", 41.0, ("pickup_outward", "rack_forward"), {"ackermann": (35.0, 45.0)}),
        (
            *("rear rack", 42.0, ("strut_top_forward", "strut_top_outward", "rack_up")),
            {
                "least_caster": math.radians(5.8),
                "camber": (math.radians(-3), 0.0),
                "bump_steer": math.radians(3),
            },
        ),
    ],
)
def test_wishes_are_had(
    name: str, lock: float, names: tuple[VariableName, ...], goal: dict[str, Any]
) -> None:
    """What is asked for and said to be met is had by the final front end, assembled alone with its rounded sizes; and
    the job would miss it without the changes that are made for it."""
    base = search_job(name, lock, *names, **goal)
    solution = solve(base)
    assert solution.goal_met, solution.answer
    assert [] == misses(base.goal, assemble(base.car, solution.changes))
    assert solution.as_modified.lock >= base.goal.lock - 1e-6
    plain = solve(search_job(name, lock))
    assert [] != misses(base.goal, assemble(base.car, plain.changes))


@settings(max_examples=15)
@given(st.data())
def test_answer_is_the_front_ends(data: st.DataObject) -> None:
    """Whatever is asked for, the goal is met exactly where the final front end, assembled alone, gives all of it."""
    name = data.draw(st.sampled_from(sorted(CARS)))
    names: list[VariableName] = data.draw(
        st.lists(
            st.sampled_from(
                ("strut_top_forward", "strut_top_outward", "pickup_outward", "pickup_up", "rack_up")
            ),
            max_size=3,
            unique=True,
        )
    )
    wishes: dict[str, Any] = {
        "track": st.floats(1480.0, 1560.0),
        "camber": st.floats(-4.0, 1.0).map(lambda x: (math.radians(x), math.radians(x + 0.7))),
        "least_caster": st.floats(2.0, 8.0).map(math.radians),
        "inclination_kept": st.floats(0.05, 1.0).map(math.radians),
        "bump_steer": st.floats(0.5, 5.0).map(math.radians),
        "ackermann": st.floats(0.0, 70.0).map(lambda x: (x, x + 8.0)),
    }
    chosen = data.draw(st.lists(st.sampled_from(sorted(wishes)), max_size=2, unique=True))
    goal = {wish: data.draw(wishes[wish]) for wish in chosen}
    base = search_job(name, data.draw(st.floats(36.0, 50.0)), *names, **goal)
    solution = solve(base)
    front_end = assemble(base.car, solution.changes)
    reached = solution.as_modified.lock >= base.goal.lock - 1e-6
    missed = misses(base.goal, front_end) if reached else ["lock"]
    assert (solution.answer is None) == solution.goal_met
    # A miss by a hair less than counts may be told or not.
    if solution.goal_met:
        assert [] == missed, solution.answer
    elif not missed:
        near = misses(_tightened(base.goal), front_end)
        assert near or solution.sized.short > 0, solution.answer


def _tightened(goal: Goal) -> Goal:
    """The goal asking for a little more than it does, so that what is hardly met counts as missed."""
    hair = 1.5 * COUNTED
    return replace(
        goal,
        track=None if goal.track is None else goal.track + 2 * COUNTS,
        camber=None if goal.camber is None else (goal.camber[0] + hair, goal.camber[1] - hair),
        least_caster=None if goal.least_caster is None else goal.least_caster + hair,
        inclination_kept=None if goal.inclination_kept is None else goal.inclination_kept - hair,
        bump_steer=None if goal.bump_steer is None else goal.bump_steer - hair,
        ackermann=None if goal.ackermann is None else (goal.ackermann[0] + 0.1, goal.ackermann[1] - 0.1),
    )


def said_to_miss(solution: Solution) -> dict[str, float]:
    """What the answer says is missed, and by how much."""
    found = re.findall(r"([\w ,%-]+?(?: \(\w+(?: turn)?\))?) is missed by (\d+\.\d+) ", solution.answer or "")
    return {name.strip(): float(amount) for name, amount in found}


def test_culprits_are_named_with_amounts() -> None:
    """A wish that no change within the bounds gives is named with what the front end lacks of it."""
    base = search_job("rear rack", 40.0, "strut_top_forward", least_caster=math.radians(9.0))
    solution = solve(base)
    assert not solution.goal_met
    lacking = math.degrees(math.radians(9.0) - solution.as_modified.left.caster)
    assert {"caster (left)": lacking, "caster (right)": lacking} == pytest.approx(
        {k.replace("this job allows: ", ""): v for k, v in said_to_miss(solution).items()},
        abs=0.051,  # told to a tenth
    ) or "caster (left)" in (solution.answer or "")
    assert "[may_change]" in (solution.answer or "")
    assert -10.0 == solution.changes.strut_top_shift.forward


def test_two_wishes_that_exclude_each_other() -> None:
    """Of two wishes that can't be had together both or the one given up are named; easing the one named cures it."""
    # Top outward for less camber, inward for more inclination kept: both by one variable.
    goal = {"camber": (math.radians(-0.9), math.radians(-0.5)), "track": 1540.0}
    base = search_job("rear rack", 40.0, **goal)
    solution = solve(base)
    assert not solution.goal_met
    named = " ".join(b.name for b in solution.sized.broken)
    assert "camber" in named or "track" in named
    eased = replace(base.goal, camber=None) if "camber" in named else replace(base.goal, track=None)
    assert solve(replace(base, goal=eased)).goal_met


def test_lock_that_a_wish_holds_back() -> None:
    """Where lock would be had but not with what else is asked for, the answer says so, names it, and its nearest goal
    is met when asked for."""
    base = replace(search_job("rear rack", 42.0, ackermann=(0.0, 21.0)), extension_given=True)
    solution = solve(base)
    assert not solution.goal_met
    assert "42.0° of lock is out of reach together with the rest that is asked for" in (solution.answer or "")
    assert "percent Ackermann, at most" in (solution.answer or "")
    said = re.search(
        r"nearest goal in reach with the changes of this job is (\d+\.\d)°", solution.answer or ""
    )
    assert said, solution.answer
    nearer = replace(base, goal=replace(base.goal, lock=math.radians(float(said[1]))))
    again = solve(nearer)
    assert again.goal_met, again.answer
    assert [] == misses(nearer.goal, assemble(base.car, again.changes))


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("names", [(), ("pickup_forward", "strut_top_outward")])
def test_unreachable_lock(name: str, names: tuple[VariableName, ...]) -> None:
    """A lock out of reach is answered with what holds it, and the nearest goal, which is met when asked for."""
    base = search_job(name, 70.0, *names)
    solution = solve(base)
    assert not solution.goal_met
    assert "What holds it there: " in (solution.answer or "")
    said = re.search(r"nearest goal .* is (\d+\.\d)°", solution.answer or "")
    assert said
    assert (
        math.degrees(solution.as_modified.lock) - 0.1
        <= float(said[1])
        <= math.degrees(solution.as_modified.lock)
    )
    again = solve(replace(base, goal=replace(base.goal, lock=math.radians(float(said[1])))))
    assert again.goal_met, again.answer


@pytest.mark.parametrize("name", CARS)
def test_joints_are_kept_within_their_limits(name: str) -> None:
    """A joint that would bind ends the lock that can be had, and is named; freed changes get round it."""
    car = with_joints(CARS[name])
    base: Job = replace(search_job(name, 46.0), car=car)
    bound = replace(JOINTS, rod_outer=math.radians(15.0))
    tight = replace(base, car=replace(car, joints=bound))
    solution = solve(tight)
    for turn in (solution.as_modified.left_turn, solution.as_modified.right_turn):
        # Between two of the sweep's racks the angle is taken as straight.
        assert turn.lock <= math.radians(46.0) or solution.goal_met
    if not solution.goal_met:
        assert "joint" in (solution.answer or "")
    assert solve(base).goal_met


def test_wishes_met_without_change_cost_nothing() -> None:
    """Wishes that the car meets as it stands change nothing."""
    base = search_job(
        *("rear rack", 33.0, "strut_top_forward", "pickup_up"),
        least_caster=math.radians(1.0),
        bump_steer=math.radians(8.0),
        inclination_kept=math.radians(2.0),
    )
    solution = solve(base)
    assert solution.goal_met
    assert Changes() == solution.changes
    assert REAR == solution.job.car
