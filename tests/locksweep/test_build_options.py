"""Options of a build, goals that are out of reach, and parts that are refused."""

from __future__ import annotations

import json
import re
from pathlib import Path

import ezdxf
import pytest

from locksweep.building import BuildResult, build_job
from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import (
    edited,
    everything_below,
    full_job,
    manifest_of,
    small_job,
    tiny_job,
    written,
)

FILE_SCHEMAS = {
    "AP242": "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF",
    "AP214": "AUTOMOTIVE_DESIGN",
    "AP203": "CONFIG_CONTROL_DESIGN",
}
FORGED = ('construction = "tube" ', 'construction = "forged" ')
TOO_THICK = ("# rack_spacer = 8 ", "rack_spacer = 16 ")
FAR = ("lock = 50 ", "lock = 75 ")
SMALL_PANEL = (
    ("[-420, 618, 45]", "[-320, 520, 150]"),
    ("[-424, 618, 300]", "[-324, 520, 300]"),
    ("[-415, 616, 520]", "[-324, 520, 400]"),
    ("[-191, 386, 520]", "[-230, 424, 400]"),
    ("[-189, 391, 280]", "[-230, 424, 300]"),
    ("[-188, 386, 40]", "[-230, 424, 150]"),
)


def test_part_by_name_and_by_family(tmp_path: Path, locksweep: Command) -> None:
    """A part alone, or a family, goes into a folder of its own with whole documents and a true manifest."""
    job, out = written(tmp_path, full_job()), tmp_path / "sets"
    done = locksweep("build", job, "--out", out, "--part", "rack-spacer", "--part", "bump-stop")
    assert 0 == done.code, done.told
    (folder,) = next(out.iterdir()).iterdir()
    assert "only-rack-spacer+bump-stop-left+bump-stop-right" == folder.name
    manifest = manifest_of(folder)
    built = {"rack-spacer", "bump-stop-left", "bump-stop-right"}
    assert built == set(manifest["parts"])
    assert {f"{name}-A.step" for name in built} == {path.name for path in folder.glob("*.step")}
    record = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    assert {p["name"]: p["revision"] for p in record["parts"]} == {
        p["name"]: "A" if p["name"] in built else None for p in record["parts"]
    }
    assert len(record["parts"]) > len(built)


def test_part_alone_is_never_written_over(tmp_path: Path) -> None:
    """Asked for twice, the second goes beside the first."""
    job = written(tmp_path, tiny_job())
    names = []
    for _ in range(2):
        result = build_job(job, tmp_path / "sets", only=("rack-spacer",))
        assert isinstance(result, BuildResult)
        names.append(result.folder.name)
    assert ["only-rack-spacer", "only-rack-spacer-2"] == names


@pytest.mark.parametrize("name", ["rack-spacers", "", "../rack-spacer", "arm-sleeve "])
def test_unknown_part_is_a_message(tmp_path: Path, locksweep: Command, name: str) -> None:
    """A part that the job doesn't have is answered with those that it has; nothing is written."""
    done = locksweep("build", written(tmp_path, small_job()), "--out", tmp_path / "sets", "--part", name)
    assert 1 == done.code
    assert "this job has no such part. This job's parts are arm-sleeve, rack-spacer" in done.err
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_part_that_was_refused_is_told_why(tmp_path: Path, locksweep: Command) -> None:
    """Asked for by name, a part that can't be made is answered with the reason."""
    job = written(tmp_path, edited(small_job(), FORGED))
    done = locksweep("build", job, "--out", tmp_path / "sets", "--part", "arm-sleeve")
    assert 1 == done.code
    assert "the arm is forged S355" in done.err


@pytest.mark.parametrize("schema", FILE_SCHEMAS)
def test_step_schema_is_as_asked(tmp_path: Path, locksweep: Command, schema: str) -> None:
    """The STEP file's header names the schema that was asked for."""
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", tmp_path, "--step", schema)
    assert 0 == done.code, done.told
    (step,) = tmp_path.rglob("rack-spacer-A.step")
    header = re.search(r"FILE_SCHEMA\s*\(\(([^)]*)", step.read_text(encoding="ascii"))
    assert header
    assert FILE_SCHEMAS[schema] in header[1]


