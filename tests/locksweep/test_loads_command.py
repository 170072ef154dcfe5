"""The loads of a job on the terminal and for programs, without building anything."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from locksweep.commands import loads as command
from locksweep.demo_jobs import demo_names
from locksweep.documents.loads import loads_json, loads_text
from locksweep.exit_codes import Exit
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from tests.locksweep.pipeline import edited, full_job, tiny_job

WriteJob = Callable[[str], Path]


@pytest.mark.parametrize("name", demo_names())
def test_all_of_it_is_printed(solved: dict[str, Solved], name: str) -> None:
    """Inputs, cases, members, every part with its checks and their working, and what a licensed engineer decides."""
    one = solved[name]
    record = one.record()
    text = loads_text(record)
    for part in one.parts:
        assert f"\n{part.name}: {part.role}" in text
        for check in part.checks:
            assert check.name in text
            assert check.source in text
        for item in (*part.assumptions, *part.not_assessed, *part.qualified, *sum(part.inspection[:4], ())):
            assert f": {item}" in text or name == "birch-coupe"
    for case in one.context.sweep.cases:
        assert f"{case.name}: {case.source}" in text
    for words in (
        "What the loads rest on",
        "Worst of each member",
        "Members that are not made here",
        "A licensed engineer must decide",
        "not measured",
        record["caution"],
    ):
        assert words in text
    assert "**" not in text
    assert "\\" not in text


def test_inch_job_is_told_in_inches(solved: dict[str, Solved]) -> None:
    """Lengths that the reader measures in inches are told so."""
    assert "19.685 in (500.0 mm)" in loads_text(solved["birch-coupe"].record())


def test_for_programs(
    capsys: pytest.CaptureFixture[str], job_file: WriteJob, solved: dict[str, Solved]
) -> None:
    """--json gives the loads and checks of the record, nothing else, in plain ASCII."""
    command.run(job_file(full_job()), json=True)
    out = capsys.readouterr().out
    assert out.isascii()
    found = json.loads(out)
    expected = loads_json(json.loads(json.dumps(solved["alder-coupe"].record())))
    assert expected == found
    assert ["format", "tool", "caution", "job", "parts", "refused", "members", "loads"] == list(found)


def test_out_of_reach(capsys: pytest.CaptureFixture[str], job_file: WriteJob) -> None:
    """A goal out of reach gives the loads up to the lock in reach, no part, and its own exit code."""
    far = edited(full_job(), ("lock = 50 ", "lock = 75 "))
    with pytest.raises(typer.Exit) as left:
        command.run(job_file(far))
    assert Exit.OUT_OF_REACH == left.value.exit_code
    out = capsys.readouterr().out
    assert "Out of reach: " in out
    assert "No part is sized" in out
    assert "Worst of each member" in out


def test_small_job(capsys: pytest.CaptureFixture[str], job_file: WriteJob) -> None:
    """A job of one part has the loads of that one."""
    command.run(job_file(tiny_job()))
    out = capsys.readouterr().out
    assert "rack-spacer: carries the car" in out
    assert "arm-sleeve" not in out


def test_refused_part_is_told() -> None:
    """A part that falls short is named with what would help, its name for the override included."""
    weak = edited(tiny_job(), ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "S235JR"'))
    text = loads_text(solve_job(parse_job(weak)).record())
    assert "Not made: rack-spacer (bearing pressure" in text
    assert 'override = ["rack-spacer"]' in text
