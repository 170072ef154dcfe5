"""What a process may not cut is told wherever a builder or a shop looks."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from locksweep.console import answer_text
from locksweep.documents.summary import summary_text
from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from locksweep.pack.request import request_text
from locksweep.pack.shops import rows_for
from locksweep.schemas import schema_text
from locksweep.solved import Solved, solve_job
from tests.locksweep.pipeline import edited, full_job

WATER, PLASMA = 'cutting = "waterjet"', 'cutting = "plasma"'


@pytest.fixture(scope="module")
def by_plasma() -> Solved:
    """The metric demo job, its plates cut by plasma."""
    return solve_job(parse_job(edited(full_job(), (WATER, PLASMA))))


def test_demo_jobs_can_be_cut(solved: dict[str, Solved]) -> None:
    """Both demo jobs are cut by waterjet without a warning; only parts from plate have a process."""
    for job in solved.values():
        for part in job.record()["parts"]:
            assert (part["blank"]["kind"] == "plate") == (part["cutting"] is not None)
            if part["cutting"] is not None:
                assert ("waterjet", []) == (part["cutting"]["process"], part["cutting"]["findings"])


def test_left_out_it_is_waterjet() -> None:
    """Without the key flat parts are cut by waterjet; any other word is refused by name."""
    assert "waterjet" == parse_job(edited(full_job(), (WATER, ""))).part_choices.cutting
    with pytest.raises(JobFindingsError, match="cutting"):
        parse_job(edited(full_job(), (WATER, 'cutting = "scissors"')))


def test_plasma_is_warned_of_everywhere(by_plasma: Solved) -> None:
    """A plate whose corner reliefs are narrower than a plasma's kerf says so on the console, in summary and request."""
    Draft202012Validator(json.loads(schema_text("summary"))).validate(by_plasma.record())
    record = by_plasma.record(revisions={part.name: "A" for part in by_plasma.parts})
    plate = next(part for part in record["parts"] if part["name"] == "closure-plate-left")
    (notch,) = plate["cutting"]["findings"]
    assert ("notch", 3.0) == (notch["kind"], notch["least_mm"])
    assert notch["size_mm"] < 3.0
    assert f"MAY NOT BE CUT: {notch['sentence']}" in answer_text(record)
    assert "may not be cut by plasma: the narrowest notch" in summary_text(record)
    request = request_text("cutting", rows_for("cutting", record, []), "job", "A", "caution", "mm")
    told = " ".join(request.split())
    assert f"PLEASE LOOK AT THIS: {notch['sentence']}" in told
    assert "outlines are the finished size: kerf and lead-in are left to the shop" in told
    # Twelve slots alike are one line.
    assert 1 == summary_text(record).count("may not be cut by plasma: holes 1 to 12 are 6.20 mm wide")
    assert 1 == told.count("PLEASE LOOK AT THIS: holes 1 to 12 are 6.20 mm wide")


def test_inches_in_an_inch_job(by_plasma: Solved) -> None:
    """In an inch job the warnings have inches first."""
    names = {part.name: "A" for part in by_plasma.parts}
    record = by_plasma.record(revisions=names, files={})
    record["job"]["units"] = "in"
    assert "3.00 mm) is the least" in answer_text(record)
    request = request_text("cutting", rows_for("cutting", record, []), "job", "A", "caution", "in")
    assert "0.1181 in (3.00 mm) is the least" in " ".join(request.split())


def test_process_leaves_the_files_alone(by_plasma: Solved, solved: dict[str, Solved]) -> None:
    """Another process changes no dimension: parts keep their revisions and their bytes."""
    water = {part.name: part.dimensions for part in solved["alder-coupe"].parts}
    assert water == {part.name: part.dimensions for part in by_plasma.parts}
