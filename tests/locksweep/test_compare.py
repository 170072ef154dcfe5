"""locksweep compare: what changed, by how much, which key moved it, and what becomes of the old part."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from locksweep.building import BuildResult, build_job
from locksweep.compare.comparison import Comparison, compare
from locksweep.compare.keys import key_changes, with_keys
from locksweep.compare.overlay import outline_points
from locksweep.compare.parts import PartChange, compare_lists
from locksweep.compare.reuse import Verdict, reuse_of
from locksweep.documents.compare import compare_text
from locksweep.documents.compare_record import compare_record
from locksweep.job import parse_job
from locksweep.schemas import schema_text
from locksweep.solved import Solved, json_text, solve_job
from solver.families.base import circle_outline, outline_area
from solver.part import Part, Refusal
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import contents, edited, full_job, small_job, tiny_job

OTHER_TYRE = ('tyre = "225/45R17"', 'tyre = "215/45R17"')
MORE_ROOM = ("clearance = 8 ", "clearance = 9 ")


def job(folder: Path, name: str, text: str) -> Path:
    """A job file of its own name."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def record_of(found: Comparison) -> dict[str, Any]:
    """The record as it is read back from JSON, held against its schema."""
    record: dict[str, Any] = json.loads(json_text(compare_record(found)))
    errors = Draft202012Validator(json.loads(schema_text("compare"))).iter_errors(record)
    assert [] == [f"{error.json_path}: {error.message}" for error in errors]
    return record


def part_of(record: dict[str, Any], name: str) -> dict[str, Any]:
    """One part of a record."""
    (part,) = (part for part in record["parts"] if part["name"] == name)
    assert isinstance(part, dict)
    return part


@pytest.fixture(scope="module")
def ring() -> Part:
    """A rack spacer."""
    (part,) = solve_job(parse_job(tiny_job())).parts
    return part


def judged(old: Part, new: Part) -> Verdict:
    """The verdict on an old part."""
    (change,) = compare_lists([old], [new], within=1e-4)
    return reuse_of(change).verdict


def sized(part: Part, **dimensions: float) -> Part:
    """The part with other dimensions."""
    return replace(part, dimensions=replace(part.dimensions, **dimensions))


def test_each_key_is_told_by_what_it_moves(tmp_path: Path) -> None:
    """Of two keys that move a dimension each is told with the value that it gives alone: what a job with it has."""
    small = small_job()
    found = record_of(
        compare(
            job(tmp_path, "a.toml", small),
            job(
                tmp_path, "b.toml", edited(small, OTHER_TYRE, MORE_ROOM, ("offset = 12", 'offset = "12 mm"'))
            ),
        )
    )
    keys = {key["key"]: key for key in found["keys"]}
    assert {"goal.clearance", "changes.wheel.tyre", "changes.wheel.offset"} == set(keys)
    assert ["changes.wheel.offset"] == [name for name, key in keys.items() if key["same_meaning"]]

    def extension(text: str) -> float:
        return next(
            p.dimensions.extension for p in solve_job(parse_job(text)).parts if p.name == "arm-sleeve"
        )

    changes = {change["name"]: change for change in part_of(found, "arm-sleeve")["changes"]}
    change = changes["extension"]
    assert extension(small) == change["old"]
    assert change["by"] == pytest.approx(change["new"] - change["old"])
    told = {effect["key"]: (effect["alone"], effect["without"]) for effect in change["keys"]}
    tyre, room = extension(edited(small, OTHER_TYRE)), extension(edited(small, MORE_ROOM))
    assert {"changes.wheel.tyre": (tyre, room), "goal.clearance": (room, tyre)} == told
    assert "unchanged" == part_of(found, "rack-spacer")["status"]


def test_keys_that_work_together_only_are_not_blamed_singly(tmp_path: Path) -> None:
    """A new table is one key, as half of a tie rod could not be read; and a table taken out is one as well."""
    rod = '[[tie_rod_choice]]\nname = "long"\nshortest = 350\nlongest = 420\n'
    text = tiny_job()
    found = key_changes(_tables(text), _tables(text + rod))
    assert ["tie_rod_choice"] == [change.key for change in found]
    assert _tables(text + rod) == with_keys(_tables(text), found)
    assert _tables(text) == with_keys(_tables(text + rod), found, back=True)


