"""The command that tells how sure an answer is: what it prints, its record, its job-file keys, what it refuses."""

from __future__ import annotations

import copy
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from locksweep.demo_jobs import demo_text
from locksweep.documents.sureness import record_of
from locksweep.documents.sureness_text import sureness_lines
from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from locksweep.schemas import schema_text
from solver.car import Job
from solver.solution import solve
from solver.survey.instruments import usual_sigmas
from solver.uncertainty import assess
from solver.uncertainty.sources import POINTS, defaults, sources_of
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, environment, full_job, written
from tests.locksweep.test_schemas import described

INCH = 25.4
FEW = "300"


def stating(*lines: str) -> str:
    """A demo job with these lines in its table of uncertainties."""
    table = "\n".join(["[uncertainty]", *lines, "", "[strut]"])
    return edited(full_job(), ("\n[strut]\n", f"\n{table}\n"))


CERTAIN = (
    "points = 0.02",
    "mirrored = 0.02",
    "rack_travel = 0.02",
    "rack_middle = 0.02",
    "keep_clear = 0.1",
    'mirrored_angle = "0.01 deg"',
    "camber = 0.01",
    "toe = 0.01",
    "rack_direction = 0.02",
)
"""As nobody with a tape could measure."""


def schema() -> dict[str, Any]:
    """Of the record."""
    found: dict[str, Any] = json.loads(schema_text("sureness"))
    return found


def record(job: Job, samples: int = 300) -> dict[str, Any]:
    """The record of a job."""
    found: dict[str, Any] = json.loads(
        json.dumps(record_of(job, assess(solve(job), samples)), allow_nan=False)
    )
    return found


