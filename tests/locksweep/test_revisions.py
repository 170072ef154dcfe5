"""Revisions: what did not change keeps its letter and its bytes, and no letter ever means two things."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import parts.step
from locksweep.building import BuildResult, build_job
from locksweep.building.part_files import FileOptions
from locksweep.job import parse_job
from locksweep.report.meshes import meshes_in
from locksweep.revisions import Built, builds_of, identity, next_letter, revisions_for
from locksweep.solved import solve_job
from solver.errors import WriteError
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import (
    contents,
    edited,
    everything_below,
    full_job,
    manifest_of,
    small_job,
    tiny_job,
    written,
)

OTHER_TYRE = ('tyre = "225/45R17"', 'tyre = "215/45R17"')
THICKER = ("# rack_spacer = 8 ", "rack_spacer = 5 ")
THICKEST = ("# rack_spacer = 8 ", "rack_spacer = 5.3 ")


def build(folder: Path, text: str, **options: object) -> BuildResult:
    """Build a job text in a folder."""
    result = build_job(written(folder, text), folder / "sets", **options)
    assert isinstance(result, BuildResult)
    return result


def part_files(folder: Path, name: str) -> dict[str, bytes]:
    """STEP, STL and DXF of one part."""
    return {key: data for key, data in contents(folder).items() if key.startswith(f"{name}-")}


@pytest.mark.parametrize(
    ("letter", "following"),
    [("", "A"), ("A", "B"), ("Y", "Z"), ("Z", "AA"), ("AA", "AB"), ("AZ", "BA"), ("ZZ", "AAA")],
)
def test_letters_follow_each_other(letter: str, following: str) -> None:
    """A to Z, then AA."""
    assert following == next_letter(letter)


def test_unchanged_job_is_not_built_again(tmp_path: Path, locksweep: Command) -> None:
    """A second build says that nothing changed and leaves the folder as it is."""
    first = build(tmp_path, tiny_job())
    before = contents(tmp_path)
    again = build(tmp_path, tiny_job())
    assert (False, True) == (first.unchanged, again.unchanged)
    assert first.folder == again.folder
    assert first.files == again.files
    done = locksweep("build", tmp_path / "job-file.toml", "--out", tmp_path / "sets")
    assert 0 == done.code
    assert "nothing changed since this revision was built" in done.out
    assert before == contents(tmp_path)


@pytest.mark.slow
def test_another_tyre_changes_only_what_it_must(demo: BuildResult, tmp_path: Path) -> None:
    """Spacers and the aids that know no tyre keep letter A and their bytes; sleeves, plates and brackets become B."""
    build(tmp_path, full_job())
    result = build(tmp_path, edited(full_job(), OTHER_TYRE))
    assert "B" == result.folder.name
    changed = {name for name, letter in result.revisions.items() if letter == "B"}
    assert {"arm-sleeve", "closure-plate-left", "closure-plate-right"} <= changed
    assert {"rack-spacer", "drilling-gauge", "wrap-template"} <= set(result.kept)
    for name in result.kept:
        assert part_files(demo.folder, name) == part_files(result.folder, name)
    assert changed == {name for name in result.revisions if not list(result.folder.glob(f"{name}-A*"))}
    assert changed.isdisjoint(result.kept)
    assert contents(demo.folder) == contents(tmp_path / "sets" / result.folder.parent.name / "A")
    manifest_of(result.folder)


def test_going_back_gives_the_earlier_letters(tmp_path: Path, locksweep: Command) -> None:
    """The first job built a third time is revision C with parts A; the next new part is C, never B again."""
    first = build(tmp_path, small_job())
    second = build(tmp_path, edited(small_job(), OTHER_TYRE))
    assert {"rack-spacer": "A", "arm-sleeve": "B"} == second.revisions
    written(tmp_path, small_job())
    done = locksweep("build", tmp_path / "job-file.toml", "--out", tmp_path / "sets")
    assert 0 == done.code
    assert "unchanged since an earlier revision: arm-sleeve, rack-spacer" in done.out
    third = first.folder.parent / "C"
    for name in ("rack-spacer", "arm-sleeve"):
        assert part_files(first.folder, name) == part_files(third, name)
    fourth = build(tmp_path, edited(small_job(), ("# arm_extension = 25 ", "arm_extension = 29 ")))
    assert "D" == fourth.folder.name
    assert {"rack-spacer": "A", "arm-sleeve": "C"} == fourth.revisions


def made_by(monkeypatch: pytest.MonkeyPatch, folder: Path, text: str, **options: Any) -> set[str]:
    """Parts whose files a build makes; the set as it sits on the car takes the solids of all."""
    made: set[str] = set()
    write_step = parts.step.write_step

    def noted(*arguments: Any, name: str, **others: Any) -> None:
        made.add(name)
        write_step(*arguments, name=name, **others)

    with monkeypatch.context() as patch:
        patch.setattr(parts.step, "write_step", noted)
        build(folder, text, **options)
    return made


def test_only_what_changed_is_built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Files of a part that is as it was are copied; where they are no longer as written, they are made anew."""
    first = build(tmp_path, small_job())
    assert {"arm-sleeve"} == made_by(monkeypatch, tmp_path, edited(small_job(), OTHER_TYRE))
    meshes = [meshes_in(folder / "report.html") for folder in (first.folder, first.folder.parent / "B")]
    for number in range(2):
        assert np.array_equal(*(mesh["rack-spacer"][number] for mesh in meshes))
    good = part_files(first.folder, "rack-spacer")
    for folder in (first.folder, first.folder.parent / "B"):
        (folder / "rack-spacer-A.step").write_text("edited by hand", encoding="utf-8")
    assert {"rack-spacer"} == made_by(monkeypatch, tmp_path, small_job())
    assert good == part_files(first.folder.parent / "C", "rack-spacer")
    other = made_by(monkeypatch, tmp_path, small_job(), options=FileOptions(single_layer=True))
    assert {"arm-sleeve", "rack-spacer"} == other