def test_keys_of_named_tables_are_told_by_name() -> None:
    """One of several keep-clear objects is named, taken out or changed alone; the others stay as they are."""
    old = _tables(full_job())
    new = _tables(
        edited(full_job(), ("radius = 38", "radius = 37"), ('name = "anti-roll bar blade"', 'name = "bar"'))
    )
    found = key_changes(old, new)
    assert [
        "keep_clear 'frame rail'.radius",
        "keep_clear 'anti-roll bar blade'",
        "keep_clear 'bar'",
    ] == [change.key for change in found]
    back = with_keys(new, found, back=True)
    assert sorted(map(str, old["keep_clear"])) == sorted(map(str, back["keep_clear"]))
    assert old | {"keep_clear": None} == back | {"keep_clear": None}


def test_part_comes_and_goes_with_its_key(tmp_path: Path) -> None:
    """A stop taken out: its brackets are no longer needed because of that table, and the other way round."""
    text = full_job()
    stop = text[text.index("[[stop]]") : text.index("[marking]\n")]
    full, bare = job(tmp_path, "a.toml", stop + small_job()), job(tmp_path, "b.toml", small_job())
    gone = record_of(compare(full, bare))
    assert "no longer needed" == part_of(gone, "bump-stop-left")["status"]
    assert "is not needed" == part_of(gone, "bump-stop-left")["verdict"]
    come = record_of(compare(bare, full))
    for record in (gone, come):
        (key,) = part_of(record, "bump-stop-left")["keys"]
        assert key.startswith("stop")
        assert "unchanged" == part_of(record, "rack-spacer")["status"]
    assert ("new", "is new") == tuple(part_of(come, "bump-stop-left")[key] for key in ("status", "verdict"))


def test_key_that_is_impossible_alone_is_said(tmp_path: Path) -> None:
    """A key that makes the job unreadable or unreachable without its companions says so, and nothing breaks."""
    text = tiny_job()
    both = edited(
        text,
        ("lock = 50 ", "lock = 75 "),
        ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "S355"'),
    )
    record = record_of(compare(job(tmp_path, "a.toml", text), job(tmp_path, "b.toml", both)))
    keys = {key["key"]: key for key in record["keys"]}
    assert "out of reach" in keys["goal.lock"]["alone"]
    assert keys["goal.lock"]["without"] is None
    assert ("not told", "not told") == tuple(record["parts"][0][key] for key in ("status", "verdict"))


@pytest.mark.parametrize(
    ("old", "new", "verdict"),
    [
        ({}, {}, "can be used"),
        ({"thickness": 4.0}, {"thickness": 4.04}, "can be used"),
        ({"thickness": 4.0}, {"thickness": 4.06}, "must be made anew"),
        ({"thickness": 5.0}, {"thickness": 4.0}, "can be reworked"),
        ({"outside_diameter": 24.0}, {"outside_diameter": 23.0}, "must be made anew"),
        ({"bore_diameter": 15.5}, {"bore_diameter": 15.0}, "must be made anew"),
        (
            {"thickness": 5.0, "bore_diameter": 15.0},
            {"thickness": 4.0, "bore_diameter": 15.5},
            "must be made anew",
        ),
    ],
)
def test_verdict_on_a_ring(ring: Part, old: dict[str, float], new: dict[str, float], verdict: str) -> None:
    """A ring that is too thick can be faced off; whatever else differs by more than 0.05 mm makes it another one."""
    assert verdict == judged(sized(ring, **old), sized(ring, **new))


@pytest.mark.parametrize(
    ("old", "new", "verdict"),
    [
        ("34CrNiMo6+QT", "42CrMo4+QT", "can be used"),
        ("42CrMo4+QT", "34CrNiMo6+QT", "must be made anew"),
        ("42CrMo4+QT", "S355", "must be made anew"),
        ("S355", "S235JR", "can be used"),
        ("6061-T6", "S235JR", "must be made anew"),
    ],
)
def test_verdict_on_another_material(ring: Part, old: str, new: str, verdict: str) -> None:
    """A material stands in for another if its yield, its ultimate, its strength beside a weld and its modulus suffice.

    42CrMo4 can't be welded, so it is no stand-in for a steel that can, however strong it is.
    """
    assert verdict == judged(replace(ring, material=old), replace(ring, material=new))


