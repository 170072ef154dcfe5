"""Job files that free more than spacer and arms, ask for more than lock, and list tie rods."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from solver.car import Freedom, Job, PickupWork, TieRod
from tests.locksweep.pipeline import edited

INCH = 25.4


def with_lines(name: str, *lines: str, goal: str = "") -> str:
    """A demo job with tables before [parts] and keys at the end of [goal], its fixed pickup left out."""
    text = demo_text(name)
    text = re.sub(r"^pickup_move = .*$", "", text, flags=re.MULTILINE)
    text = re.sub(r"^\[parts\]", lambda found: "\n".join(lines) + "\n\n" + found[0], text, flags=re.MULTILINE)
    return re.sub(r"^\[car\]", lambda found: f"{goal}\n{found[0]}", text, flags=re.MULTILINE)


def read(*lines: str, goal: str = "", name: str = "alder-coupe") -> Job:
    """The job of such a text."""
    return parse_job(with_lines(name, *lines, goal=goal))


def refused(*lines: str, goal: str = "") -> list[Any]:
    """What is wrong with such a text."""
    with pytest.raises(JobFindingsError) as caught:
        read(*lines, goal=goal)
    return list(caught.value.findings)


@pytest.mark.parametrize("name", demo_names())
def test_comments_hold_working_examples(name: str) -> None:
    """Every line about the search that a demo file has as a comment can be taken in as it stands."""
    text = demo_text(name)
    text = re.sub(r"^pickup_move = .*$", "", text, flags=re.MULTILINE)
    text = re.sub(
        r"^# (ackermann|camber|least_caster|inclination_kept|bump_steer) = ",
        r"\1 = ",
        text,
        flags=re.MULTILINE,
    )
    keys = "ball_joint_drop|strut_top|pickup|rack_forward|rack_up|name|shortest|longest|thread|taper|articulation"
    start, end = text.index("# [may_change]"), text.index("[parts]")
    part = re.sub(rf"^# ((?:{keys}) = .*|\[.*\])$", r"\1", text[start:end], flags=re.MULTILINE)
    job = parse_job(text[:start] + part + text[end:])
    assert job.goal.ackermann == (20.0, 80.0)
    assert job.goal.camber == pytest.approx((math.radians(-3), 0.0))
    assert {free.variable for free in job.freedoms} == {
        "ball_joint_drop", "strut_top_forward", "strut_top_outward", "rack_forward", "rack_up",
    }  # fmt: skip
    assert job.pickup is not None
    assert "drill" == job.pickup.way
    assert ["long rod"] == [rod.name for rod in job.tie_rods]


def test_freedoms() -> None:
    """What may change is read into bounds in mm."""
    job = read("[may_change]", 'ball_joint_drop = [0, "3/4 in"]', "rack_up = [-5, 4]")
    drop, up = job.freedoms
    assert ("ball_joint_drop", 0.0) == (drop.variable, drop.low)
    assert 0.75 * INCH == pytest.approx(drop.high)
    assert Freedom("rack_up", -5.0, 4.0) == up
    assert job.pickup is None


def test_pickup_both_ways() -> None:
    """Drilled with its metal and hole, welded with its region; what the region leaves out stays."""
    drill = read(
        '[may_change]\npickup = { way = "drill", metal_forward = [-18, 30], metal_outward = [-16, 15], hole = 13 }'
    )
    assert PickupWork("drill", (-18.0, 30.0), (-16.0, 15.0), hole=13.0) == drill.pickup
    weld = read('[may_change]\npickup = { way = "weld", forward = [0, 20] }')
    assert PickupWork("weld", (0.0, 20.0), (0.0, 0.0)) == weld.pickup


def test_places_and_rods() -> None:
    """Places of the strut top, tie rods and the knuckle's taper."""
    job = read(
        "[may_change]\nstrut_top_places = [[-8, -5], [8, 5]]",
        '[[tie_rod_choice]]\nname = "a"\nshortest = 340\nlongest = 400\nthread = "M14x1.5"\ntaper = "1 : 10"',
        '[[tie_rod_choice]]\nname = "b"\nshortest = "14 in"\nlongest = "16 in"\narticulation = "25 deg"',
    )
    assert ((-8.0, -5.0), (8.0, 5.0)) == job.top_places
    first, second = job.tie_rods
    assert TieRod("a", 340.0, 400.0, "M14x1.5", "1:10") == first
    assert (14 * INCH, 16 * INCH) == pytest.approx((second.shortest, second.longest))
    assert second.articulation == pytest.approx(math.radians(25))
    text = edited(demo_text("alder-coupe"), ("longest = 410\n", 'longest = 410\ntaper = "1:8"\n'))
    assert "1:8" == parse_job(text).pickup_taper


