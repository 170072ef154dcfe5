"""`locksweep retyre`: what it says, that it says nothing where nothing changes, and what it writes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.documents.retyre import retyre_text
from locksweep.documents.retyre_record import retyre_record
from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from locksweep.retyre.change import change_tyre
from locksweep.retyre.into_job import how_to_keep, update_job, updated_text
from locksweep.retyre.wheel import NewWheel, new_wheel
from locksweep.schemas import schema_text
from solver.errors import JobFileError, LocksweepError, WriteError
from solver.tyre_change import wheel_of
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, full_job, small_job, written
from tests.locksweep.test_clearance_command import closed

INCH = 25.4
NOTHING: dict[str, str | None] = {}
SIZE = 'tyre = "225/45R17"'
"""As it stands in the demo job, once."""
PANEL = 'name = "rear inner panel"\nside = '


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """The demo job with its left panel on the tyre it has, on a larger and on a smaller one, as their records."""
    text = edited(full_job(), (f'{PANEL}"both"', f'{PANEL}"left"'))
    job = written(tmp_path_factory.mktemp("retyre"), text)
    sizes = {"same": "225/45R17", "larger": "265/35R18", "smaller": "235/40R17"}
    return {
        name: json.loads(json.dumps(retyre_record(change_tyre(job, size, NOTHING))))
        for name, size in sizes.items()
    }


@pytest.mark.parametrize("name", ["same", "larger", "smaller"])
def test_the_record_follows_its_schema(records: dict[str, dict[str, Any]], name: str) -> None:
    """What is told to programs passes the published schema."""
    schema = json.loads(schema_text("retyre"))
    Draft202012Validator.check_schema(schema)
    assert [] == [error.message for error in Draft202012Validator(schema).iter_errors(records[name])]


def test_the_schema_is_closed_and_described() -> None:
    """Each of its objects allows no further keys, demands all of its own, and describes every key."""
    for item in closed(json.loads(schema_text("retyre"))):
        if item.get("additionalProperties") is not False:
            continue
        assert list(item["properties"]) == item["required"]
        for key, found in item["properties"].items():
            assert {"title", "description"} <= found.keys(), key


def test_the_same_tyre_changes_nothing(records: dict[str, dict[str, Any]]) -> None:
    """The tyre that the job has changes no lock, clearance, cut, plate or part, and nothing has to be assumed."""
    record = records["same"]
    kept = record["kept"]
    assert record["tyres"]["old"] == record["tyres"]["new"]
    assert ([], None) == (record["assumed"], record["anew"])
    assert kept["turns"] == record["old"]["turns"]
    assert all(place["old"] == place["new"] for place in kept["places"])
    assert [0] == [cut["more_mm2"] for cut in kept["cuts"]]
    assert {"can stay"} == {plate["verdict"] for plate in kept["plates"]}
    assert {"unchanged"} == {part["status"] for part in kept["parts"]}
    assert "same changes" in retyre_text(record)


def test_a_larger_tyre(records: dict[str, dict[str, Any]]) -> None:
    """265/35R18: sizes by hand, rim assumed and said, more metal, the plates must be remade with place and pose."""
    record = records["larger"]
    tyre = record["tyres"]["new"]
    # 457.2 + 2 × 265 × 0.35, on its measuring rim of 9.5 in; R30 grows section height and width by 4 %.
    assert tyre["outside_diameter_mm"] == pytest.approx(642.7)
    assert tyre["rim_width_mm"] == pytest.approx(9.5 * INCH)
    assert tyre["grown_outside_diameter_mm"] == pytest.approx(457.2 + 2 * 92.75 * 1.04, abs=0.01)
    assert tyre["grown_section_width_mm"] == pytest.approx(265 * 1.04)
    assert 2 == len(record["assumed"])
    kept = record["kept"]
    assert not kept["goal_met"]
    assert kept["changes_mm"] == record["old"]["changes_mm"]
    assert kept["sized_for_lock_deg"] < record["goal"]["lock_deg"]
    assert all(cut["more_mm2"] > 10_000 and cut["beyond_mm"] > 10 for cut in kept["cuts"])
    for plate, old in zip(kept["plates"], record["old"]["plates"], strict=True):
        assert "must be remade" == plate["verdict"]
        assert old["faces"] == plate["old_faces"]
        assert old["faces"]["gap_mm"] >= record["wanted_gap_mm"] > plate["faces"]["gap_mm"]
        assert plate["faces"]["what"] in plate["short"]
        assert plate["old_size_mm"] != plate["new_size_mm"]
    text = retyre_text(record)
    assert "closure-plate-left MUST BE REMADE" in text
    assert "measuring rim of 265/35R18" in text
    assert "--offset" in text


def test_a_smaller_tyre(records: dict[str, dict[str, Any]]) -> None:
    """235/40R17: the plates can stay with more room than before, less would be cut, and a shorter arm would do."""
    record = records["smaller"]
    kept, anew = record["kept"], record["anew"]
    assert kept["complete"]
    for changed in (kept, anew):
        for plate in changed["plates"]:
            assert ("can stay", []) == (plate["verdict"], plate["short"])
            assert plate["faces"]["gap_mm"] > plate["old_faces"]["gap_mm"]
            assert plate["beside"]["gap_mm"] > record["wanted_gap_mm"]
        assert all(cut["more_mm2"] < 0 for cut in changed["cuts"])
    assert anew["changes_mm"]["arm_extension"] < kept["changes_mm"]["arm_extension"]
    sleeve = next(part for part in anew["parts"] if "arm-sleeve" == part["name"])
    extension = next(change for change in sleeve["changes"] if "extension" == change["name"])
    assert kept["changes_mm"]["arm_extension"] == extension["old"]
    assert anew["changes_mm"]["arm_extension"] == extension["new"]
    text = retyre_text(record)
    assert f"write under [changes]: arm_extension = {kept['changes_mm']['arm_extension']:g}" in text
    assert "closure-plate-left CAN STAY" in text


def test_places_are_those_of_the_clearance_command(records: dict[str, dict[str, Any]]) -> None:
    """The worst place of the old tyre is as deep as the cut's panel tells by its own map, and has status and pose."""
    for record in records.values():
        for place in record["kept"]["places"]:
            near = [place[key]["clearance_mm"] < record["wanted_gap_mm"] for key in ("old", "new")]
            expected = {
                (True, True): "too near as before",
                (False, True): "newly too near",
                (True, False): "no longer too near",
                (False, False): "clear as before",
            }
            assert expected[near[0], near[1]] == place["status"]
            assert place["new"]["pose"] is not None