def test_verdict_on_a_sleeve_of_a_thicker_wall(tmp_path: Path) -> None:
    """A thicker wall on the same arm serves, a thinner one does not; nor does any other length."""
    sleeve = next(p for p in solve_job(parse_job(small_job())).parts if p.name == "arm-sleeve")
    thick = sized(sleeve, wall=8.0)
    assert ("can be used", "must be made anew") == (judged(thick, sleeve), judged(sleeve, thick))
    longer = sized(sleeve, extension=sleeve.dimensions.extension + 1)
    assert ("must be made anew",) * 2 == (judged(longer, sleeve), judged(sleeve, longer))
    weak = replace(sleeve, overridden=("column strength is short",))
    assert ("must be made anew", "can be used") == (judged(sleeve, weak), judged(weak, sleeve))


def test_verdict_on_marking_aids(solved: dict[str, Solved]) -> None:
    """A larger plate with the same holes and slots serves; one with others, or a paper that differs, does not."""
    aids = {part.name: part for part in solved["alder-coupe"].parts if part.role == "marking aid"}
    gauge, base, paper = (aids[name] for name in ("drilling-gauge", "fixture-base", "wrap-template"))
    wider = sized(gauge, width=gauge.dimensions.width + 4)
    assert ("can be used", "must be made anew") == (judged(wider, gauge), judged(gauge, wider))
    other = sized(gauge, distance=gauge.dimensions.distance + 0.06)
    assert ("must be made anew",) * 2 == (judged(other, gauge), judged(gauge, other))
    moved = replace(base.dimensions, stations=tuple(x + 0.5 for x in base.dimensions.stations))
    (change,) = compare_lists([base], [replace(base, dimensions=moved)], within=1e-4)
    assert "must be made anew" == reuse_of(change).verdict
    assert ("stations: not the same",) == reuse_of(change).reasons
    assert ("can be used", "must be made anew") == (
        judged(paper, paper),
        judged(paper, sized(paper, cut_rise=3.0)),
    )


def test_aids_of_a_refused_sleeve_are_kept(solved: dict[str, Solved]) -> None:
    """Fixture and template of a sleeve that was refused are not called needless; without a refusal they are."""
    aids = [part for part in solved["alder-coupe"].parts if part.role == "marking aid"]
    refused = Refusal("arm-sleeve", "fatigue", "it breaks", "less lock")
    for refusals, wanted in (((), "no longer needed"), ((refused,), "not told")):
        found = {change.name: change for change in compare_lists(aids, [], refusals)}
        for part in aids:
            expected = "no longer needed" if part.name == "drilling-gauge" else wanted
            assert expected == found[part.name].status
    assert ("it goes with arm-sleeve, which was refused",) == reuse_of(found["fixture-base"]).reasons


def test_places_are_said_to_move(tmp_path: Path) -> None:
    """Slots that are elsewhere are told by the farthest one, with the key that moves them."""
    text = small_job().replace('make = "none"', 'make = "all"\nplate = 6')
    other = edited(text, ("plate = 6", "plate = 5"))
    record = record_of(compare(job(tmp_path, "a.toml", text), job(tmp_path, "b.toml", other)))
    (stations,) = (c for c in part_of(record, "fixture-base")["changes"] if c["name"] == "stations")
    assert ["marking.plate"] == [effect["key"] for effect in stations["keys"]]
    farthest = max(abs(a - b) for a, b in zip(stations["old"], stations["new"], strict=True))
    assert farthest == pytest.approx(stations["by"], abs=1e-3)
    assert f"stations: they move by up to {farthest:.2f} mm" in compare_text(record)


def test_more_of_a_part_are_said(ring: Part) -> None:
    """The same part in a larger number: the old ones serve, and so many more are needed."""
    (change,) = compare_lists([ring], [replace(ring, quantity=4)])
    assert (("quantity", 2, 4),) == change.changes
    assert ("2 more of it are needed",) == reuse_of(change).looks