@pytest.mark.parametrize(
    ("lines", "key", "words"),
    [
        ("[may_change]\nball_joint_drop = [20, 0]", "may_change.ball_joint_drop", "lesser first"),
        (
            "[may_change]\nball_joint_drop = [-5, 10]",
            "may_change.ball_joint_drop",
            "a size is never negative",
        ),
        ("[may_change]\nrack_up = 5", "may_change.rack_up", "a list of two"),
        ('[may_change]\nrack_up = ["5 deg", 6]', "may_change.rack_up", "length"),
        ("[may_change]\nrack_sideways = [0, 5]", "may_change.rack_sideways", "rack_"),
        ("[may_change]\nstrut_top_places = [[1, 2, 3]]", "may_change.strut_top_places", "[forward, outward]"),
        ("[may_change]\nstrut_top_places = []", "may_change.strut_top_places", "one to 12"),
        (
            '[may_change]\npickup = { way = "drill" }',
            "may_change.pickup",
            "metal_forward, metal_outward and hole",
        ),
        ('[may_change]\npickup = { way = "weld" }', "may_change.pickup", "at least one of"),
        (
            '[may_change]\npickup = { way = "weld", forward = [0, 9], hole = 13 }',
            "may_change.pickup.hole",
            "weld",
        ),
        (
            '[may_change]\npickup = { way = "bend", forward = [0, 9] }',
            "may_change.pickup.way",
            '"drill" or "weld"',
        ),
        (
            "[may_change]\nstrut_top = { forward = [-5, 5] }\nstrut_top_places = [[1, 2]]",
            "may_change.strut_top",
            "not both",
        ),
        (
            '[[tie_rod_choice]]\nname = "a"\nshortest = 400\nlongest = 340',
            "tie_rod_choice[0].longest",
            "adjusts",
        ),
        (
            '[[tie_rod_choice]]\nname = "a"\nshortest = 300\nlongest = 340\ntaper = "10"',
            "tie_rod_choice[0].taper",
            "1:10",
        ),
        ('[[tie_rod_choice]]\nname = "a"\nshortest = 300', "tie_rod_choice[0].longest", ""),
    ],
)
def test_what_is_wrong_is_named(lines: str, key: str, words: str) -> None:
    """A bad value is told with its key, a line, and what was expected."""
    (finding,) = refused(lines)
    assert key.replace("[0]", "") in re.sub(r"\[\d+\]", "", finding.key)
    assert words in f"{finding.expected} {finding.hint}"
    assert finding.line is not None


@pytest.mark.parametrize(
    ("goal", "key"),
    [
        ("ackermann = [80, 20]", "goal.ackermann"),
        ('ackermann = ["20 mm", 80]', "goal.ackermann"),
        ("camber = 5", "goal.camber"),
        ('bump_steer = "3 mm"', "goal.bump_steer"),
        ("inclination_kept = -1", "goal.inclination_kept"),
    ],
)
def test_goals_that_are_none(goal: str, key: str) -> None:
    """A bad goal is told with its key."""
    (finding,) = refused(goal=goal)
    assert key == finding.key


def test_open_and_fixed() -> None:
    """A change that is both open and fixed is told with both keys; all findings come together."""
    text = with_lines("alder-coupe", "[may_change]\nrack_up = [-5, 5]\nball_joint_drop = [0, 9]")
    text = edited(text, ("[changes]\n", "[changes]\nrack_shift = { up = 2 }\nball_joint_drop = 5\n"))
    with pytest.raises(JobFindingsError) as caught:
        parse_job(text)
    told = str(caught.value)
    assert "either may_change.rack_up or changes.rack_shift" in told
    assert "either may_change.ball_joint_drop or changes.ball_joint_drop" in told


def test_same_name_twice() -> None:
    """Two tie rods of one name can't be told apart."""
    rod = '[[tie_rod_choice]]\nname = "a"\nshortest = 300\nlongest = 340'
    (finding,) = refused(rod, rod)
    assert "a name of its own" in finding.expected
