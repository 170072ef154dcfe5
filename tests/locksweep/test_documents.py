"""Summary and caution note: every quantity with its unit, and nothing that matters left unsaid."""

from __future__ import annotations

import copy
import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest

from locksweep.console import answer_text
from locksweep.demo_jobs import demo_names
from locksweep.documents.caution import caution_text
from locksweep.documents.markdown import escaped
from locksweep.documents.summary import summary_text
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from locksweep.units import length_text, sentence_text
from tests.locksweep.pipeline import edited, full_job

UNIT = r"(?:°|mm|in|m|kg|%|: 1)"
QUANTITY = re.compile(rf"-?\d+(?:\.\d+)?\s?{UNIT}(?![\w])")
WITHOUT_UNIT = ("turns lock to lock", "plug holes per end", "k factor")
INCHES = re.compile(r"(-?\d+\.\d+) in \((-?\d+\.\d+) mm\)")
POINTS = re.compile(r"\(-?\d+\.\d, -?\d+\.\d\)(?:, |(?= mm))")
# Screen words that would read as leave to drive.
APPROVING = re.compile(r"\b(safe|approved|certified|roadworthy|passes|passed|fine|okay)\b", re.IGNORECASE)


def sections(text: str) -> dict[str, str]:
    """Bodies of the second-level sections by heading."""
    pieces = re.split(r"^## (.*)$", text, flags=re.MULTILINE)
    return dict(zip(pieces[1::2], pieces[2::2], strict=True))


def rows(text: str) -> Iterator[list[str]]:
    """Cells of every table row without head and rule."""
    for table in re.findall(r"(?:^\|.*\n)+", text, flags=re.MULTILINE):
        for line in table.splitlines()[2:]:
            yield [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]


def bare_numbers(cell: str) -> str:
    """What is left of a cell's numbers when those with a unit are taken away."""
    left = QUANTITY.sub("", POINTS.sub("", cell))
    return " ".join(re.findall(r"(?<![\w/])\d+(?:\.\d+)?(?![\w/])", left))


def plain_record(solved: Solved) -> dict[str, Any]:
    """A record that a test may change."""
    return copy.deepcopy(solved.record())


def test_bare_numbers_are_found() -> None:
    """The helper sees a number without its unit and passes those with one."""
    assert "12.5" == bare_numbers("left 12.5, right 3 mm")
    assert "" == bare_numbers("0.250 in (6.4 mm), 50.0°, 8.18 m, 66 %, 225/45R17")
    assert "" == bare_numbers("(129.1, -97.4), (68.8, -157.7) mm")


@pytest.mark.parametrize("name", demo_names())
def test_every_quantity_has_its_unit(solved: dict[str, Solved], name: str) -> None:
    """In the tables of measures, limits, changes and dimensions no number stands without its unit."""
    found, bare = 0, []
    by_heading = sections(summary_text(solved[name].record()))
    tables = ["What changes on the car", "Before and after", "What stops the wheel, first one first"]
    tables += [part.name for part in solved[name].parts]
    for heading in tables:
        for cells in rows(by_heading[heading]):
            if cells[0] in WITHOUT_UNIT:
                continue
            found += 1
            bare += [f"{heading}: {cells}" for cell in cells[1:3] if bare_numbers(cell)]
    assert found > 80
    assert [] == bare


def test_inch_job_shows_inches_with_millimetres(solved: dict[str, Solved]) -> None:
    """Lengths of a job in inches are told in inches, with the same length in millimetres beside them."""
    text = summary_text(solved["birch-coupe"].record())
    by_heading = sections(text)
    pairs = INCHES.findall(text)
    assert len(pairs) > 80
    for inches, millimetres in pairs:
        # Half of the last decimal of each: 0.001 in with 0.1 mm, 0.0001 in with 0.01 mm, 0.01 in with 1 mm.
        decimals = len(millimetres.partition(".")[2])
        tolerance = 0.5 * 10.0**-decimals + 25.4 * 0.5 * 10.0 ** -(decimals + 2) + 1e-9
        assert float(millimetres) == pytest.approx(25.4 * float(inches), abs=tolerance)
    for heading in (
        "Before and after",
        "What stops the wheel, first one first",
        "rack-spacer",
        "bump-stop-left",
    ):
        for cells in rows(by_heading[heading]):
            assert " mm" not in INCHES.sub("", " ".join(cells)), cells


def test_metric_job_shows_no_inches(solved: dict[str, Solved]) -> None:
    """Lengths of a metric job are told in millimetres alone."""
    assert [] == INCHES.findall(summary_text(solved["alder-coupe"].record()))


@pytest.mark.parametrize(
    ("text", "value", "units", "digits"),
    [
        ("35.0 mm", 35.0, "mm", 1),
        ("1.378 in (35.0 mm)", 35.0, "in", 1),
        ("-0.5000 in (-12.70 mm)", -12.7, "in", 2),
        ("0.0 mm", 0.0, "mm", 1),
    ],
)
def test_length_in_words(text: str, value: float, units: Any, digits: int) -> None:
    """One length in either unit."""
    assert text == length_text(value, units, digits)


