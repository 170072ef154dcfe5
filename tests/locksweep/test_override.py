"""A part below the margin that is required is not written, unless the builder overrides by name; every file says so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import ezdxf
import pytest
from jsonschema import Draft202012Validator

from locksweep.building import BuildResult, build_job
from locksweep.documents.verdicts import OVERRIDDEN
from locksweep.exit_codes import Exit
from locksweep.schemas import schema_text
from locksweep.solved import Solved
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, tiny_job, written
from tests.parts.drawn import read

WEAK = ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "S355"')
OVERRIDE = ('# override = ["arm-sleeve"]', 'override = ["rack-spacer"]')


@pytest.fixture(scope="module")
def overridden(tmp_path_factory: pytest.TempPathFactory) -> BuildResult:
    """The small job with a spacer of a steel too weak for it, made all the same."""
    folder = tmp_path_factory.mktemp("override")
    result = build_job(written(folder, edited(tiny_job(), WEAK, OVERRIDE)), folder / "sets")
    assert isinstance(result, BuildResult)
    return result


def test_without_override_nothing_is_written(tmp_path: Path) -> None:
    """The part is refused with its reason, and no folder is left."""
    result = build_job(written(tmp_path, edited(tiny_job(), WEAK)), tmp_path / "sets")
    assert isinstance(result, Solved)
    (refusal,) = result.refusals
    assert "rack-spacer" == refusal.name
    assert "bearing pressure" in refusal.reason
    assert not (tmp_path / "sets").exists()


def test_every_file_says_so(overridden: BuildResult) -> None:
    """STEP and STL in their headers, DXF among its custom properties, the sheet in print, in so many words."""
    kinds = ("-A.step", "-A.stl", "-drawing.pdf")
    step, stl, pdf = (next(overridden.folder.glob(f"*{kind}")) for kind in kinds)
    header = re.sub(r"\n\s*", "", step.read_text(encoding="ascii")).partition("DATA;")[0]
    assert OVERRIDDEN in header
    assert OVERRIDDEN in stl.read_bytes()[:80].decode("ascii")
    drawings = sorted(overridden.folder.glob("*.dxf"))
    assert 2 == len(drawings)
    for dxf in drawings:
        document = ezdxf.filemanagement.readfile(dxf)
        assert OVERRIDDEN == document.header.custom_vars.get("Caution")
    assert OVERRIDDEN in read(pdf).words.split("\n")


def test_documents_say_so(overridden: BuildResult) -> None:
    """Summary and caution note name the check that falls short; the data for programs hold it as well."""
    caution, summary = ((overridden.folder / f"{name}.md").read_text() for name in ("caution", "summary"))
    (part,) = overridden.solved.parts
    (sentence, *_) = part.overridden
    assert "## Made although a check falls short" in caution
    assert "a margin of 0." in sentence
    assert caution.count(sentence.replace("_", r"\_")) >= 2
    assert "override" in summary.lower()
    record = json.loads((overridden.folder / "summary.json").read_text())
    assert [*part.overridden] == record["parts"][0]["overridden"]
    assert [] == list(Draft202012Validator(json.loads(schema_text("summary"))).iter_errors(record))


def test_sound_part_says_nothing(demo: BuildResult) -> None:
    """No file of a part that reaches its margins has the words."""
    for path in demo.folder.iterdir():
        if path.suffix in (".step", ".stl", ".dxf", ".md"):
            assert OVERRIDDEN.encode() not in path.read_bytes(), path.name


def test_overridden_part_is_another_revision(overridden: BuildResult, tmp_path: Path) -> None:
    """A part of the same shape that is sound has files of its own, under a letter of its own."""
    sound = build_job(written(tmp_path, tiny_job()), overridden.folder.parent.parent)
    assert isinstance(sound, BuildResult)
    assert {"rack-spacer": "A"} == overridden.revisions
    assert {"rack-spacer": "B"} == sound.revisions


def test_terminal_says_so(locksweep: Command, tmp_path: Path) -> None:
    """The build and the answer both say what was overridden; the exit code is that of a complete build."""
    job = written(tmp_path, edited(tiny_job(), WEAK, OVERRIDE))
    built = locksweep("build", job, "--out", tmp_path / "sets")
    assert 0 == built.code
    assert "MADE BY OVERRIDE: rack-spacer: bearing pressure" in built.out
    assert "MADE BY OVERRIDE" in locksweep("solve", job).out
    refused = locksweep("build", written(tmp_path, edited(tiny_job(), WEAK)), "--out", tmp_path / "none")
    assert Exit.OUT_OF_REACH == refused.code
    assert 'override = ["rack-spacer"]' in refused.out