def test_letter_of_a_part_built_alone_is_taken(tmp_path: Path) -> None:
    """A part that was built alone and then changed gets the next letter; unchanged it keeps its own."""
    alone = build(tmp_path, tiny_job(), only=("rack-spacer",))
    assert {"rack-spacer": "A"} == alone.revisions
    changed = build(tmp_path, edited(tiny_job(), THICKER))
    assert {"rack-spacer": "B"} == changed.revisions
    assert "A" == changed.folder.name
    same = build(tmp_path, tiny_job())
    assert {"rack-spacer": "A"} == same.revisions
    assert part_files(alone.folder, "rack-spacer") == part_files(same.folder, "rack-spacer")
    assert {"rack-spacer": "C"} == build(tmp_path, edited(tiny_job(), THICKEST)).revisions


def test_other_options_make_another_revision_of_the_set(tmp_path: Path) -> None:
    """The same job as AP214 is a new folder, and the part keeps its letter since it is the same part."""
    build(tmp_path, tiny_job())
    result = build(tmp_path, tiny_job(), options=FileOptions(schema="AP214"))
    assert ("B", {"rack-spacer": "A"}) == (result.folder.name, result.revisions)


def test_another_material_is_another_part(tmp_path: Path) -> None:
    """The same ring in another steel gets the next letter."""
    build(tmp_path, tiny_job())
    steel = ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "34CrNiMo6+QT"')
    assert {"rack-spacer": "B"} == build(tmp_path, edited(tiny_job(), steel)).revisions


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (lambda folder: (folder / "summary.md").write_text("mine", "utf-8"), "summary.md was changed"),
        (lambda folder: (folder / "rack-spacer-A.step").unlink(), "rack-spacer-A.step is missing"),
    ],
)
def test_damage_is_seen(
    tmp_path: Path, locksweep: Command, damage: Callable[[Path], object], words: str
) -> None:
    """An edited or missing file is named when the same job is built again, and nothing is written over it."""
    folder = build(tmp_path, tiny_job()).folder
    damage(folder)
    before = contents(tmp_path)
    done = locksweep("build", tmp_path / "job-file.toml", "--out", tmp_path / "sets")
    assert 4 == done.code
    assert words in done.err
    assert "move it away" in done.err
    assert before == contents(tmp_path)