def test_summary_tells_every_part(solved: dict[str, Solved]) -> None:
    """Each part has a row and a section with its dimensions, what set them and what the shop must know."""
    for one in solved.values():
        by_heading = sections(summary_text(one.record()))
        listed = [cells[0] for cells in rows(by_heading["Parts to be made"])]
        assert [part.name for part in one.parts] == listed
        for part in one.parts:
            body = by_heading[part.name]
            for line in (*part.reasons, *part.notes, part.fits):
                assert escaped(sentence_text(line, one.job.stock_units)) in body, line
            for field in dataclasses.fields(part.dimensions):
                assert f"| {field.name.replace('_', ' ')} |" in body


def test_no_word_of_approval(solved: dict[str, Solved]) -> None:
    """No document and no answer on the terminal has a word that reads as leave to drive."""
    for one in solved.values():
        record = one.record()
        for text in (summary_text(record), caution_text(record), answer_text(record)):
            assert [] == APPROVING.findall(text.replace("passes the strength checks", ""))


def test_caution_is_shown_everywhere(solved: dict[str, Solved]) -> None:
    """Summary, caution note and terminal all carry the record's caution."""
    for one in solved.values():
        record = one.record()
        for text in (summary_text(record), caution_text(record), answer_text(record)):
            assert record["caution"] in text


def test_refused_parts_are_told(solved: dict[str, Solved]) -> None:
    """A part that is not made has its reason in the note, and what would be possible in the summary."""
    record = plain_record(solved["alder-coupe"])
    record["refused"] = [
        {"name": "arm-sleeve", "limit": "wall", "reason": "too <thin>", "nearest": "another | arm"}
    ]
    assert r"**arm-sleeve**: too \<thin\>" in sections(caution_text(record))["Not made"]
    told = sections(summary_text(record))["Parts that are not made"]
    assert r"**arm-sleeve**, wall: too \<thin\>. Possible instead: another \| arm" in told


def test_goal_out_of_reach_leads_the_summary() -> None:
    """The answer stands before anything else, and no part is listed."""
    far = solve_job(parse_job(edited(full_job(), ("lock = 50 ", "lock = 75 "))))
    text = summary_text(far.record())
    assert far.solution.answer
    assert "The goal is out of reach" == next(iter(sections(text)))
    assert escaped(far.solution.answer) in text
    assert "Parts to be made" not in text


def test_tie_rods_that_do_not_fit_are_told() -> None:
    """When the rods at hand are too short the summary says so in bold."""
    text = edited(full_job(), ("longest = 410", "longest = 370"))
    record = solve_job(parse_job(text)).record()
    assert record["tie_rods"]["at_hand_fit"] is False
    assert "325.0 mm to 370.0 mm: **they don't**" in summary_text(record)


def test_thread_left_on_the_rods_at_hand_is_told() -> None:
    """What the longest and shortest rod at hand leave of the lengths needed, the worse side's."""
    record = solve_job(parse_job(full_job())).record()
    rods = record["tie_rods"]
    shortest, longest = rods["at_hand_mm"]
    out, inward = longest - max(rods["needed_mm"]), min(rods["needed_mm"]) - shortest
    assert f"{out:.1f} mm of thread left to screw out and {inward:.1f} mm to screw in" in summary_text(record)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain words, 1.5 mm", "plain words, 1.5 mm"),
        ("a|b", r"a\|b"),
        ("`x` *y* _z_", r"\`x\` \*y\* \_z\_"),
        ("<b>&amp;", r"\<b\>\&amp;"),
        ("[x](y) # ~", r"\[x\](y) \# \~"),
        ("two\n  lines", "two lines"),
        ("back\\slash", r"back\\slash"),
    ],
)
def test_markup_is_escaped(text: str, shown: str) -> None:
    """Text from a job file reads as it was written and stays on its line."""
    assert shown == escaped(text)


@pytest.mark.parametrize(
    ("metric", "inches"),
    [
        # 3/8 in is 9.525 mm, 1 1/8 in is 28.575 mm: said with fewer digits they are still that.
        ("9.5 mm", "0.375 in (9.5 mm)"),
        ("-28.6 mm", "-1.125 in (-28.6 mm)"),
        ("25.2 mm", "0.992 in (25.2 mm)"),
        ("0.2 mm", "0.008 in (0.2 mm)"),
        ("12 mm", "0.47 in (12 mm)"),
        ("9.53 mm", "0.3750 in (9.53 mm)"),
        ("at (-254, 127, 25.4) mm; on", "at (-10.00, 5.00, 1.00) in, (-254, 127, 25.4) mm; on"),
    ],
)
def test_sentences_are_turned_into_inches(metric: str, inches: str) -> None:
    """Lengths and points of a sentence get inches first; a sixteenth that was rounded in mm is that sixteenth again."""
    assert inches == sentence_text(metric, "in")
    assert metric == sentence_text(metric, "mm")