def test_a_job_without_a_body(locksweep: Command, tmp_path: Path) -> None:
    """Without any body the lock and the parts are told, and that the rest can't be; the file is left as it is."""
    job = written(tmp_path, small_job())
    before = job.read_bytes()
    done = locksweep("retyre", job, "235/40R17", "--offset", "14")
    assert 0 == done.code, done.told
    assert "No body was measured or scanned" in done.out
    assert "can't be told" in done.out
    assert "rack-spacer" in done.out
    assert "Nothing was written." in done.out
    assert 'tyre = "235/40R17"' in done.out
    assert "offset = 14" in done.out
    assert before == job.read_bytes()


def test_out_of_reach_has_its_exit_code_and_json_is_pure(locksweep: Command, tmp_path: Path) -> None:
    """A goal that the new tyre can't meet ends with 3, the record alone on standard output; --write says so aside."""
    job = written(tmp_path, small_job())
    arguments = ("265/35R18", "--rim-width", "9.5 in", "--offset", "12 mm", "--json", "--write")
    done = locksweep("retyre", job, *arguments)
    assert 3 == done.code, done.told
    record = json.loads(done.out)
    assert "265/35R18" == record["tyres"]["new"]["size"]
    assert "is written; nothing else was changed" in done.err
    changed = parse_job(job.read_text(encoding="utf-8"))
    assert ("265/35R18", pytest.approx(9.5 * INCH), 12.0) == (
        wheel_of(changed).tyre,
        wheel_of(changed).rim_width,
        wheel_of(changed).offset,
    )


def test_an_old_job_out_of_reach_has_no_plates(tmp_path: Path) -> None:
    """Where the job can't be met on its old tyre there is no old plate, and that is said."""
    job = written(tmp_path, edited(small_job(), ("lock = 50 ", "lock = 80 ")))
    record = retyre_record(change_tyre(job, "205/45R17", NOTHING))
    assert [] == record["old"]["plates"]
    assert not record["old"]["goal_met"]
    assert "no old plates and parts to compare" in retyre_text(record)


JOB = parse_job(full_job())