def test_smaller_tyre_leaves_the_plates_where_they_are(tmp_path: Path) -> None:
    """Plates sized for a larger tyre keep the wanted gap from a smaller one; of thinner sheet than wanted they go."""
    a = job(tmp_path, "a.toml", full_job())
    b = job(tmp_path, "b.toml", edited(full_job(), OTHER_TYRE))
    record = record_of(compare(a, b))
    plates = [part for part in record["parts"] if part["family"] == "closure-plate"]
    assert ["can be used"] * 2 == [plate["verdict"] for plate in plates]
    back = record_of(compare(b, a))
    assert ["must be made anew"] * 2 == [part_of(back, plate["name"])["verdict"] for plate in plates]
    thicker = ('plate_thickness = "1.5 mm"', 'plate_thickness = "2 mm"')
    c = job(tmp_path, "c.toml", edited(full_job(), OTHER_TYRE, thicker))
    for part in record_of(compare(a, c))["parts"]:
        assert "closure-plate" != part["family"] or "must be made anew" == part["verdict"]


def test_picture_shows_what_changed(tmp_path: Path, locksweep: Command) -> None:
    """One SVG with a picture for each part whose outline changed; it is not written over another file."""
    a = job(tmp_path, "a.toml", small_job())
    b = job(tmp_path, "b.toml", edited(small_job(), OTHER_TYRE))
    picture = tmp_path / "changes.svg"
    done = locksweep("compare", a, b, "--picture", picture)
    assert 0 == done.code
    text = picture.read_text(encoding="utf-8")
    assert ["arm-sleeve: outline, old and new"] == re.findall(r">([\w-]+: [^<]*)</text>", text)
    # Tube and two holes, old and new.
    assert 6 == text.count("<polygon")
    again = locksweep("compare", a, b, "--picture", picture, "--json")
    assert "the same to the last byte" in again.err
    json.loads(again.out)
    other = locksweep("compare", b, a, "--picture", picture)
    assert 4 == other.code
    assert "is left as it is" in other.err
    assert text == picture.read_text(encoding="utf-8")
    none = locksweep("compare", a, a, "--picture", tmp_path / "none.svg")
    assert "No outline changed" in none.out
    assert not (tmp_path / "none.svg").exists()


def test_arcs_are_drawn_round() -> None:
    """Points of a circle all lie on it, and enclose its area to what chords of 6° leave off: a fifth of a percent."""
    points = outline_points(circle_outline(3.0, -2.0, 10.0))
    assert all(abs(((x - 3) ** 2 + (y + 2) ** 2) ** 0.5 - 5) < 1e-9 for x, y in points)
    area = outline_area(tuple((x, y, 0.0) for x, y in points.tolist()))
    assert area == pytest.approx(outline_area(circle_outline(3.0, -2.0, 10.0)), rel=2e-3)


