"""What a build leaves behind: every file, each of them true, and the same bytes every time."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from locksweep.building import BuildResult
from locksweep.file_names import file_name
from locksweep.job import parse_job
from parts import measure
from parts.kernel import cq
from parts.step import RECOMPUTED_TOLERANCE
from solver.measures import steer_angle
from solver.solution import Solution, solve
from solver.sweep import rack_sign
from tests.locksweep.pipeline import COMMAND, contents, environment, full_job, manifest_of, written

DOCUMENTS = {
    "assembly.step",
    "caution.md",
    "caution.pdf",
    "job.toml",
    "load-paths.svg",
    "manifest.json",
    "mock-ups.md",
    "report.html",
    "summary.json",
    "summary.md",
    "summary.schema.json",
    "work-order.md",
    "work-order.pdf",
}
AIDS = ("drilling-gauge", "fixture-base", "fixture-vee-arm", "fixture-vee-sleeve", "fixture-stop")
PAPER = "wrap-template"
FLAT = (
    "rack-spacer",
    "closure-plate-left",
    "closure-plate-right",
    "bump-stop-left",
    "bump-stop-right",
    *AIDS,
)
SOLID = (*FLAT, "arm-sleeve")
PARTS = (*SOLID, PAPER)
# The sleeve comes in halves; the plates are larger than the usual bed, the brackets and spacers are not.
PIECES = {f"{name}-A.stl" for name in ("rack-spacer", "bump-stop-left", "bump-stop-right")}
PIECES |= {f"arm-sleeve-A-{piece}.stl" for piece in ("1", "2", "pin-3-mm")}
PIECES |= {
    f"closure-plate-{side}-A-{piece}.stl"
    for side in ("left", "right")
    for piece in ("1", "2", "3", "4", "strap-for-1-5-mm")
}


@pytest.fixture(scope="module")
def solution() -> Solution:
    """The demo job solved anew, past the pipeline."""
    return solve(parse_job(full_job()))


@pytest.fixture(scope="module")
def summary(demo: BuildResult) -> dict[str, Any]:
    """The summary that was written."""
    found: dict[str, Any] = json.loads((demo.folder / "summary.json").read_text(encoding="utf-8"))
    return found


def test_every_file_is_there(demo: BuildResult) -> None:
    """STEP and drawing of each solid, mock-ups, DXF of what is flat, PDF of what is printed, documents, no more."""
    kinds = (".step", "-drawing.pdf", "-drawing.dxf")
    expected = DOCUMENTS | PIECES | {f"{name}-A{kind}" for name in SOLID for kind in kinds}
    expected |= {f"{name}-A.3mf" for name in SOLID if name not in AIDS}
    expected |= {f"{name}-A.dxf" for name in (*FLAT, PAPER)} | {f"{PAPER}-A.pdf"}
    assert sorted(expected) == sorted(path.name for path in demo.folder.iterdir())
    assert sorted(expected) == list(demo.files)


def test_no_file_is_empty(demo: BuildResult) -> None:
    """Every file holds something, and text ends with a line end."""
    for name, content in contents(demo.folder).items():
        assert content, name
        if not name.endswith((".stl", ".3mf")):
            assert content.endswith(b"\n"), name


def test_manifest_holds_true_hashes(demo: BuildResult) -> None:
    """The manifest has the SHA-256 of every other file, each part's letter, and the tool's name."""
    manifest = manifest_of(demo.folder)
    assert dict.fromkeys(PARTS, "A") == {name: part["revision"] for name, part in manifest["parts"].items()}
    assert "A" == manifest["revision"] == demo.folder.name
    assert "locksweep" == manifest["tool"]["name"]


def test_job_file_is_kept_as_used(demo: BuildResult) -> None:
    """The job file lies in the folder byte for byte."""
    assert full_job().encode("utf-8") == (demo.folder / "job.toml").read_bytes()


def test_same_input_same_bytes(tmp_path: Path) -> None:
    """Two processes with other hash seeds, time zones, languages and folders write the same bytes."""
    worlds = (
        {"PYTHONHASHSEED": "1", "TZ": "UTC", "LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0"},
        {"PYTHONHASHSEED": "4711", "TZ": "Asia/Kathmandu", "LANG": "de_DE.UTF-8", "USER": "somebody"},
    )
    written(tmp_path, full_job())
    running = []
    for number, world in enumerate(worlds):
        folder = tmp_path / f"from {number}"
        folder.mkdir()
        job = "../job-file.toml" if number else tmp_path / "job-file.toml"
        command = [*COMMAND, "build", str(job), "--out", f"sets {number}"]
        running.append(
            subprocess.Popen(
                command,
                cwd=folder,
                env=environment(**world),
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
            )
        )
    told = [process.communicate()[0].decode("utf-8", "replace") for process in running]
    assert [0, 0] == [process.returncode for process in running], told
    first, second = (contents(tmp_path / f"from {n}" / f"sets {n}") for n in (0, 1))
    mock_ups = len(PIECES) + len(SOLID) - len(AIDS)
    assert len(DOCUMENTS) + mock_ups + 3 * len(SOLID) + len(FLAT) + 2 == len(first)
    assert first.keys() == second.keys()
    assert [] == [name for name in first if first[name] != second[name]]


def test_summary_holds_the_solver_s_numbers(summary: dict[str, Any], solution: Solution) -> None:
    """Angles, lengths and changes are those of the solver, to half of the last decimal written."""
    angle, length = 0.5e-3 + 1e-9, 0.5e-4 + 1e-9
    for condition, state in (("as_measured", solution.as_measured), ("as_modified", solution.as_modified)):
        told = summary[condition]
        assert told["track_mm"] == pytest.approx(state.track, abs=length)
        for side in ("left", "right"):
            turn, corner = told["turns"][side], told["corners"][side]
            expected, wheel = state.turn(side), state.left if side == "left" else state.right
            assert math.degrees(expected.lock) == pytest.approx(turn["lock_deg"], abs=angle)
            assert math.degrees(expected.outer) == pytest.approx(turn["outer_deg"], abs=angle)
            assert expected.turning_circle == pytest.approx(turn["turning_circle_mm"], abs=length)
            assert [limit.name for limit in expected.limits] == [limit["name"] for limit in turn["limits"]]
            assert math.degrees(wheel.caster) == pytest.approx(corner["caster_deg"], abs=angle)
            assert wheel.scrub_radius == pytest.approx(corner["scrub_radius_mm"], abs=length)
            assert wheel.tie_rod == pytest.approx(corner["tie_rod_mm"], abs=length)
    changes = summary["changes"]
    assert solution.changes.rack_spacer == pytest.approx(changes["rack_spacer_mm"], abs=length)
    assert solution.changes.arm_extension == pytest.approx(changes["arm_extension_mm"], abs=length)
    assert solution.changes.pickup_move.forward == changes["pickup_move_mm"]["forward"]


def test_summary_agrees_with_itself(summary: dict[str, Any], solution: Solution) -> None:
    """At the rack displacement that the summary names, the inner wheel has the lock that it names."""
    front_end = solution.as_modified.front_end
    for turn, told in summary["as_modified"]["turns"].items():
        poses = front_end.at_ride_height(np.array([rack_sign(front_end, turn) * told["rack_mm"]]))
        inner = poses[0 if turn == "left" else 1]
        steer = math.degrees(abs(float(np.ravel(steer_angle(inner))[0])))
        # 5e-5 mm of rounded rack travel at under 2 degrees per mm, and half of the last decimal of the angle.
        assert told["lock_deg"] == pytest.approx(steer, abs=7e-4)


def test_summary_holds_the_solids_volumes(demo: BuildResult, summary: dict[str, Any]) -> None:
    """Each STEP file, read back, has the volume and the size over all that the summary tells."""
    assert sorted(PARTS) == sorted(part["name"] for part in summary["parts"])
    for part in summary["parts"]:
        if part["name"] == PAPER:
            assert [f"{PAPER}-A.pdf", f"{PAPER}-A.dxf"] == part["files"]
            continue
        (step,) = (name for name in part["files"] if name.endswith(".step"))
        solid = cq.importers.importStep(str(demo.folder / step)).val()
        # Half of the last decimal written, and what a reader's own edges cost.
        tolerance = 0.5e-2 + RECOMPUTED_TOLERANCE * part["volume_mm3"]
        assert part["volume_mm3"] == pytest.approx(measure.volume(solid), abs=tolerance)
        # Of a read-back solid the kernel boxes curved edges to within its own tolerance.
        assert part["envelope_mm"] == pytest.approx(list(measure.box(solid).size), abs=1e-3)


def test_summary_names_the_files(demo: BuildResult, summary: dict[str, Any]) -> None:
    """The files that the summary lists by part are all that there are besides the documents."""
    listed = [name for part in summary["parts"] for name in part["files"]]
    assert sorted(set(demo.files) - DOCUMENTS) == sorted(listed)
    text = (demo.folder / "summary.md").read_text(encoding="utf-8")
    assert [] == [name for name in listed if f"`{name}`" not in text]


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("Alder coupe, 50 degrees on 17s", "alder-coupe-50-degrees-on-17s"),
        ("Übung 3: größer", "ubung-3-groer"),
        ("  spaced  ", "spaced"),
    ],
)
def test_folder_is_named_by_the_job(name: str, folder: str) -> None:
    """A plain name stays readable."""
    assert folder == file_name(name)


@pytest.mark.parametrize(
    "name",
    [
        "../x",
        "/etc",
        "..",
        ".",
        "CON",
        "nul",
        "com1",
        "a" * 500,
        "\u05d0\u05d1\u05d2",
        "|`<script>`|",
        "-",
        "\\\\x",
    ],
)
def test_folder_of_a_hostile_name_is_safe(name: str) -> None:
    """Whatever the name, the folder's is short, plain and no device of any system."""
    safe = file_name(name)
    assert safe.replace("-", "").isalnum()
    assert safe.isascii()
    assert 1 <= len(safe) <= 80
    assert safe not in {"con", "prn", "aux", "nul", "com1", "lpt1"}


def test_names_that_lose_letters_stay_apart() -> None:
    """Two names of which nothing plain is left get different folders."""
    assert file_name("\u05d0\u05d1\u05d2") != file_name("\u05d3\u05d4\u05d5")
