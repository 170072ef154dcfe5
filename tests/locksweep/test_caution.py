"""The caution note: loads, margins, what was assumed, what was not looked at, and who has to decide."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from typing import Any

import pytest

from locksweep.console import answer_text
from locksweep.demo_jobs import demo_names
from locksweep.documents.caution import caution_text
from locksweep.documents.load_tables import IN_CASES
from locksweep.documents.markdown import escaped
from locksweep.documents.verdicts import PATHS, margin_words, where_words
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from tests.locksweep.pipeline import AIDS, edited, full_job

LOADS = "Screening loads on the modified front end"
MEMBERS = "Members that are not made here"
demos = pytest.mark.parametrize("name", demo_names())


def sections(text: str) -> dict[str, str]:
    """Bodies of the second-level sections by heading."""
    pieces = re.split(r"^## (.*)$", text, flags=re.MULTILINE)
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


def tables(text: str) -> list[list[list[str]]]:
    """Every table as rows of cells, head first, without its rule."""
    found = []
    for table in re.findall(r"(?:^\|.*\n)+", text, flags=re.MULTILINE):
        lines = table.splitlines()
        cells = [[cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines]
        found.append([cells[0], *cells[2:]])
    return found


def rows(text: str, first: str) -> Iterator[list[str]]:
    """Rows of the tables whose first column is headed so."""
    for table in tables(text):
        if table[0][0] == first:
            yield from table[1:]


@demos
def test_every_part_has_its_page(solved: dict[str, Solved], name: str) -> None:
    """For each part: its place in the load path, what follows if it lets go, assumptions, inspections, who judges."""
    one = solved[name]
    by_heading = sections(caution_text(one.record()))
    glance = {cells[0]: cells for cells in rows(by_heading["At a glance"], "part")}
    assert [part.name for part in one.parts] == list(glance)
    for part in one.parts:
        body = by_heading[part.name]
        assert PATHS[part.role] in body
        assert part.role == glance[part.name][1]
        assert escaped(part.if_it_fails) in body
        assert escaped(part.if_it_fails) == glance[part.name][3]
        for lines in (part.qualified, part.assumptions, part.not_assessed):
            assert lines
            assert all(f"- {escaped(line)}" in body for line in lines)
        if part.role == "marking aid":
            assert "no load worth a check" == glance[part.name][2]
            assert "carries no load: a marking aid" in body
            continue
        least = min(part.checks, key=lambda check: check.reserve)
        assert glance[part.name][2].startswith(f"{least.margin:.2f}, ")


@demos
def test_every_check_shows_its_working(solved: dict[str, Solved], name: str) -> None:
    """Load, strength, margin of the one required, case and pose, formula with source, and inputs."""
    one = solved[name]
    by_heading = sections(caution_text(one.record()))
    record = one.record()
    for part, data in zip(one.parts, record["parts"], strict=True):
        told = {cells[0]: cells for cells in rows(by_heading[part.name], "check")}
        assert {escaped(check.name) for check in part.checks} == set(told)
        for check, plain in zip(part.checks, data["checks"], strict=True):
            cells = told[escaped(check.name)]
            assert check.unit == cells[1].split()[-1] or "in" in cells[1]
            assert f"{check.margin:.2f} of {check.required:.2f}" == cells[3]
            assert margin_words(check.margin, check.required) == cells[4]
            assert cells[5].startswith(escaped(check.case))
            assert escaped(where_words(plain)) == cells[5]
            assert escaped(check.source) in cells[6]


@demos
def test_inspections_are_lists_in_time(solved: dict[str, Solved], name: str) -> None:
    """What is welded is looked at before, after, after the first run and every so many events, in that order."""
    one = solved[name]
    by_heading = sections(caution_text(one.record()))
    body = by_heading["arm-sleeve"]
    places = [
        body.index(words)
        for words in ("Before welding or fitting:", "After welding:", "After the first run:", "\nEvery 1")
    ]
    assert sorted(places) == places
    for part in one.parts:
        for items in part.inspection[:4]:
            assert all(f"- {escaped(item)}" in by_heading[part.name] for item in items)
        assert part.inspection.again or part.role == "marking aid", part.name


def test_loads_through_a_part(solved: dict[str, Solved]) -> None:
    """Parts of the load path tell what runs through them, in newtons, with case and pose; plates carry nothing."""
    for one in solved.values():
        by_heading = sections(caution_text(one.record()))
        for part in one.parts:
            told = list(rows(by_heading[part.name], "load"))
            assert [escaped(load.label) for load in part.loads] == [cells[0] for cells in told]
            assert bool(told) == (part.role not in ("closes a hole", "marking aid"))
            for load, cells in zip(part.loads, told, strict=True):
                assert f"{load.value:.0f} {load.unit}" == cells[1]


@demos
def test_caution_tells_the_loads(solved: dict[str, Solved], name: str) -> None:
    """Every load case with its source and what it makes at the most; every member with its worst case and pose."""
    one = solved[name]
    body = sections(caution_text(one.record()))[LOADS]
    sweep = one.context.sweep
    told = list(rows(body, "case"))
    assert [escaped(case.name) for case in sweep.cases] == [cells[0] for cells in told]
    for index, (case, cells) in enumerate(zip(sweep.cases, told, strict=True)):
        mine = sweep.loads.only(sweep.loads.case == index)
        largest = dict(zip((key for key, _ in IN_CASES), cells[1:], strict=True))
        # Told to a newton, from a record rounded to a tenth.
        assert float(mine.vertical.max()) == pytest.approx(float(largest["vertical"]), abs=0.56)
        assert max(float((-mine.tie_rod).max()), 0.0) == pytest.approx(
            float(largest["tie_rod_push"]), abs=0.56
        )
        assert escaped(f"{case.name}: {case.source}") in body
    assert {"ball joint", "strut, along the damper"} <= {cells[0] for cells in rows(body, "member")}


@demos
def test_inputs_that_nobody_measured_say_so(solved: dict[str, Solved], name: str) -> None:
    """What the demo job gives is told as given, everything else as not measured, with its source."""
    one = solved[name]
    body = sections(caution_text(one.record()))[LOADS]
    told = {cells[0]: cells for cells in rows(body, "what")}
    for item in one.context.vehicle.inputs:
        cells = told[escaped(item.label)]
        assert ("**not measured**" in cells[2]) == (not item.measured)
        assert item.measured == (item.key == "assistance")


@demos
def test_members_that_are_not_made(solved: dict[str, Solved], name: str) -> None:
    """Tie rods, arm, leg, strut and joints have their section, each with what was not assessed."""
    body = sections(caution_text(solved[name].record()))[MEMBERS]
    for member in ("steering arm of the knuckle", "tie rods", "lower arm", "strut", "ball joints and bushes"):
        assert f"**{member}**: " in body
    assert body.count("Not assessed:") == body.count("**: ")
    assert "[steering\\_arm\\]" in body.replace("\\[", "[")


def test_parts_in_the_load_path_are_checked(solved: dict[str, Solved]) -> None:
    """All but marking aids have checks; spacers and sleeves carry the car, brackets limit steering, plates close."""
    for one in solved.values():
        roles = {part.dimensions.family: part.role for part in one.parts}
        assert "carries the car" == roles["rack-spacer"] == roles["arm-sleeve"]
        assert "limits steering" == roles["bump-stop"]
        assert "closes a hole" == roles["closure-plate"]
        assert {family for family, role in roles.items() if role == "marking aid"} == set(AIDS) - {
            "slot-template"
        }
        assert all(bool(part.checks) == (part.role != "marking aid") for part in one.parts)
        assert all(check.reserve >= 1 for part in one.parts for check in part.checks)


@demos
def test_caution_says_who_decides(solved: dict[str, Solved], name: str) -> None:
    """Some authorities forbid such welding, local codes decide, and this is a screening and no approval."""
    text = caution_text(solved[name].record())
    opening = text[: text.index("## ")]
    for words in (
        "Some authorities forbid welding or heating steering and suspension parts at all",
        "Local codes, event rules and licensed practice decide",
        "screening check",
        "no approval",
        "can kill",
        "mock-ups are for fit checks on a standing car only",
    ):
        assert words in opening, words
    engineer = sections(text)["What a licensed engineer must decide"]
    assert "whether these changes may be made to this car at all" in engineer
    assert "not assessed" in engineer


def test_caution_of_a_goal_out_of_reach() -> None:
    """Even without parts the note says who decides, and holds the loads."""
    far = solve_job(parse_job(edited(full_job(), ("lock = 50 ", "lock = 75 "))))
    text = caution_text(far.record())
    assert "At a glance" not in text
    assert "no approval" in text
    assert LOADS in text


def test_overridden_part_leads_the_note(solved: dict[str, Solved]) -> None:
    """A part that is made although a check falls short is told before anything else, at a glance and on its page."""
    record: dict[str, Any] = copy.deepcopy(solved["alder-coupe"].record())
    sentence = "bending is 100 MPa, what it bears is 90 MPa"
    record["parts"][0]["overridden"] = [sentence]
    text = caution_text(record)
    by_heading = sections(text)
    assert "Made although a check falls short" == next(iter(by_heading))
    assert sentence in by_heading["Made although a check falls short"]
    assert "**made by override** " in by_heading["At a glance"]
    assert f"**Made by override of the builder: {sentence}.**" in by_heading["rack-spacer"]
    assert sentence in answer_text(record)


@pytest.mark.parametrize(
    ("margin", "words"),
    [
        (0.5, "the case exceeds the strength"),
        (0.99, "the case exceeds the strength"),
        (1.0, "less left than is required"),
        (1.19, "less left than is required"),
        (1.2, "little left"),
        (1.5, "some left"),
        (2.52, "well above these cases"),
        (float("inf"), "well above these cases"),
    ],
)
def test_margin_in_words(margin: float, words: str) -> None:
    """Each step of the scale begins where it says, counted from the margin that is required."""
    assert words == margin_words(margin, 1.2)
    assert words == margin_words(margin / 1.2, 1.0) or margin < 1.2


def test_margin_without_a_load_is_told(solved: dict[str, Solved]) -> None:
    """A check whose load is nothing says so instead of a number."""
    record: dict[str, Any] = copy.deepcopy(solved["alder-coupe"].record())
    record["parts"][0]["checks"][0]["margin"] = None
    body = sections(caution_text(record))["rack-spacer"]
    assert "| no load |" in body


@pytest.mark.parametrize(
    ("where", "words"),
    [
        (("at rest", None, None, None, False), "at rest"),
        (("kerb", "left", 31.4, -65.0, True), "kerb, stop hit, left wheel, 31° left, 65 mm droop"),
        (("kerb", "right", -0.4, 0.1, False), "kerb, right wheel, straight ahead, ride height"),
        (("kerb", "right", -44.0, 55.0, False), "kerb, right wheel, 44° right, 55 mm bump"),
    ],
)
def test_pose_in_words(where: tuple[Any, ...], words: str) -> None:
    """Case, wheel, steer and travel as one would say them."""
    keys = ("case", "side", "steer_deg", "travel_mm", "hit")
    assert words == where_words(dict(zip(keys, where, strict=True)))