@pytest.fixture(scope="module")
def sets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Revisions A and B of a job that takes rings alone; only to be read or copied."""
    folder = tmp_path_factory.mktemp("sets")
    for text in (tiny_job(), edited(tiny_job(), ("# rack_spacer = 8 ", "rack_spacer = 5 "))):
        result = build_job(job(folder, "job.toml", text), folder / "sets")
        assert isinstance(result, BuildResult)
    return result.folder.parent


def test_folders_and_job_files_go_together(tmp_path: Path, sets: Path, locksweep: Command) -> None:
    """A revision against another, and against the job file that made it; nothing is written, letters are told."""
    before = contents(sets)
    record = record_of(compare(sets / "A", sets / "B"))
    (part,) = record["parts"]
    assert ("changed", "A", "B") == (part["status"], part["old_revision"], part["new_revision"])
    assert [("thickness", 4.0, 5.0, 1.0)] == [
        (c["name"], c["old"], c["new"], c["by"]) for c in part["changes"]
    ]
    assert ["changes.rack_spacer"] == [effect["key"] for effect in part["changes"][0]["keys"]]
    same = record_of(compare(sets / "B", sets.parents[1] / "job.toml"))
    assert (["unchanged"], []) == ([part["status"] for part in same["parts"]], same["keys"])
    assert before == contents(sets)
    done = locksweep("compare", sets / "B", sets / "A")
    assert 0 == done.code
    assert "old ones can be reworked: rack-spacer (revision A)" in done.out
    assert "thickness: 5.00 mm to 4.00 mm, −1.00 mm" in done.out


@pytest.mark.parametrize(
    ("damage", "words", "goes_on"),
    [
        (lambda f: (f / "summary.md").write_text("mine", "utf-8"), "summary.md was changed", True),
        (lambda f: (f / "rack-spacer-A.step").unlink(), "rack-spacer-A.step is missing", True),
        (lambda f: (f / "rack-spacer-B.step").write_text("x", "utf-8"), "rack-spacer-B.step was added", True),
        (lambda f: (f / "summary.json").write_text("{}", "utf-8"), "summary.json was changed", False),
        (lambda f: (f / "job.toml").write_text("", "utf-8"), "job.toml was changed", False),
        (lambda f: (f / "manifest.json").write_text("{}", "utf-8"), "not a manifest that can be read", False),
    ],
)
def test_damaged_folder_is_told(
    tmp_path: Path,
    sets: Path,
    locksweep: Command,
    damage: Callable[[Path], object],
    words: str,
    goes_on: bool,
) -> None:
    """Exit code 4 and what is damaged; the comparison goes on where what it rests on is whole."""
    copy = tmp_path / "copy"
    shutil.copytree(sets / "A", copy)
    damage(copy)
    done = locksweep("compare", copy, sets / "B")
    assert 4 == done.code
    assert words in done.err
    assert goes_on == ("thickness: 4.00 mm to 5.00 mm" in done.out)
    assert "Traceback" not in done.told


def test_build_tells_of_damage_in_earlier_revisions(tmp_path: Path, sets: Path, locksweep: Command) -> None:
    """A later build goes on, says which earlier revision is not as it was written, and leaves it as it is."""
    out = tmp_path / "sets"
    shutil.copytree(sets, out / sets.name)
    (out / sets.name / "A" / "summary.md").write_text("mine", encoding="utf-8")
    (out / sets.name / "B" / ".DS_Store").write_text("", encoding="utf-8")
    text = edited(tiny_job(), ("# rack_spacer = 8 ", "rack_spacer = 5.2 "))
    done = locksweep("build", job(tmp_path, "job.toml", text), "--out", out)
    assert 0 == done.code
    assert "A: summary.md was changed: that earlier revision is not as it was written" in done.err
    assert "B:" not in done.err
    assert "mine" == (out / sets.name / "A" / "summary.md").read_text(encoding="utf-8")
    assert (out / sets.name / "C" / "rack-spacer-C.step").is_file()


def test_other_tool_version_is_told(tmp_path: Path, sets: Path) -> None:
    """A part that this version would make otherwise from the same job file is compared as it was built."""
    import hashlib

    copy = tmp_path / "A"
    shutil.copytree(sets / "A", copy)
    summary, manifest = (copy / f"{name}.json" for name in ("summary", "manifest"))
    record = json.loads(summary.read_text(encoding="utf-8"))
    record["parts"][0]["dimensions"]["chamfer"] = 0.4
    record["tool"]["version"] = "0.0.1"
    summary.write_text(json.dumps(record), encoding="utf-8")
    listed = json.loads(manifest.read_text(encoding="utf-8"))
    listed["parts"]["rack-spacer"]["identity"] = "0" * 64
    listed["files"]["summary.json"] = hashlib.sha256(summary.read_bytes()).hexdigest()
    manifest.write_text(json.dumps(listed), encoding="utf-8")
    found = record_of(compare(copy, sets / "A"))
    (part,) = found["parts"]
    assert (["rack-spacer"], "0.0.1") == (found["old"]["made_otherwise_now"], found["old"]["tool_version"])
    assert [("chamfer", 0.4, 0.5)] == [(c["name"], c["old"], c["new"]) for c in part["changes"]]
    assert part["by_tool"]
    assert [] == part["changes"][0]["keys"]


@pytest.mark.parametrize(
    ("first", "words"),
    [
        ("nothing.toml", "no such file"),
        (".", "a folder without manifest.json"),
        ("sets", "name one of the revisions in it: A, B"),
    ],
)
def test_what_is_no_revision_is_told(
    tmp_path: Path, sets: Path, locksweep: Command, first: str, words: str
) -> None:
    """A path that is neither a revision nor a job file: exit code 1 and what to name instead."""
    done = locksweep("compare", sets if first == "sets" else tmp_path / first, sets / "B")
    assert 1 == done.code
    assert words in done.err


def _tables(text: str) -> dict[str, Any]:
    import tomllib

    return tomllib.loads(text)


def test_change_of_a_name_is_no_change_of_a_part(ring: Part) -> None:
    """Lists without a common part: what was is no longer needed, what is there is new, and neither is compared."""
    found: list[PartChange] = compare_lists([ring], [replace(ring, name="ring")])
    assert [("rack-spacer", "no longer needed"), ("ring", "new")] == [(c.name, c.status) for c in found]
