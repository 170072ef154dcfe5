"""The first sizing is the least that does it, and a goal out of reach is answered."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from solver.car import Car, Changes, Job, StopMount
from solver.front_end import STOP_BEFORE_RACK
from solver.solution import Solution, solve
from solver.stock import plate_thicknesses, step
from tests.solver.cars import CARS, FRONT, INCH, REAR, job

LOCKS = (38.0, 41.0, 44.0)


def with_changes(base: Job, **changes: Any) -> Job:
    """The job with spacer and extension fixed by the builder."""
    fixed = replace(base.fixed, **changes)
    return replace(base, fixed=fixed, spacer_given=True, extension_given=True)


def met(solution: Solution) -> bool:
    """Whether lock and clearances are had both ways, without asking the answer."""
    return solution.as_modified.lock >= solution.job.goal.lock - 1e-6


def with_stops(car: Car) -> Car:
    """The car with a place for a stop bracket on both arms."""
    mounts = tuple(
        StopMount((0.0, y * 580.0, 200.0), (0.0, 0.0, 1.0), (-40.0, y * 640.0, 210.0), "weld", side)  # type: ignore[arg-type]
        for side, y in (("left", 1), ("right", -1))
    )
    return replace(car, stop_mounts=mounts)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("lock", LOCKS)
@pytest.mark.parametrize("name", CARS)
def test_least_that_does_it(name: str, lock: float, units: str) -> None:
    """The sized changes meet the goal, and neither one plate thinner nor one step shorter do."""
    base = replace(job(CARS[name], lock=math.radians(lock)), stock_units=units)
    solution = solve(base)
    assert solution.goal_met
    assert met(solution)
    spacer, extension = solution.changes.rack_spacer, solution.changes.arm_extension
    plates = (0.0, *plate_thicknesses(units))  # type: ignore[arg-type]
    assert spacer in plates
    steps = extension / step(units)  # type: ignore[arg-type]
    assert round(steps) == pytest.approx(steps, abs=1e-9)
    assert met(solve(with_changes(base, rack_spacer=spacer, arm_extension=extension)))
    if spacer > 0:
        thinner = plates[plates.index(spacer) - 1]
        assert not met(solve(with_changes(base, rack_spacer=thinner, arm_extension=extension)))
    if extension > 0:
        shorter = extension - step(units)  # type: ignore[arg-type]
        assert not met(solve(with_changes(base, rack_spacer=spacer, arm_extension=shorter)))


def test_both_are_sized() -> None:
    """Among the goals tried there are some that need a spacer and some that need an extension as well."""
    found = [
        solve(job(car, lock=math.radians(lock))).changes for car in CARS.values() for lock in (38, 44, 48)
    ]
    assert any(changes.rack_spacer == 0 for changes in found)
    assert any(changes.rack_spacer > 0 and changes.arm_extension == 0 for changes in found)
    assert any(changes.rack_spacer > 0 and changes.arm_extension > 0 for changes in found)


@pytest.mark.parametrize("name", CARS)
def test_room_for_a_stop_bracket(name: str) -> None:
    """With a stop bracket the lock must be had a millimetre before the rack's stop, which may take more spacer."""
    base = job(with_stops(CARS[name]), lock=math.radians(41))
    solution = solve(base)
    assert solution.goal_met
    for turn in (solution.as_modified.left_turn, solution.as_modified.right_turn):
        assert turn.rack <= solution.as_modified.front_end.rack_stop - STOP_BEFORE_RACK
    without = solve(job(CARS[name], lock=math.radians(41)))
    assert solution.changes.rack_spacer >= without.changes.rack_spacer