@pytest.mark.parametrize(
    ("size", "given", "words"),
    [
        (
            "fast one",
            {},
            ['SIZE: found "fast one"', "265" and "width in mm", "locksweep retyre JOB 225/45R17"],
        ),
        ("265/35", {}, ["SIZE: found", "R, rim in inches"]),
        ("", {}, ["SIZE: found", "a tyre size"]),
        ("225/45R17\n", {"offset": "x"}, ["--offset: found", "--offset '15 mm'"]),
        ("305/35R17", {}, ["305/35R17 does not go on the rim that the job has", "--rim-width '11 in'"]),
        (
            "225/45R17",
            {"rim_width": "12 in"},
            ["does not go on the rim:", "measuring rim", "--rim-width '7.5 in'"],
        ),
        ("225/45R17", {"rim_width": "8 kg"}, ["--rim-width", "expected a length"]),
        ("225/45R17", {"rim_width": "nan"}, ["--rim-width", "expected a length"]),
        ("225/45R17", {"offset": "1 m"}, ["--offset", "from -200 mm to 200 mm"]),
        ("225/45R17", {"loaded_radius": "400"}, ["--loaded-radius: found 400.0 mm", "at most half"]),
        ("395/85R24", {}, ["395/85R24 is 1281 mm in diameter", "195/60R15", "For example: 225/45R17"]),
        ("225/45R17", {"outside_diameter": "1100"}, ["225/45R17 is 1100 mm in diameter"]),
        ("225/45R17", {"outside_diameter": "440"}, ["outside diameter 440.0 mm does not fit a 17 in rim"]),
    ],
)
def test_what_can_t_be_a_wheel(size: str, given: dict[str, str | None], words: list[str]) -> None:
    """A string or length that can't be used is named, with what was expected and an example."""
    with pytest.raises(LocksweepError) as error:
        new_wheel(JOB, size, given)
    for word in words:
        assert word in str(error.value)


def test_bad_input_ends_with_one_message(locksweep: Command, tmp_path: Path) -> None:
    """What can't be used ends with exit code 1 and one message, before anything is swept; the file is untouched."""
    job = written(tmp_path, small_job())
    for arguments, words in (
        (("nonsense",), "SIZE: found"),
        (("395/25R24", "--rim-width", "360 mm"), "does not go in: straight ahead"),
        (("235/40R17", "--gap", "2 m"), "--gap 2 m"),
    ):
        done = locksweep("retyre", job, *arguments)
        assert 1 == done.code, done.told
        assert words in done.err
        assert "" == done.out
    assert small_job() == job.read_text(encoding="utf-8")
    assert 1 == locksweep("retyre", tmp_path / "none.toml", "225/45R17").code
    assert 2 == locksweep("retyre", job).code