@pytest.mark.parametrize(
    "break_it",
    [
        lambda text: text[: len(text) // 2],
        lambda text: "[]",
        lambda text: "\x00\xff",
        lambda text: text.replace('"files"', '"filed"'),
        lambda text: text.replace('"parts"', '"party"'),
        lambda text: text.replace('"revision": "A",\n      "identity"', '"revision": 1,\n      "identity"'),
        lambda text: text.replace('"revision": "A",\n      "identity"', '"revision": "x",\n      "identity"'),
        lambda text: json.dumps(json.loads(text) | {"files": {"job.toml": None}}),
    ],
)
def test_broken_manifest_is_named(tmp_path: Path, locksweep: Command, break_it: Callable[[str], str]) -> None:
    """History can't be told from a manifest that isn't whole: one message with its path, nothing written."""
    manifest = build(tmp_path, tiny_job()).folder / "manifest.json"
    text = manifest.read_text(encoding="utf-8")
    broken = break_it(text)
    assert text != broken
    manifest.write_bytes(broken.encode("latin-1"))
    before = everything_below(tmp_path)
    done = locksweep("build", tmp_path / "job-file.toml", "--out", tmp_path / "sets")
    assert 4 == done.code
    assert f"{manifest}: not a manifest that can be read" in done.err
    assert before == everything_below(tmp_path)


def test_missing_manifest_is_named(tmp_path: Path) -> None:
    """A revision's folder without a manifest stops the build as well."""
    folder = tmp_path / "A"
    folder.mkdir()
    with pytest.raises(WriteError, match="manifest"):
        builds_of(tmp_path)


def test_other_folders_are_left_alone(tmp_path: Path) -> None:
    """What a user keeps beside the revisions is neither read nor taken for one."""
    first = build(tmp_path, tiny_job())
    for name in ("notes", "a", "A1", ".unfinished-xyz"):
        (first.folder.parent / name).mkdir()
    (first.folder.parent / "B").write_text("a file", encoding="utf-8")
    assert [first.folder] == [built.folder for built in builds_of(first.folder.parent)]


def test_revisions_are_sorted_by_age(tmp_path: Path) -> None:
    """AA comes after Z, not after A."""
    first = build(tmp_path, tiny_job()).folder
    root = first.parent
    for letter in ("Z", "AA", "B"):
        (root / letter).mkdir()
        (root / letter / "manifest.json").write_bytes((first / "manifest.json").read_bytes())
    assert ["A", "B", "Z", "AA"] == [built.revision for built in builds_of(root)]


def test_rounding_of_another_machine_is_no_change() -> None:
    """A dimension that differs in its last bits is the same part; a micrometre is another."""
    (part,) = solve_job(parse_job(tiny_job())).parts
    thickness = part.dimensions.thickness

    def with_thickness(value: float) -> str:
        from dataclasses import replace

        return identity(replace(part, dimensions=replace(part.dimensions, thickness=value)))

    assert identity(part) == with_thickness(thickness + 1e-12)
    assert identity(part) != with_thickness(thickness + 1e-3)


def test_letters_come_from_the_newest_and_the_same() -> None:
    """A part that is the same as an earlier one gets that letter, else the one after the newest."""
    (part,) = solve_job(parse_job(tiny_job())).parts

    def built(letter: str, digest: str) -> Built:
        return Built(Path(letter), letter, "", {"rack-spacer": (letter, digest)})

    others = [built("A", "other"), built("Z", "one more")]
    assert {"rack-spacer": "A"} == revisions_for([part], [])
    assert {"rack-spacer": "AA"} == revisions_for([part], others)
    assert {"rack-spacer": "B"} == revisions_for([part], [*others, built("B", identity(part))])