def test_answer_names_what_to_do(locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """A job near its limits: not safe, by the bad end, with chances, what matters and what to measure again."""
    done = locksweep("sure", job_file(full_job()), "--samples", FEW)
    assert 0 == done.code, done.told
    assert "Not safe to rely on: " in done.out
    assert f"Of {FEW} cars that the measurements allow" in done.out
    rows = [line for line in done.out.splitlines() if line.startswith("  lock, left turn")]
    assert 1 == len(rows)
    assert "at least 50.0°" in rows[0]
    assert rows[0].endswith("not safe")
    for words in (
        "at the bad end",
        "Don't rely on it",
        "tie-rod pickup, fore and aft",
        "measure that side as well",
    ):
        assert words in done.out
    assert "nan" not in done.out.lower()


def test_well_measured_job_is_safe(locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """With every uncertainty next to nothing the design's own numbers hold, and nothing is left to do."""
    done = locksweep("sure", job_file(stating(*CERTAIN)), "--samples", FEW)
    assert 0 == done.code, done.told
    assert "Safe to rely on, as far as the measurements go" in done.out
    assert "100 % meet every goal" in done.out
    assert "What to do" not in done.out
    assert "Do not drive on an unchecked part" in done.out


def test_goal_out_of_reach(locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """A goal that the design misses is said to be missed whatever is measured, with exit code 3 as from solve."""
    done = locksweep("sure", job_file(edited(full_job(), ("lock = 50 ", "lock = 75 "))), "--samples", FEW)
    assert 3 == done.code
    assert "missed, whatever is measured again" in done.out


def test_json_passes_the_schema(locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """What --json prints is one JSON document by the published schema, in plain ASCII, the same on every run."""
    job = job_file(full_job())
    first = locksweep("sure", job, "--json", "--samples", FEW)
    assert 0 == first.code, first.told
    assert first.out.isascii()
    Draft202012Validator(schema()).validate(json.loads(first.out))
    assert first.out == locksweep("sure", job, "--json", "--samples", FEW).out


@pytest.mark.parametrize("name", ["alder-coupe", "birch-coupe"])
def test_record_passes(name: str) -> None:
    """So does the record of any demo job, and its text keeps to the units of its reader."""
    found = record(parse_job(demo_text(name)))
    Draft202012Validator(schema()).validate(found)
    lines = "\n".join(sureness_lines(found))
    assert ("in (" in lines) == (found["job"]["units"] == "in")


def test_schema_is_closed_and_described() -> None:
    """Every object of the schema demands all its keys and no others; every key has a title and a description."""
    whole = schema()
    Draft202012Validator.check_schema(whole)
    stack, seen = [whole], 0
    while stack:
        node = stack.pop()
        if isinstance(node, dict):
            if "properties" in node:
                seen += 1
                assert node["additionalProperties"] is False
                assert list(node["properties"]) == node["required"]
            stack += list(node.values())
        elif isinstance(node, list):
            stack += node
    assert seen >= 8
    assert [] == [key for key, found in described(whole) if not {"title", "description"} <= found.keys()]


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data.pop("chance"),
        lambda data: data.update(chance=1.2),
        lambda data: data.update(samples=0),
        lambda data: data["quantities"][0].update(verdict="fine"),
        lambda data: data["quantities"][0].update(low=None),
        lambda data: data.update(note="x"),
    ],
)
def test_planted_fault_is_refused(change: Callable[[Any], Any]) -> None:
    """A record that lacks something, or says what can't be, is no record."""
    broken = copy.deepcopy(record(parse_job(full_job()), 100))
    change(broken)
    assert not Draft202012Validator(schema()).is_valid(broken)


def test_defaults_are_the_tables() -> None:
    """A job that says nothing has the table's uncertainties, and plumb line and tape for its points."""
    job = parse_job(full_job())
    assert {} == job.uncertainty
    usual = usual_sigmas()
    found = {source.name: source.sigma for source in sources_of(job)}
    assert usual["ahead"] == found["tie-rod pickup, fore and aft"]
    assert usual["across"] == found["tie-rod pickup, across the car"]
    assert usual["height"] == found["tie-rod pickup, up and down"]
    assert defaults()["mirrored"] == found["right tie-rod pickup, fore and aft, which was not measured"]
    assert defaults()["rack_travel"] == found["rack travel to the stop"]
    # The demo job's right camber was measured.
    assert frozenset({"camber"}) == job.measured_right
    assert {"left camber", "right camber"} <= found.keys()


def test_stated_uncertainties_are_taken() -> None:
    """Every key of the table reaches the error that it is about, in any unit, for one axis or for all."""
    text = stating(
        'points = "1/32 in"',
        "left.pickup = [0.5, 1, 1.5]",
        "mirrored = 3",
        "rack_middle = 0",
        "left.camber = 0.3",
        'toe = "0 deg 6 min"',
        "keep_clear = 4",
    )
    text = edited(text, ('name = "frame rail"', 'name = "frame rail"\nuncertainty = 6'))
    found = {source.name: (source.sigma, source.key) for source in sources_of(parse_job(text))}
    assert (INCH / 32, "points") == pytest.approx(found["ball joint, up and down"])
    for axis, one in (("fore and aft", 0.5), ("across the car", 1.0), ("up and down", 1.5)):
        assert (one, "left.pickup") == found[f"tie-rod pickup, {axis}"]
    assert (3.0, "mirrored") == found["right ball joint, fore and aft, which was not measured"]
    assert "middle of the rack" not in found
    assert 0.3 == pytest.approx(found["left camber"][0] * 180 / 3.141592653589793)
    assert 0.1 == pytest.approx(found["toe"][0] * 180 / 3.141592653589793)
    assert (6.0, "keep_clear.frame rail") == found["frame rail, from across the car"]
    assert 4.0 == found["anti-roll bar blade, to up and down"][0]


@pytest.mark.parametrize(
    ("line", "key", "words"),
    [
        ("pionts = 1", "uncertainty.pionts", 'did you mean "points"'),
        ("points = [1, 2]", "uncertainty.points", "or a list of three"),
        ("points = [1, 2, -3]", "uncertainty.points[2]", "never negative"),
        ("points = 900", "uncertainty.points", "from 0 mm to 200 mm"),
        ("camber = 1e300", "uncertainty.camber", "an angle"),
        ("left.pickup = nan", "uncertainty.left.pickup", "write the number itself"),
        ("left.axle = 3", "uncertainty.left.axle", "arm_front_pivot"),
        ("right.pickup = 3", "uncertainty.right.pickup", "is the left one's mirror"),
    ],
)
def test_bad_uncertainty_is_told(line: str, key: str, words: str) -> None:
    """What can't be an uncertainty is told with its line and key, like everything else in a job file."""
    with pytest.raises(JobFindingsError) as caught:
        parse_job(stating(line))
    assert 1 == len(caught.value.findings)
    assert caught.value.findings[0].line is not None
    assert key in str(caught.value)
    assert words in str(caught.value)


@pytest.mark.parametrize("line", ["points = 30", "left.pickup = 150", "left.arm_rear_pivot = [1, 1, 90]"])
def test_uncertainty_larger_than_the_geometry(
    locksweep: Command, job_file: Callable[[str], Path], line: str
) -> None:
    """An uncertainty that the geometry can't bear ends in one sentence that names it, with exit code 1."""
    done = locksweep("sure", job_file(stating(line)))
    assert 1 == done.code
    assert f"uncertainty of {line.split(' =')[0]}: ±" in done.err
    assert "Traceback" not in done.err
    assert "" == done.out


def sheet_of(job: Job, scale: float = 1.0) -> str:
    """A measuring sheet of the left side: heights, places and some lengths, read without a slip."""
    left = {key: getattr(job.car.left, key) for key in POINTS}
    lines = ["[sheet]", 'units = "mm"', "", "[height]"]
    lines += [f"left.{key} = {scale * z}" for key, (_, _, z) in left.items()]
    lines += ["", "[ahead]", *(f"left.{key} = {x}" for key, (x, _, _) in left.items())]
    lines += ["", "[across]", *(f"left.{key} = {y}" for key, (_, y, _) in left.items())]
    lines += ["", "[length]"]
    for one, other in (("ball_joint", "pickup"), ("inner_joint", "pickup"), ("arm_rear_pivot", "ball_joint")):
        span = sum((a - b) ** 2 for a, b in zip(left[one], left[other], strict=True)) ** 0.5
        lines.append(f'"left.{one} to left.{other}" = {{ value = {span:.3f}, plus_minus = 0.3 }}')
    return "\n".join([*lines, ""])


def test_sheet_makes_the_band_narrower(
    tmp_path: Path, locksweep: Command, job_file: Callable[[str], Path]
) -> None:
    """With the sheet that the points were found from its readings are the errors, and good lengths tell."""
    job = job_file(full_job())
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(sheet_of(parse_job(full_job())), encoding="utf-8")
    widths = []
    for options in ((), ("--sheet", str(sheet))):
        done = locksweep("sure", job, "--json", "--samples", "1000", *options)
        assert 0 == done.code, done.told
        found = json.loads(done.out)
        lock = found["quantities"][0]
        assert "lock, left turn" == lock["name"]
        widths.append(lock["high"] - lock["low"])
        names = [item["name"] for item in found["uncertainties"]]
        surveyed = [name for name in names if name.startswith("the sheet's ")]
        assert bool(surveyed) == bool(options)
        assert ("tie-rod pickup, fore and aft" in names) == (not options)
    assert widths[1] < 0.9 * widths[0]


def test_sheet_of_another_car(tmp_path: Path, locksweep: Command, job_file: Callable[[str], Path]) -> None:
    """A sheet whose points the job file doesn't have is refused by the point that is off."""
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(sheet_of(parse_job(full_job()), scale=1.2), encoding="utf-8")
    done = locksweep("sure", job_file(full_job()), "--sheet", sheet)
    assert 1 == done.code
    assert "mm from where the sheet puts it" in done.err or "doesn't fit" in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize("samples", ["99", "0", "-1", "1000000000", "many"])
def test_samples_that_make_no_sense(
    locksweep: Command, job_file: Callable[[str], Path], samples: str
) -> None:
    """Too few or too many cars, or no number, is a matter of usage."""
    assert 2 == locksweep("sure", job_file(full_job()), "--samples", samples).code


def test_solve_loads_no_compiler(tmp_path: Path) -> None:
    """The compiler and what belongs to uncertainty are loaded by this command alone."""
    code = (
        "import sys\nfrom locksweep.cli import main\n"
        f"sys.argv[1:] = ['solve', {str(written(tmp_path, full_job()))!r}]\n"
        "try: main()\n"
        "except SystemExit as left: assert not left.code, left.code\n"
        "names = [n for n in sys.modules if n.split('.')[0] == 'numba' or 'uncertainty' in n]\n"
        "print(*names, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    assert "" == done.stderr.strip()