def test_what_is_taken_where_nothing_is_given() -> None:
    """The same rim keeps width and offset, another one is assumed and named, and measures are the measured tyre's."""
    same = new_wheel(JOB, "235/40R17", NOTHING)
    assert (7.5 * INCH, 12.0, ()) == (same.wheel.rim_width, same.wheel.offset, same.assumed)
    other = new_wheel(JOB, "235/40R18", NOTHING)
    assert ("rim_width", "offset") == other.assumed
    assert 12.0 == other.wheel.offset
    given = new_wheel(JOB, "235/40R18", {"rim_width": "8.5 in", "offset": "-5"})
    assert (pytest.approx(8.5 * INCH), -5.0) == (given.wheel.rim_width, given.wheel.offset)
    assert () == given.assumed
    measured = parse_job(edited(full_job(), (SIZE, f"{SIZE}\noutside_diameter = 630")))
    assert 630.0 == new_wheel(measured, "225/45R17", {"offset": "20"}).wheel.outside_diameter
    assert new_wheel(measured, "235/45R17", NOTHING).wheel.outside_diameter is None
    assert (
        new_wheel(measured, "225/45R17", {"rim_width": "8 in", "offset": "1"}).wheel.outside_diameter is None
    )


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines of the one that are not in the other, both ways."""
    old, new = before.split("\n"), after.split("\n")
    return [line for line in old if line not in new], [line for line in new if line not in old]


def on(text: str, size: str, **given: str) -> tuple[str, NewWheel]:
    """A job text with another tyre, and that."""
    job = parse_job(text)
    wheel = new_wheel(job, size, given)
    changed, _ = updated_text(text, job, wheel)
    assert wheel.wheel == wheel_of(parse_job(changed))
    return changed, wheel


@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_comments_and_layout_stay(name: str, ends: str) -> None:
    """Values of [changes.wheel] alone change, comments and line ends stay, and the old tyre brings the file back."""
    text = demo_text(name).replace("\n", ends)
    old = wheel_of(parse_job(text))
    changed, _ = on(text, "245/40R17", rim_width="8.5 in", offset="15 mm")
    gone, come = changed_lines(text, changed)
    assert (
        ["tyre", "rim_width", "offset"]
        == [line.split(" = ")[0] for line in come]
        == [line.split(" = ")[0] for line in gone]
    )
    back, _ = on(changed, old.tyre, rim_width=f"{old.rim_width / INCH:g} in", offset=f"{old.offset:g} mm")
    assert len(text.split("\n")) == len(back.split("\n"))
    assert re.sub(r"(?m)^offset = .*$", "", text) == re.sub(r"(?m)^offset = .*$", "", back)


def test_a_new_key_goes_behind_the_last_one() -> None:
    """A measured size stands in its table, before the comments that follow, and the next tyre takes it out."""
    text = full_job()
    changed, _ = on(text, "235/40R17", loaded_radius="300")
    assert "offset = 12\nloaded_radius = 300\n" in changed
    again, _ = on(changed, "225/45R17")
    assert text == again


def test_the_comment_keeps_its_column() -> None:
    """A comment behind a value that gets shorter or longer stays where it was."""
    text = edited(full_job(), (SIZE, f"{SIZE}                # bought in spring"))
    changed, _ = on(text, "205/45ZR17 88W")
    line = next(line for line in changed.split("\n") if "bought" in line)
    assert line.startswith('tyre = "205/45ZR17 88W" ')
    assert text.split("bought")[0].rsplit("\n", 1)[1].index("#") == line.index("#")


TABLES = {
    "no table": "",
    "inline": 'wheel = { tyre = "225/45R17", rim_width = "7.5 in", offset = 12 } # mine\n',
    "dotted": 'wheel.tyre = "225/45R17"\nwheel.rim_width = "7.5 in"\nwheel.offset = 12\n',
    "rim alone": '[changes.wheel]\nrim_width = "6 in" # the spare\n',
}


@pytest.mark.parametrize("layout", TABLES)
def test_other_layouts(layout: str) -> None:
    """However the wheel stands in the file, the new tyre gets in with every comment kept, or the file is left alone."""
    text = full_job()
    first, last = text.index("[changes.wheel]"), text.index("# What else may be changed")
    text = text[:first] + TABLES[layout] + text[last:]
    job = parse_job(text)
    size = "205/55R15" if layout in ("no table", "rim alone") else "235/40R17"
    wheel = new_wheel(job, size, {"loaded_radius": "290"})
    changed, changes = updated_text(text, job, wheel)
    assert {"changes.wheel.tyre", "changes.wheel.loaded_radius"} == {key for key, _ in changes}
    assert wheel.wheel == wheel_of(parse_job(changed))
    assert [line.partition("#")[2] for line in text.split("\n") if "#" in line] == [
        line.partition("#")[2] for line in changed.split("\n") if "#" in line
    ]


def test_no_changes_at_all(tmp_path: Path) -> None:
    """A file without [changes] gets [changes.wheel]; one that has the tyre already is left as it is."""
    text = full_job()
    text = text[: text.index("[changes]\n")]
    path = written(tmp_path, text)
    job = parse_job(text)
    wheel = new_wheel(job, "205/55R15", NOTHING)
    update_job(path, job, wheel).write()
    after = path.read_text(encoding="utf-8")
    assert after.startswith(text.rstrip("\n"))
    assert '[changes.wheel]\ntyre = "205/55R15"' in after
    again = update_job(path, parse_job(after), new_wheel(parse_job(after), "205/55R15", NOTHING))
    assert () == again.changes
    assert again.before == again.after
    assert "has this tyre already" in how_to_keep("x.toml", parse_job(after), wheel)


def test_an_unknown_rim_is_not_written(tmp_path: Path) -> None:
    """A rim that was assumed is not kept: what is missing is named, with an example that would do."""
    path = written(tmp_path, full_job())
    wheel = new_wheel(JOB, "265/35R18", NOTHING)
    with pytest.raises(
        JobFileError, match=r"--rim-width and --offset are missing.*--rim-width '9\.5 in' --offset"
    ):
        update_job(path, JOB, wheel)
    assert full_job() == path.read_text(encoding="utf-8")
    assert "--rim-width and --offset, and --write" in how_to_keep(str(path), JOB, wheel)


def test_another_fault_in_the_file_is_not_ours(tmp_path: Path, job_file: Callable[[str], Path]) -> None:
    """A file that changed meanwhile is left alone, and a new tyre that makes something wrong is refused by line."""
    path = job_file(full_job())
    wheel = new_wheel(JOB, "235/40R17", NOTHING)
    update = update_job(path, JOB, wheel)
    path.write_text("other", encoding="utf-8")
    with pytest.raises(WriteError, match="changed meanwhile"):
        update.write()
    # Another rim in the file than in the job that was looked at: the tyre does not go on it.
    other = edited(
        full_job(),
        ('rim_width = "7.5 in"', 'rim_width = "5 in"'),
        ('tyre = "225/45R17"', 'tyre = "165/65R17"'),
    )
    with pytest.raises(JobFindingsError, match="with the new tyre"):
        updated_text(other, JOB, wheel)