@pytest.mark.parametrize("stops", [False, True])
@pytest.mark.parametrize(("lock", "name"), [(50.0, "rear rack"), (56.0, "front rack"), (80.0, "rear rack")])
def test_lock_out_of_reach(name: str, lock: float, stops: bool) -> None:
    """The answer names the limit that stops it, how far short, and the nearest goal: which is met when asked for."""
    car = with_stops(CARS[name]) if stops else CARS[name]
    base = job(car, lock=math.radians(lock))
    solution = solve(base)
    assert not solution.goal_met
    assert not met(solution)
    answer = solution.answer or ""
    worst = min((solution.as_modified.left_turn, solution.as_modified.right_turn), key=lambda turn: turn.lock)
    reached = math.degrees(worst.lock)
    assert f"{lock:.1f}° of lock is out of reach" in answer
    assert worst.first_limit.name in answer or "the rack's stop" in answer
    assert f"{lock - reached:.1f}° short" in answer
    said = re.search(r"nearest goal .* is (\d+\.\d)°", answer)
    assert said
    nearest = float(said[1])
    # A tenth of a degree is what is said, rounded down.
    assert reached - 0.1 <= nearest <= reached
    again = solve(replace(base, goal=replace(base.goal, lock=math.radians(nearest))))
    assert again.goal_met, again.answer


@pytest.mark.parametrize("spacer", [0.0, 4.0])
@pytest.mark.parametrize("name", CARS)
def test_no_other_extension_gives_more(name: str, spacer: float) -> None:
    """Where a given spacer ends the lock before the goal, no arm extension that may be had gives more of it."""
    base = job(CARS[name], lock=math.radians(55))
    base = replace(base, fixed=replace(base.fixed, rack_spacer=spacer), spacer_given=True)
    solution = solve(base)
    assert not solution.goal_met
    assert spacer == solution.changes.rack_spacer
    assert "rack stop" == solution.as_modified.left_turn.first_limit.name
    for extension in np.arange(0.0, 61.0, 10.0):
        other = solve(with_changes(base, rack_spacer=spacer, arm_extension=float(extension)))
        # A tenth of a degree is what the search's coarse grid may mistake.
        assert other.as_modified.lock <= solution.as_modified.lock + math.radians(0.1)


def test_extension_at_its_most() -> None:
    """Where the builder's greatest extension leaves the tyre on the rail, the answer says what more would bring."""
    base = job(REAR, lock=math.radians(44), max_arm_extension=4.0)
    solution = solve(base)
    assert not solution.goal_met
    assert 4.0 == solution.changes.arm_extension
    assert "tyre on rail comes first" in (solution.answer or "")
    said = re.search(
        r"most arm extension of 4 mm \(a millimetre more would bring (\d\.\d\d)°\)", solution.answer or ""
    )
    assert said
    more = solve(job(REAR, lock=math.radians(44), max_arm_extension=5.0)).as_modified.lock
    # A slope against a difference, and the lock is told to a hundredth.
    assert math.degrees(more - solution.as_modified.lock) == pytest.approx(float(said[1]), rel=0.15)


def test_spacer_at_its_most() -> None:
    """The thickest spacer leaves one stud diameter of thread, and no thicker one is sized."""
    solution = solve(job(REAR, lock=math.radians(60)))
    rack = REAR.rack
    assert rack.stud_engaged - solution.changes.rack_spacer >= rack.stud_diameter
    thicker = min(t for t in plate_thicknesses("mm") if t > solution.changes.rack_spacer)
    assert rack.stud_engaged - thicker < rack.stud_diameter


@pytest.mark.parametrize("name", CARS)
def test_track(name: str) -> None:
    """A wished track is had with the shortest extension; one out of reach is answered with what is had."""
    measured = solve(job(CARS[name], lock=math.radians(36))).as_measured.track
    base = job(CARS[name], lock=math.radians(36), track=measured + 40.0)
    solution = solve(base)
    assert solution.goal_met
    assert solution.as_modified.track >= measured + 40.0
    shorter = solution.changes.arm_extension - 1.0
    assert solve(with_changes(base, arm_extension=shorter)).as_modified.track < measured + 40.0
    beyond = solve(job(CARS[name], lock=math.radians(36), track=measured + 400.0))
    said = re.search(r"track is missed by (\d+\.\d) mm", beyond.answer or "")
    assert said
    # What the search finds in rounded numbers against the exact front end.
    assert float(said[1]) == pytest.approx(measured + 400.0 - beyond.as_modified.track, abs=1.0)
    assert 60.0 == beyond.changes.arm_extension


