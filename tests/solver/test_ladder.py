"""The ladder: its rungs against single sizings, the bare car, and what a job decides or frees."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from solver.car import Changes, Freedom, Job, Move
from solver.front_end import assemble
from solver.search.ladder import WORTHWHILE, ladder
from solver.solution import solve
from solver.state import state_of
from tests.solver.cars import CARS, job

SHORT = 1.7
"""Degrees by which a rung may be short of what a sizing finds with the same freedoms: it is searched for in steps of
two millimetres and half a degree."""


def asking(name: str, lock: float) -> Job:
    """A job of a test car that leaves spacer and arms open."""
    return job(CARS[name], lock=math.radians(lock))


@pytest.mark.parametrize("name", CARS)
def test_first_rung_is_the_car_as_it_stands(name: str) -> None:
    """Nothing changed: the lock of the car as measured, at the first limit of its full sweep."""
    base = asking(name, 45.0)
    first = ladder(base)[0]
    measured = state_of(assemble(base.car, Changes()), base.goal, bracket=False)
    assert "nothing changed" == first.title
    assert {} == first.changes
    assert not first.load_path
    # The rungs look at few poses and are told to a tenth.
    assert first.lock == pytest.approx(math.degrees(measured.lock), abs=0.15)


@pytest.mark.parametrize("name", CARS)
def test_each_rung_brings_something(name: str) -> None:
    """Rungs rise by what is worth the work, and each tells work that earlier ones didn't take."""
    found = ladder(asking(name, 45.0))
    for before, after in itertools.pairwise(found):
        assert after.lock >= before.lock + WORTHWHILE - 0.2
        assert after.load_path
        assert set(before.parts) <= set(after.parts)
    assert len(found) == len({rung.title for rung in found})


@pytest.mark.parametrize("name", CARS)
def test_a_sizing_gets_as_far_as_its_rung_and_hardly_farther(name: str) -> None:
    """With what a rung frees the lock just below it can be sized; well above the farthest rung nothing can."""
    freed = (Freedom("pickup_forward", -12.0, 12.0), Freedom("rack_forward", -8.0, 8.0))
    base = replace(asking(name, 45.0), freedoms=freed)
    last = ladder(base)[-1]

    def asked(lock: float) -> Job:
        return replace(base, goal=replace(base.goal, lock=math.radians(lock)))

    below = solve(asked(last.lock - 0.5)).as_modified
    assert last.lock - 0.5 <= math.degrees(below.lock) + 0.1
    above = solve(asked(last.lock + 3.0))
    assert not above.goal_met
    assert math.degrees(above.as_modified.lock) < last.lock + SHORT


def test_what_is_decided_is_a_rung_at_its_size() -> None:
    """A move that the job fixes is work of its own, at the size that was decided."""
    base = asking("rear rack", 45.0)
    decided = replace(base, fixed=replace(base.fixed, pickup_move=Move(forward=9.0)))
    (moved,) = [rung for rung in ladder(decided) if rung.decided]
    assert 9.0 == moved.changes["pickup forward"]


def test_only_what_is_freed_is_tried() -> None:
    """A job that frees one thing beside spacer and arms is shown no other."""
    freed = replace(asking("front rack", 45.0), freedoms=(Freedom("rack_up", -10.0, 10.0),))
    tried = {label for rung in ladder(freed) for label in rung.changes}
    assert tried <= {"rack spacer", "arm extension", "rack up"}


def test_whether_the_goal_is_met() -> None:
    """A goal below a rung's lock is met by it, one above isn't."""
    found = ladder(asking("rear rack", 45.0))
    between = (found[0].lock + found[1].lock) / 2
    met = [rung.meets_goal for rung in ladder(asking("rear rack", between))]
    assert [False] + [True] * (len(met) - 1) == met
    assert not any(rung.meets_goal for rung in ladder(asking("rear rack", 84.0)))