def test_unknown_step_schema_is_not_understood(tmp_path: Path, locksweep: Command) -> None:
    """Another schema is refused before anything is done, and those that there are are named."""
    done = locksweep("build", written(tmp_path, tiny_job()), "--out", tmp_path, "--step", "AP209")
    assert 2 == done.code
    assert all(schema in done.err for schema in FILE_SCHEMAS)
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_single_layer(tmp_path: Path, locksweep: Command) -> None:
    """All of a cutting file is on layer 0 when that is asked for, bend lines apart otherwise."""
    job = written(tmp_path, full_job())
    layers = []
    for option in ((), ("--single-layer",)):
        out = tmp_path / f"sets{len(layers)}"
        done = locksweep("build", job, "--out", out, "--part", "bump-stop-left", *option)
        assert 0 == done.code, done.told
        (drawing,) = out.rglob("bump-stop-left-A.dxf")
        layers.append({entity.dxf.layer for entity in ezdxf.readfile(drawing).modelspace()})
    assert {"0"} == layers[1]
    assert "0" not in layers[0]
    assert len(layers[0]) >= 2


@pytest.mark.parametrize("command", ["solve", "build"])
def test_goal_out_of_reach_is_an_answer(tmp_path: Path, locksweep: Command, command: str) -> None:
    """Exit code 3 and an answer with the limit, how far short, and the nearest goal; no folder is written."""
    job, out = written(tmp_path, edited(full_job(), FAR)), tmp_path / "sets"
    done = locksweep(command, job, *(("--out", out) if command == "build" else ()))
    assert 3 == done.code
    found = re.search(
        r"75\.0° of lock is out of reach: (.+) comes first at ([\d.]+)° in the (left|right) turn, ([\d.]+)° short",
        done.out,
    )
    assert found
    solution = solve_job(parse_job(job.read_text(encoding="utf-8"))).solution
    bracket = "the stop bracket, set just before the rack's stop,"
    assert found[1] in [bracket, *(limit.name for limit in solution.as_modified.turn(found[3]).limits)]
    # Both are rounded to a tenth.
    assert float(found[2]) + float(found[4]) == pytest.approx(75.0, abs=0.11)
    assert re.search(r"nearest goal in reach with the changes of this job is [\d.]+°", done.out)
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_goal_out_of_reach_comes_before_the_part_asked_for(tmp_path: Path, locksweep: Command) -> None:
    """Asked for one part of a job that can't reach its goal, the answer is about the goal."""
    job = written(tmp_path, edited(full_job(), FAR))
    done = locksweep("build", job, "--out", tmp_path / "sets", "--part", "rack-spacer")
    assert 3 == done.code
    assert "out of reach" in done.out
    assert "no such part" not in done.told


@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize("lock", [60, 75])
def test_nearest_goal_is_in_reach(name: str, lock: int) -> None:
    """The nearest goal that an answer names is reached when it is put into the job."""
    wanted = {"alder-coupe": "lock = 50 ", "birch-coupe": 'lock = "48 deg"'}[name]
    record = solve_job(parse_job(edited(demo_text(name), (wanted, f"lock = {lock} ")))).record()
    assert record["goal"]["met"] is False
    nearest = re.search(r"nearest goal .* is ([\d.]+)°", record["goal"]["answer"])
    assert nearest
    assert 40.0 < float(nearest[1]) < lock
    solved = solve_job(parse_job(edited(demo_text(name), (wanted, f"lock = {nearest[1]} "))))
    assert solved.solution.goal_met, solved.solution.answer


def test_answers_hold_numbers() -> None:
    """No sentence of an answer that is out of reach says nan or inf."""
    for lock in (55, 65, 75, 85):
        record = solve_job(parse_job(edited(full_job(), ("lock = 50 ", f"lock = {lock} ")))).record()
        said = " ".join((record["goal"]["answer"], *map(str, record["changes"].values())))
        assert not re.search(r"\b(nan|inf)\b", said), said


