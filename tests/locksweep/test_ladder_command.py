"""`locksweep ladder`: what it prints, its record, and what it makes of a file it can't read."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from jsonschema import Draft202012Validator

from locksweep.exit_codes import Exit
from locksweep.schemas import schema_text
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, full_job

JobFile = Callable[[str], Path]


def test_rungs_as_a_table(locksweep: Command, job_file: JobFile) -> None:
    """Every rung has its line with lock and what ends it, and the work that it takes below."""
    told = locksweep("ladder", job_file(full_job()))
    assert 0 == told.code
    for words in (
        "50.0° of lock wanted",
        "nothing changed",
        "rack spacers",
        "touches the primary load path",
        "no approval",
    ):
        assert words in told.out
    # Nothing that could be read as an approval.
    assert "✓" not in told.out


def test_record_is_what_the_schema_says(locksweep: Command, job_file: JobFile) -> None:
    """The record follows its schema and holds the rungs that the table shows."""
    path = job_file(full_job())
    told = locksweep("ladder", path, "--json")
    record = json.loads(told.out)
    Draft202012Validator(json.loads(schema_text("ladder"))).validate(record)
    table = locksweep("ladder", path).out
    for rung in record["rungs"]:
        assert f"{rung['lock_deg']:.1f}°" in table
        assert rung["held_by"] in table


def test_a_goal_beyond_all_rungs_is_an_answer(locksweep: Command, job_file: JobFile) -> None:
    """A lock that no work reaches ends in that sentence and in the exit code of a goal out of reach."""
    told = locksweep("ladder", job_file(edited(full_job(), ("\nlock = 50 ", "\nlock = 84 "))))
    assert Exit.OUT_OF_REACH == told.code
    assert "No rung meets the goal." in told.out


def test_bad_file_is_named(locksweep: Command, job_file: JobFile) -> None:
    """A key that is not known is an error with the file's name, as with every command."""
    path = job_file(edited(full_job(), ("[goal]", "[goal]\nwish = 3")))
    told = locksweep("ladder", path)
    assert 0 != told.code
    assert "goal.wish" in told.err
    assert path.name in told.err
