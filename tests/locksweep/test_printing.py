"""The printer in a job file, and what a build says about the mock-ups."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import parts.mock_up
from locksweep.building import BuildResult, build_job
from locksweep.job import parse_job
from parts.mock_up import MockUp
from solver.errors import LocksweepError
from solver.families.base import PartDimensions
from solver.printing import Printing
from tests.locksweep.pipeline import contents, tiny_job, written
from tests.locksweep.test_schemas import faults


def test_printer_of_a_job() -> None:
    """All keys in the file's units; none means the usual printer."""
    given = '\n[printing]\nprocess = "resin"\nbed = ["5 in", 80, 160]\nclearance = 0.1\n'
    assert Printing("resin", (127.0, 80.0, 160.0), 0.8, 0.1) == parse_job(tiny_job() + given).printing
    lines = parse_job(tiny_job() + "\n[printing]\nline_width = 0.6\n").printing
    assert Printing("filament", (220.0, 220.0, 250.0), 1.2, 0.25) == lines
    assert parse_job(tiny_job()).printing is None


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ('process = "laser"', '"filament", "resin" or "powder"'),
        ("bed = 220", "a list of three"),
        ("bed = [220, 220]", "a list of three"),
        ("bed = [220, 220, 20]", "80 mm to 2000 mm"),
        ("clearance = 3", "0 mm to 1 mm"),
        ("clearance = nan", "clearance"),
        ("line_width = 0", "0.1 mm to 2 mm"),
        ("nozzle = 0.4", "nozzle"),
    ],
)
def test_faults_are_told(keys: str, told: str) -> None:
    """What can't be a printer is named with what was expected."""
    with pytest.raises(LocksweepError) as caught:
        parse_job(f"{tiny_job()}\n[printing]\n{keys}\n")
    assert told in str(caught.value)


def test_what_to_print(tmp_path: Path) -> None:
    """The document names the file, how many, its clearance, its caution; and a wall that is too thin."""
    job = written(tmp_path, tiny_job() + "\n[printing]\nline_width = 2\nclearance = 0.3\n")
    result = build_job(job, tmp_path / "sets")
    assert isinstance(result, BuildResult)
    text = (result.folder / "mock-ups.md").read_text(encoding="utf-8")
    assert "| rack-spacer-A.stl | 2 |" in text
    assert "0.30 mm of clearance" in text
    assert "nobody may drive" in text
    # The ring's wall of (24 - 15.5)/2 = 4.25 mm loses 0.3 mm on either side, and two lines are 4 mm.
    assert "THIN WALL: 3.6" in text
    assert {"rack-spacer-A.3mf", "rack-spacer-A.stl"} <= set(result.files)


def test_mock_ups_are_taken_over_for_the_same_printer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A part that is as it was keeps its mock-up, told as before; for another printer it is made anew."""
    first = build_job(written(tmp_path, tiny_job()), tmp_path / "sets")
    assert isinstance(first, BuildResult)
    made: list[str] = []
    mock_up = parts.mock_up.mock_up

    def noted(dimensions: PartDimensions, number: str, *others: Any) -> MockUp:
        made.append(number)
        return mock_up(dimensions, number, *others)

    monkeypatch.setattr(parts.mock_up, "mock_up", noted)
    monkeypatch.setattr("locksweep.beside._can_fork", lambda: False)
    again = build_job(written(tmp_path, tiny_job() + "\n# a word more\n"), tmp_path / "sets")
    assert isinstance(again, BuildResult)
    assert [] == made
    before, after = contents(first.folder), contents(again.folder)
    for name in ("mock-ups.md", "rack-spacer-A.stl", "rack-spacer-A.3mf", "summary.json"):
        assert before[name] == after[name]
    assert "assembly.step" in after
    other = build_job(written(tmp_path, tiny_job() + "\n[printing]\nclearance = 0.1\n"), tmp_path / "sets")
    assert isinstance(other, BuildResult)
    assert ["rack-spacer-A"] == made
    assert b"0.10 mm of clearance" in contents(other.folder)["mock-ups.md"]


def test_what_programs_read(tmp_path: Path) -> None:
    """The summary has each piece with its file, and the files of a part are those of its pieces and no others."""
    result = build_job(written(tmp_path, tiny_job()), tmp_path / "sets")
    assert isinstance(result, BuildResult)
    record = json.loads((result.folder / "summary.json").read_text(encoding="utf-8"))
    assert [] == faults("summary", record)
    (part,) = record["parts"]
    (piece,) = part["mock_up"]["pieces"]
    assert ("rack-spacer-A.stl", 1, "tag") == (piece["file"], piece["count"], piece["words"])
    printed = {name for name in result.files if name.endswith((".stl", ".3mf"))}
    assert (
        {piece["file"], part["mock_up"]["package"]}
        == printed
        == {name for name in part["files"] if name.endswith((".stl", ".3mf"))}
    )