def test_job_that_needs_no_part(tmp_path: Path, locksweep: Command) -> None:
    """A goal that the car reaches as it is takes no part, which is no failure."""
    text = edited(tiny_job(), ("lock = 50 ", "lock = 30 "))
    text = text[: text.index("[changes]")]
    done = locksweep("build", written(tmp_path, text), "--out", tmp_path / "sets")
    assert 0 == done.code, done.told
    assert "No part is needed." in done.out
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_forged_arm_is_not_sleeved(tmp_path: Path, locksweep: Command) -> None:
    """The sleeve is refused with its reason, everything else is built, and the exit code is 3."""
    done = locksweep("build", written(tmp_path, edited(small_job(), FORGED)), "--out", tmp_path / "sets")
    assert 3 == done.code
    assert "not made: arm-sleeve (section can't be sleeved): the arm is forged S355" in done.out
    (folder,) = next((tmp_path / "sets").iterdir()).iterdir()
    assert {"rack-spacer"} == set(manifest_of(folder)["parts"])
    for document in ("summary.md", "caution.md"):
        text = (folder / document).read_text(encoding="utf-8")
        assert "**arm-sleeve**" in text
        assert "the arm is forged S355" in text


@pytest.mark.parametrize(
    ("text", "refused", "limit", "words"),
    [
        (edited(small_job(), TOO_THICK), "rack-spacer", "stud thread left", "14.0 mm, is the least"),
        (
            edited(full_job(), *SMALL_PANEL),
            "closure-plate-left",
            "hole runs off the measured panel",
            "beyond the points that were measured",
        ),
        (
            edited(
                small_job(),
                ('material = "S355"                 # a magnet', 'material = "6061-T6" # a magnet'),
            ),
            "arm-sleeve",
            "section can't be sleeved",
            "only steel tube",
        ),
    ],
)
def test_refusal_names_limit_and_way_out(text: str, refused: str, limit: str, words: str) -> None:
    """What can't be made is told with its limit, its numbers and what would be possible; the rest is sized."""
    solved = solve_job(parse_job(text))
    (found,) = (item for item in solved.refusals if item.name == refused)
    assert limit == found.limit
    assert words in found.reason
    assert found.nearest
    assert solved.parts
    assert refused not in {part.name for part in solved.parts}
    assert solved.complete is False


def test_spacer_as_thick_as_the_thread_allows_is_made() -> None:
    """The thickest spacer that a refusal offers is not refused."""
    solved = solve_job(parse_job(edited(small_job(), TOO_THICK)))
    offered = re.search(r"a spacer of ([\d.]+) mm", solved.refusals[0].nearest)
    assert offered
    again = solve_job(parse_job(edited(small_job(), ("# rack_spacer = 8 ", f"rack_spacer = {offered[1]} "))))
    assert "rack-spacer" in {part.name for part in again.parts}


@pytest.mark.parametrize("command", ["check", "solve", "loads", "build"])
def test_unknown_material_is_a_message(tmp_path: Path, locksweep: Command, command: str) -> None:
    """A material that the table doesn't have is named with key, line and those that it has; nothing is written."""
    steel = ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "good steel"')
    done = locksweep(command, written(tmp_path, edited(tiny_job(), steel)))
    assert 1 == done.code
    assert 'found     "good steel"' in done.told
    assert "parts.rack_spacer_material" in done.told
    assert "expected  one of S235JR, S355" in done.told
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_all_refused_is_no_success(tmp_path: Path, locksweep: Command) -> None:
    """When the only part is refused no folder is written and the exit code is 3."""
    # With the pickup where it was, over-centre lies beyond even that rack travel.
    text = edited(tiny_job(), TOO_THICK, ("pickup_move = { forward = 11 } ", "# pickup_move "))
    done = locksweep("build", written(tmp_path, text), "--out", tmp_path / "sets")
    assert 3 == done.code
    assert "No part was built." in done.out
    assert "stud thread left" in done.out
    assert ["job-file.toml"] == everything_below(tmp_path)


def test_bare_answer_is_no_build(tmp_path: Path) -> None:
    """Called from a program, a build that made nothing hands back the answer itself."""
    result = build_job(written(tmp_path, edited(full_job(), FAR)), tmp_path / "sets")
    assert isinstance(result, Solved)
    assert () == result.parts