def test_tyre_on_the_strut() -> None:
    """A tyre too close to the strut is answered: an offset lower by what is said, in whole mm, cures it."""
    inwards = replace(REAR.wheel, offset=REAR.wheel.offset + 10.0)
    base = job(REAR, lock=math.radians(36))
    solution = solve(replace(base, fixed=Changes(wheel=inwards)))
    assert not solution.goal_met
    said = re.search(
        r"tyre is (-?\d+\.\d) mm from the strut tube .* an offset (\d+(?:\.\d)?) mm lower",
        solution.answer or "",
    )
    assert said
    assert float(said[1]) == pytest.approx(solution.as_modified.left.strut_gap, abs=0.05)
    lower = replace(inwards, offset=inwards.offset - math.ceil(float(said[2])))
    assert solve(replace(base, fixed=Changes(wheel=lower))).goal_met


def test_given_changes_are_kept() -> None:
    """Spacer and extension given by the builder stay, whether the goal needs them or not."""
    solution = solve(with_changes(job(FRONT, lock=math.radians(30)), rack_spacer=3.0, arm_extension=12.5))
    assert (3.0, 12.5) == (solution.changes.rack_spacer, solution.changes.arm_extension)
    assert "given in the job file" in solution.sized.spacer_reason
    assert "given in the job file" in solution.sized.extension_reason


@pytest.mark.parametrize("name", CARS)
def test_states(name: str) -> None:
    """As measured is the car without changes; turns lock to lock are the rack's travel by its travel a turn."""
    solution = solve(job(CARS[name], lock=math.radians(41)))
    measured, modified = solution.as_measured, solution.as_modified
    assert Changes() == measured.front_end.changes
    assert solution.changes == modified.front_end.changes
    for state in (measured, modified):
        travel = state.left_turn.rack + state.right_turn.rack
        assert travel / CARS[name].rack.travel_per_turn == pytest.approx(state.turns_lock_to_lock)
        for turn in (state.left_turn, state.right_turn):
            assert turn.outer < turn.lock
            assert turn.ideal_outer < turn.lock
            assert 0 < turn.over_centre < math.pi / 2
            assert turn.over_centre_travel > 0
    assert measured.left_turn.rack == pytest.approx(CARS[name].rack.travel_each_side)
    assert modified.lock > measured.lock


def test_symmetric_car_has_symmetric_answers() -> None:
    """A car whose sides are alike has the same lock, outer angle and turning circle both ways."""
    state = solve(job(REAR, lock=math.radians(42))).as_modified
    for name in (
        "lock",
        "outer",
        "ideal_outer",
        "turning_circle",
        "rack",
        "over_centre",
        "over_centre_travel",
    ):
        # The two sides' ride angles are found separately, to 1e-11 rad.
        assert getattr(state.left_turn, name) == pytest.approx(getattr(state.right_turn, name), rel=1e-8), (
            name
        )
    assert state.left.tie_rod == pytest.approx(state.right.tie_rod, abs=1e-8)


def test_inch_and_mm_agree() -> None:
    """Units of stock change what is rounded to and nothing else: the same car as measured."""
    mm, inch = (
        solve(replace(job(REAR, lock=math.radians(42)), stock_units=units))  # type: ignore[arg-type]
        for units in ("mm", "in")
    )
    assert mm.as_measured.lock == inch.as_measured.lock
    assert abs(mm.changes.rack_spacer - inch.changes.rack_spacer) < INCH / 8


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("bracket", [False, True])
def test_the_nearest_goal_is_in_reach(name: str, bracket: bool) -> None:
    """The lock that a refusal tells as the nearest goal is met when it is asked for, and is the goal's own then."""
    base = job(with_stops(CARS[name]) if bracket else CARS[name], lock=math.radians(65))
    far = solve(base)
    assert far.answer is not None
    told = math.floor(math.degrees(far.farthest_lock) * 10 + 1e-6) / 10
    assert f"The nearest goal in reach with the changes of this job is {told:.1f}°" in far.answer
    near = solve(replace(base, goal=replace(base.goal, lock=math.radians(told))))
    assert near.goal_met, near.answer
    assert math.radians(told) == near.farthest_lock
