"""Jobs on another tyre: what is kept, what is left open, and tyres that can't go in."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from locksweep.demo_jobs import demo_text
from locksweep.job import parse_job
from solver.car import Changes, Wheel
from solver.errors import GeometryError, TyreSizeError
from solver.front_end import assemble
from solver.solution import solve
from solver.tyre_change import (
    MOST_OVER,
    all_kept,
    check_size,
    fitted,
    lift,
    rim_code,
    same_changes,
    sized_anew,
    struck,
    usual_rim,
    wheel_of,
    within_reach,
)

JOB = parse_job(demo_text("alder-coupe"))
INCH = 25.4


def test_all_else_is_kept() -> None:
    """With all kept the answer has the old one's changes, wheel apart, whatever lock that gives."""
    old = solve(JOB)
    for tyre, rim in (("205/45R17", 7.5), ("265/40R17", 9.0)):
        wheel = Wheel(tyre, rim * INCH, 12.0)
        new = solve(all_kept(old, wheel))
        assert same_changes(old.changes, new.changes)
        assert wheel == new.changes.wheel
        assert tyre == new.as_modified.front_end.tyre.size


def test_sized_anew_leaves_open_what_the_job_leaves_open() -> None:
    """The job sized anew differs from the old one in its wheel alone."""
    wheel = Wheel("205/45R17", 7.5 * INCH, 12.0)
    again = sized_anew(JOB, wheel)
    assert wheel == wheel_of(again)
    assert replace(again, fixed=JOB.fixed) == JOB


def test_body_stands_higher_by_the_loaded_radius() -> None:
    """A tyre 20 mm larger in diameter lifts the body by 10 mm: it is pressed in as far as the measured one."""
    old = replace(wheel_of(JOB), outside_diameter=620.0)
    new = replace(old, outside_diameter=640.0)
    fronts = [assemble(JOB.car, replace(JOB.fixed, wheel=wheel)) for wheel in (old, new)]
    assert lift(fronts[0], fronts[1]) == pytest.approx(10.0, abs=1e-9)


def test_rims_of_sizes() -> None:
    """The rim's diameter is in the size string, its usual width in the table: 225 × 0.85 / 25.4 = 7.5 in."""
    assert 17 == rim_code("225/45R17")
    assert usual_rim("225/45R17") == pytest.approx(7.5 * INCH)
    with pytest.raises(TyreSizeError, match="no tyre size"):
        rim_code("225/45")


def test_what_is_in_reach() -> None:
    """A goal that is missed is lowered to what the search can do, in tenths of a degree; one that is met is left."""
    assert within_reach(solve(JOB)) is None
    far = replace(JOB, goal=replace(JOB.goal, lock=math.radians(75)))
    missed = solve(far)
    assert not missed.goal_met
    nearest = within_reach(missed)
    assert nearest is not None
    assert math.radians(40) < nearest.goal.lock < missed.as_modified.lock + 1e-9
    tenths = 10 * math.degrees(nearest.goal.lock)
    assert tenths == pytest.approx(round(tenths), abs=1e-6)
    assert replace(nearest, goal=far.goal) == far


def test_far_too_large_is_refused_by_size() -> None:
    """A tyre of over 1.45 times the measured diameter is refused; the measured one is 195/60R15, 615 mm."""
    assert 1.45 == MOST_OVER
    check_size(
        JOB, Wheel("335/80R14", 260.0, 12.0)
    )  # 355.6 + 2 × 335 × 0.80 = 891.6 mm; 1.45 × 615 = 891.75 mm
    with pytest.raises(
        GeometryError, match=r"335/80R15 is 917 mm in diameter.*195/60R15, is 615 mm.*at most 892"
    ):
        check_size(JOB, Wheel("335/80R15", 260.0, 12.0))


def test_a_tyre_in_the_strut_is_refused() -> None:
    """A tyre that reaches into the strut with the wheel straight does not go in; an offset lower by that much does."""
    gap = 30.6  # mm between the grown 225/45R17 at 12 mm of offset and the tube, as `solve` tells it
    changes = replace(JOB.fixed, arm_extension=43.0, rack_spacer=4.0)
    assert changes.wheel is not None
    deep = replace(changes, wheel=replace(changes.wheel, offset=12.0 + gap + 15.0))
    with pytest.raises(
        GeometryError, match=r"does not go in.*into the (left|right) strut tube.*--offset"
    ) as error:
        fitted(JOB, deep)
    offset = float(str(error.value).split("--offset '")[1].split(" mm")[0])
    front_end = fitted(JOB, replace(changes, wheel=replace(changes.wheel, offset=offset)))
    assert () == struck(front_end)


def test_no_ground_under_the_tyre() -> None:
    """Where the suspension can't bring the tyre to the ground the message begins with the tyre."""
    changes = Changes(wheel=replace(wheel_of(JOB), loaded_radius=100.0), ride_height_drop=-250.0)
    with pytest.raises(GeometryError, match=r"^on 225/45R17: "):
        fitted(JOB, changes)
