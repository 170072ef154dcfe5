"""What looks mis-measured: typical slips of a tape measure, planted one by one into the demo jobs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pytest

from locksweep.demo_jobs import demo_names, demo_path
from locksweep.job.load import load_job
from solver.car import CornerPoints, Job
from solver.errors import GeometryError
from solver.plausibility import Suspicion, suspicions

DEMOS = {name: load_job(demo_path(name)) for name in demo_names()}
ALDER = DEMOS["alder-coupe"]
AXES = {"x": 0, "y": 1, "z": 2}
INCH_READ_AS_CM = 1 / 2.54
CM_READ_AS_INCH = 2.54


def at(points: CornerPoints, place: str, slip: Callable[[float], float]) -> CornerPoints:
    """The corner with a slip in one value, such as ``strut_top.x`` or ``toe``."""
    name, _, axis = place.partition(".")
    value: Any = getattr(points, name)
    if not axis:
        return replace(points, **{name: slip(value)})
    moved = list(value)
    moved[AXES[axis]] = slip(moved[AXES[axis]])
    return replace(points, **{name: tuple(moved)})


def slipped(job: Job, place: str, slip: Callable[[float], float], *, both: bool = True) -> Job:
    """A slip on the left, mirrored to the right as a job file does unless the right was measured too."""
    left = at(job.car.left, place, slip)
    right = replace(left.mirrored(), camber=left.camber) if both else job.car.right
    return replace(job, car=replace(job.car, left=left, right=right))


def with_car(job: Job, **changed: Any) -> Job:
    """The job with something of its car changed."""
    return replace(job, car=replace(job.car, **changed))


def with_table(job: Job, table: str, **changed: Any) -> Job:
    """The job with something in one table of its car changed: rack, arm, strut or wheel."""
    return with_car(job, **{table: replace(getattr(job.car, table), **changed)})


def with_first(job: Job, table: str, **changed: Any) -> Job:
    """The job with something in the first of its keep-clear objects, panels or stops changed."""
    first, *others = getattr(job.car, table)
    return with_car(job, **{table: (replace(first, **changed), *others)})


def places(found: Sequence[Suspicion]) -> set[str]:
    """The places told, without coordinates."""
    return {suspicion.what.split(" (")[0] for suspicion in found}


@pytest.mark.parametrize("name", DEMOS)
def test_a_good_job_has_no_suspicion(name: str) -> None:
    """Nothing looks mis-measured on either demo car."""
    assert [] == suspicions(DEMOS[name])


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("point", [k for k, v in vars(ALDER.car.left).items() if isinstance(v, tuple)])
@pytest.mark.parametrize("axis", AXES)
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_slip_of_20_mm_on_one_side_is_seen(name: str, point: str, axis: str, side: str) -> None:
    """Any coordinate that is 20 mm off on one side is found against the other side, point and axis named."""
    points = getattr(DEMOS[name].car, side)
    job = with_car(DEMOS[name], **{side: at(points, f"{point}.{axis}", lambda value: value - 20)})
    told = [suspicion.what for suspicion in suspicions(job)]
    assert {f"car.left.{point} ({axis})", f"car.right.{point} ({axis})"} & set(told)


@pytest.mark.parametrize("offset", [7.5, 8.5])
def test_sides_may_differ_by_8_mm(offset: float) -> None:
    """A difference of just under 8 mm is a bent car at most; just over it is told, with both values."""
    job = slipped(ALDER, "strut_top.z", lambda value: value + offset, both=False)
    told = [s for s in suspicions(job) if s.expected.startswith("z the same")]
    assert (offset > 8) == bool(told)
    if told:
        right = ALDER.car.right.strut_top[2]
        assert told[0].found == f"z = {right:.0f} mm on the right, {right + offset:.0f} mm on the left"
        assert "strut_top" in told[0].advice


# Place on both corners, how it slipped, and a phrase of what must be told about it.
CORNER_SLIPS: list[tuple[str, str, Callable[[float], float], str]] = [
    ("alder-coupe", "strut_top.x", lambda v: -v, "caster"),
    ("alder-coupe", "strut_top.x", lambda v: v - 100, "caster"),
    ("alder-coupe", "strut_top.x", lambda v: -v, "mechanical trail"),
    ("alder-coupe", "strut_top.y", lambda _: 430 - 20, "inclination"),
    ("birch-coupe", "strut_top.y", lambda v: v * CM_READ_AS_INCH, "inclination"),
    ("birch-coupe", "strut_top.z", lambda v: v * INCH_READ_AS_CM, "z of strut_top"),
    ("alder-coupe", "ball_joint.x", lambda _: 80, "x of ball_joint"),
    ("alder-coupe", "ball_joint.y", lambda _: 768, "inside of the wheel's centre plane"),
    ("alder-coupe", "ball_joint.y", lambda _: 586, "scrub radius"),
    ("alder-coupe", "ball_joint.z", lambda _: 310, "below the wheel centre"),
    ("birch-coupe", "ball_joint.z", lambda v: v * INCH_READ_AS_CM, "slope of the arm"),
    ("alder-coupe", "damper_point.y", lambda v: v - 60, "to the ball joint"),
    ("alder-coupe", "damper_point.y", lambda v: v + 65, "inside of the tyre"),
    ("alder-coupe", "damper_point.x", lambda v: v + 70, "and the steering axis"),
    ("alder-coupe", "arm_front_pivot.y", lambda v: v + 120, "pivot axis and straight ahead"),
    ("birch-coupe", "arm_front_pivot.z", lambda v: v * INCH_READ_AS_CM, "z of arm_front_pivot"),
    ("alder-coupe", "arm_rear_pivot.y", lambda v: v * INCH_READ_AS_CM, "distance of arm_rear_pivot"),
    ("alder-coupe", "inner_joint.z", lambda v: v + 60, "bump steer"),
    ("alder-coupe", "inner_joint.z", lambda v: v - 60, "bump steer"),
    ("birch-coupe", "inner_joint.z", lambda v: v * CM_READ_AS_INCH, "slope of the tie rod"),
    ("birch-coupe", "inner_joint.y", lambda v: v * INCH_READ_AS_CM, "distance of inner_joint"),
    ("alder-coupe", "pickup.x", lambda v: -v, "sweep of the tie rod"),
    ("birch-coupe", "pickup.x", lambda v: v * INCH_READ_AS_CM, "from the steering axis"),
    ("birch-coupe", "pickup.x", lambda v: v + 50, "of lock"),
    ("alder-coupe", "wheel_centre.x", lambda _: 60, "x of wheel_centre"),
    ("birch-coupe", "wheel_centre.y", lambda v: v + 120, "distance of wheel_centre"),
    ("alder-coupe", "wheel_centre.z", lambda _: 280, "loaded radius"),
    ("birch-coupe", "wheel_centre.z", lambda v: v - 30, "pressed in by"),
    ("alder-coupe", "toe", lambda v: 10 * v, "toe"),
    ("alder-coupe", "camber", lambda _: math.radians(5), "camber"),
    ("alder-coupe", "camber", lambda v: 10 * v, "camber"),
]


@pytest.mark.parametrize(("demo", "place", "slip", "phrase"), CORNER_SLIPS)
def test_a_slip_on_both_sides_is_told_where_it_is(
    demo: str, place: str, slip: Callable[[float], float], phrase: str
) -> None:
    """A slip that mirroring carries to the other side is told under its own point, once, in these words."""
    found = suspicions(slipped(DEMOS[demo], place, slip))
    key = f"car.left.{place.partition('.')[0]}"
    told = [suspicion for suspicion in found if suspicion.what.split(" (")[0] == key]
    about = [s for s in told if phrase in f"{s.found} {s.expected}"]
    assert 1 == len(about), found
    assert Counter(s.what.split(" (")[0] for s in found).most_common(1)[0][0] == key


PANEL = ALDER.car.wheel_wells[0].panel
BENT = (*PANEL[:2], (PANEL[2][0], PANEL[2][1] + 150, PANEL[2][2]), *PANEL[3:])
CROSSED = (PANEL[0], PANEL[3], PANEL[1], PANEL[2], *PANEL[4:])
OUTSIDE = tuple((x, y + 420, z) for x, y, z in PANEL)
IN_TYRE = tuple((x + 150, y + 60, z) for x, y, z in PANEL)
RAIL = 'keep_clear "frame rail"'
WELL = 'wheel_well "rear inner panel"'

OTHER_SLIPS = {
    "wheelbase in the wrong unit": (
        with_car(ALDER, wheelbase=1980.0),
        "car.wheelbase",
        "wheelbases",
    ),
    "bump travel from droop": (with_car(ALDER, bump_travel=180.0), "car.bump_travel", "bump travel"),
    "droop travel in inches": (with_car(ALDER, droop_travel=5.5), "car.droop_travel", "droop travel"),
    "one wheel off its scale": (with_car(ALDER, corner_masses=(310.0, 260.0)), "car.corner_masses", "15 %"),
    "rack travel not halved": (
        with_table(ALDER, "rack", travel_each_side=132.0, tooth_travel=None),
        "rack.travel_each_side",
        "past over-centre",
    ),
    "rack travel halved twice": (
        with_table(ALDER, "rack", travel_each_side=33.0),
        "rack.travel_each_side",
        "lock",
    ),
    "half a turn counted as one": (
        with_table(ALDER, "rack", travel_per_turn=22.0),
        "rack.travel_per_turn",
        "turn",
    ),
    "rack direction with swapped coordinates": (
        with_table(ALDER, "rack", direction=(0.3, math.sqrt(1 - 0.09), 0.0)),
        "rack.direction",
        "rack's direction",
    ),
    "rack end over the boot": (with_table(ALDER, "rack", end_diameter=42.0), "rack.end_diameter", "42.0 mm"),
    "teeth short of the stop": (with_table(ALDER, "rack", tooth_travel=41.0), "rack.tooth_travel", "teeth"),
    "arm diameter for radius": (with_table(ALDER, "arm", clear_radius=96.0), "arm.clear_radius", "lower arm"),
    "loaded radius from the rim's edge": (
        with_table(ALDER, "wheel", loaded_radius=260.0),
        "wheel.loaded_radius",
        "pressed in by",
    ),
    "digits of the diameter swapped": (
        with_table(ALDER, "wheel", outside_diameter=641.0),
        "wheel.outside_diameter",
        "195/60R15",
    ),
    "section width from the rim": (
        with_table(ALDER, "wheel", section_width=165.0),
        "wheel.section_width",
        "about",
    ),
    "another tyre's size": (
        with_table(ALDER, "wheel", tyre="195/75R15"),
        "wheel.tyre",
        "pressed in by",
    ),
    "rods of another car": (with_car(ALDER, tie_rod_range=(250.0, 320.0)), "tie_rod", "rods at hand"),
    "rail inside of the tyre": (
        with_first(ALDER, "keep_clear", start=(-420.0, 676.0, 345.0), end=(420.0, 676.0, 360.0)),
        RAIL,
        "inside of the tyre",
    ),
    "rail on the other side of the car": (
        with_first(ALDER, "keep_clear", start=(-420.0, -376.0, 345.0), end=(420.0, -376.0, 360.0)),
        RAIL,
        "middle at y",
    ),
    "rail outside of the wheel": (
        with_first(ALDER, "keep_clear", start=(-420.0, 976.0, 345.0), end=(420.0, 976.0, 360.0)),
        RAIL,
        "outer face",
    ),
    "a panel's point off": (with_first(ALDER, "wheel_wells", panel=BENT), WELL, "mean plane"),
    "a panel's points out of order": (
        with_first(ALDER, "wheel_wells", panel=CROSSED),
        WELL,
        "crosses itself",
    ),
    "a panel outside of the wheel": (with_first(ALDER, "wheel_wells", panel=OUTSIDE), WELL, "outer face"),
    "a panel in the tyre": (with_first(ALDER, "wheel_wells", panel=IN_TYRE), WELL, "inside of the tyre"),
    "stop mount with swapped digits": (
        with_first(ALDER, "stop_mounts", mount=(-20.0, 558.0, 281.0)),
        "stop.mount",
        "middle line",
    ),
    "stop contact on the body": (
        with_first(ALDER, "stop_mounts", contact=(-94.0, 650.0, 434.0)),
        "stop.contact",
        "ball joint",
    ),
}


@pytest.mark.parametrize("slip", OTHER_SLIPS)
def test_a_slip_elsewhere_is_told_where_it_is(slip: str) -> None:
    """A slip in any other table is told under its own key in these words, and nothing but that key is told."""
    job, key, phrase = OTHER_SLIPS[slip]
    found = suspicions(job)
    assert {key} == places(found)
    assert any(phrase in f"{s.found} {s.expected}" for s in found), found


def test_a_strut_tube_given_by_its_diameter_as_radius() -> None:
    """A tube of twice its size reaches into the tyre, and is among what is to be measured."""
    found = suspicions(with_table(ALDER, "strut", tube_radius=60.0))
    assert found
    assert all("strut tube" in s.found and "strut.tube_diameter" in s.what + s.advice for s in found)


def test_one_inner_joint_off_shows_in_the_rods() -> None:
    """With one inner joint 25 mm further out, the rod lengths differ, and that joint is told."""
    right = at(ALDER.car.right, "inner_joint.y", lambda value: value - 25)
    found = suspicions(with_car(ALDER, right=right))
    assert {"car.right.inner_joint"} == places(found)
    assert any(s.found.startswith("tie rods of") for s in found)


def test_a_pickup_off_on_one_side_shows_in_turns() -> None:
    """With one pickup 20 mm closer to the steering axis, the turns differ by more than 2°, and it is told."""
    right = at(ALDER.car.right, "pickup.x", lambda value: value + 20)
    found = suspicions(with_car(ALDER, right=right))
    assert {"car.right.pickup"} <= places(found)
    assert any("to the left" in s.found and s.what.startswith("car.right.pickup") for s in found)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("point", [k for k, v in vars(ALDER.car.left).items() if isinstance(v, tuple)])
def test_whatever_is_noticed_leads_to_the_slip(name: str, point: str) -> None:
    """Any slip on both sides is unseen, refused, or leads to its point: first or as what else to measure."""
    slips: list[Callable[[float], float]] = [
        lambda v: v + 50,
        lambda v: v - 50,
        lambda v: v + 100,
        lambda v: v - 100,
        lambda v: v * INCH_READ_AS_CM,
        lambda v: v * CM_READ_AS_INCH,
    ]
    for axis in AXES:
        for slip in slips:
            job = slipped(DEMOS[name], f"{point}.{axis}", slip)
            try:
                found = suspicions(job)
            except GeometryError:
                continue
            assert not found or any(f"car.left.{point}" in s.what + s.advice for s in found), found


def test_inch_jobs_are_answered_in_inches() -> None:
    """Lengths come in the unit of the job."""
    found = suspicions(slipped(DEMOS["birch-coupe"], "strut_top.z", lambda _: 500.0))
    assert found[0].what == "car.left.strut_top (z)"
    assert found[0].found == "left: z of strut_top 19.69 in"
    assert found[0].expected == "z of strut_top: 22.05 in to 33.46 in"
    assert found[0].advice.startswith("measure again: the centre of the top mount's bearing")


def test_points_that_cannot_be_assembled_are_an_error() -> None:
    """What can't be assembled at all is the solver's error, not a suspicion."""
    with pytest.raises(GeometryError, match="arm pivot"):
        suspicions(slipped(ALDER, "ball_joint.y", lambda _: 335.0))
