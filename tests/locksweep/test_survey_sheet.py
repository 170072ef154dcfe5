"""Measuring sheets as TOML and CSV: read whole, or refused with every fault, its line and what was expected."""

from __future__ import annotations

import csv
import io
import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locksweep.job.findings import Finding, JobFindingsError
from locksweep.survey import Sheet, read_sheet
from locksweep.survey.report import report_text, what_is_wrong
from solver.survey import adjust

GOOD = """\
[sheet]
units = "in"
helpers = ["left.mark"]

[uncertainty]
tape = "1/16 in"

[height]
left.ball_joint = ["6 3/4", { value = "172 mm", by = "rule", plus_minus = "0.5 mm" }]
right.pickup = ""
"left.ball_joint to left.strut_top" = 21

[across]
right.ball_joint = 26.5
"left.ball_joint to right.ball_joint" = 53

[length]
"left.ball_joint to left.pickup" = "4 5/8 in"

[angle.side]
"left.damper_point to left.strut_top" = "84 deg 30 min"

[plumb]
left.pickup = "left.mark"
"""


def sheet_of(folder: Path, text: str, name: str = "sheet.toml") -> Sheet:
    """A sheet with this text."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return read_sheet(file)


def findings_of(folder: Path, text: str, name: str = "sheet.toml") -> list[Finding]:
    """What is wrong with a sheet."""
    with pytest.raises(JobFindingsError) as caught:
        sheet_of(folder, text, name)
    return caught.value.findings


def test_every_way_to_write_a_reading(tmp_path: Path) -> None:
    """Bare numbers, fractions, tables, repeats, differences, angles and plumb marks are read with their units."""
    sheet = sheet_of(tmp_path, GOOD)
    found = {item.name: item for item in sheet.measurements}
    assert (6.75 * 25.4, 25.4 / 16) == (
        found["height of left.ball_joint"].value,
        found["height of left.ball_joint"].sigma,
    )
    second = found["height of left.ball_joint, reading 2"]
    assert (172.0, 0.5) == (second.value, second.sigma)
    assert 21 * 25.4 == pytest.approx(found["height from left.ball_joint to left.strut_top"].value)
    assert 53 * 25.4 == pytest.approx(found["distance across from left.ball_joint to right.ball_joint"].value)
    lean = found["angle in side view from left.damper_point to left.strut_top"]
    assert (math.radians(84.5), math.radians(0.2)) == pytest.approx((lean.value, lean.sigma))
    assert {"fore and aft", "across"} == {
        name.rpartition(", ")[2] for name in found if name.startswith("plumb")
    }
    assert 0.0 == found["height of left.mark"].value
    assert 1 == sheet.empty
    assert 9 == sheet.lines[0]
    assert f"{sheet.file}, line 18" == sheet.place("length from left.ball_joint to left.pickup")


def test_csv_says_the_same_as_toml(tmp_path: Path) -> None:
    """The same readings as CSV, with commas or a spreadsheet's semicolons, are the same measurements."""
    rows = [
        ["what", "from", "to", "value", "by", "plus_minus"],
        ["units", "", "", "in", "", ""],
        ["helper", "", "left.mark", "", "", ""],
        ["height", "", "left.ball_joint", "6 3/4", "", "1/16 in"],
        ["height", "", "left.ball_joint", "172 mm", "rule", "0.5 mm"],
        ["height", "", "right.pickup", "", "tape", ""],
        ["height", "left.ball_joint", "left.strut_top", "21", "tape", "1/16 in"],
        ["across", "", "right.ball_joint", "26.5", "", ""],
        ["across", "left.ball_joint", "right.ball_joint", "53", "plumb line", ""],
        ["length", "left.ball_joint", "left.pickup", "4 5/8 in", "", "1/16 in"],
        ["angle side", "left.damper_point", "left.strut_top", "84 deg 30 min", "angle gauge", ""],
        ["plumb", "left.pickup", "left.mark", "", "", ""],
    ]
    wanted = sheet_of(tmp_path, GOOD)
    for mark in ",;":
        text = io.StringIO()
        csv.writer(text, delimiter=mark).writerows(rows)
        sheet = sheet_of(tmp_path, text.getvalue(), f"sheet{ord(mark)}.CSV")
        assert wanted.measurements == sheet.measurements
        assert (wanted.units, wanted.empty) == (sheet.units, sheet.empty)
        assert 4 == sheet.lines[0]


@pytest.mark.parametrize(
    ("line", "expected", "told"),
    [
        ("[height]\nleft.ball_jiont = 172", "point of the job file", 'did you mean "left.ball_joint"'),
        ("[height]\nleft.ball_joint = true", "a length", ""),
        ("[height]\nleft.ball_joint = 9999", "-3000 mm to 3000 mm", "bare number means mm"),
        ('[height]\nleft.ball_joint = "7 deg"', "a length", ""),
        ("[height]\nleft.ball_joint = 6 3/4", "a number, or text in quotes", "quotes"),
        ("[across]\nright.ball_joint = -668", "0 mm to 3000 mm", "without a minus"),
        ("[length]\nleft.ball_joint = 172", "two points", ""),
        ('[length]\n"left.ball_joint to left.ball_joint" = 172', "two different points", ""),
        ('[length]\n"left.a to left.b to left.c" = 172', "two points", ""),
        ('[angle.side]\n"left.damper_point to left.strut_top" = 95', "-90 deg to 90 deg", ""),
        ('[angle.below]\n"left.damper_point to left.strut_top" = 5', "[angle.front]", ""),
        ("[hieght]\nleft.ball_joint = 172", "[height]", "did you mean [height]"),
        ('[height]\nleft.ball_joint = { value = 172, by = "laser" }', '"tape"', ""),
        ('[height]\nleft.ball_joint = { value = 172, by = "angle gauge" }', '"tape"', ""),
        ("[height]\nleft.ball_joint = { value = 172, plus_minus = 0 }", "0.05 mm to 100 mm", ""),
        ("[height]\nleft.ball_joint = { valeu = 172 }", "by, plus_minus".replace("by, ", ""), ""),
        ("height = 3", "a table [height]", ""),
        ('[plumb]\nleft.ball_joint = "left.strut_top"', "helper point", "named first"),
        ('[sheet]\nunits = "cm"', '"mm" or "in"', ""),
        ('[sheet]\nhelpers = ["left.mark 1 to"]', "letters, digits", ""),
        ("[sheet]\nhelpers = 7", "a list of names", ""),
        ("[uncertainty]\ntap = 2", '"tape"', 'did you mean "tape"'),
        ("[uncertainty]\ntape = -1", "0.05 mm to 100 mm", "never negative"),
    ],
)
def test_every_fault_is_found(tmp_path: Path, line: str, expected: str, told: str) -> None:
    """A faulty line is reported with file, line, what was expected and what to do, beside a second fault."""
    text = f'{line}\n\n[ahead]\n"left.pickup" = "1 furlong"\n'
    found = findings_of(tmp_path, text)
    first = found[0]
    assert expected in first.expected
    assert told in first.hint
    assert first.found
    assert first.line == min(2, line.count("\n") + 1) or first.line == 1
    assert str(tmp_path / "sheet.toml") == first.file
    assert any(finding.key == "ahead.left.pickup" for finding in found[1:])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "an empty file"),
        ("a,b,c\n", "a first line"),
        ("what,from,to,value,by\n", "no measurement"),
        ("what,from,to,value,by\nwidth,,left.pickup,3,\n", "one of height"),
        ("what,from,to,value,by\nheight,,,3,\n", "no point"),
        ('what,from,to,value,by\nheight,,"left.pickup,3,\nheight,,left.pickup,4,\n', "fields between commas"),
        ("what,from,to,value,by\nheight,,left.pickup,1,5,tape,\n", "fields"),
        ("what,from,to,value,by\nheight,,left.pickup,172;5,tape\n", "a length"),
        (f"what,from,to,value,by\nheight,,{'x' * 5000},172,tape\n", "far too long"),
        ("what,from,to,value,by\nunits,,,yards,\n", "mm or in"),
    ],
)
def test_faulty_csv(tmp_path: Path, text: str, told: str) -> None:
    """What is wrong with a CSV sheet is said, with the line where there is one."""
    assert told in "\n".join(str(finding) for finding in findings_of(tmp_path, text, "sheet.csv"))


def test_no_sheet_at_all(tmp_path: Path) -> None:
    """A missing file, a folder, bytes and a blank sheet are refused in the words of sheets, not of job files."""
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    for name in ("none.toml", ".", "bytes.toml"):
        with pytest.raises(JobFindingsError, match="a measuring sheet") as caught:
            read_sheet(tmp_path / name)
        assert "locksweep measure --blank" in str(caught.value)
    (finding,) = findings_of(tmp_path, '[height]\nleft.pickup = ""\n')
    assert "none of them filled in" in finding.found


def test_enormous_sheet_is_refused_quickly(tmp_path: Path) -> None:
    """A sheet of too many readings is refused before anything is computed."""
    (finding,) = findings_of(tmp_path, f"[height]\nleft.pickup = [{'1,' * 5000}]\n")
    assert "at most 500" in finding.expected


def answered(file: Path) -> None:
    """Read a sheet that may be anything; only findings may come of it, and a survey of it can be made and told."""
    try:
        sheet = read_sheet(file)
    except JobFindingsError:
        return
    survey = adjust(sheet.measurements)
    assert report_text(sheet, survey)
    what_is_wrong(sheet, survey)


_KEYS = st.sampled_from(
    ["height", "across", "length", "angle", "plumb", "sheet", "uncertainty", "left", "units", "x"]
)
_VALUES = st.recursive(
    st.one_of(
        st.integers(),
        st.floats(),
        st.booleans(),
        st.text(max_size=8),
        st.sampled_from(["left.pickup", "7 mm"]),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(_KEYS, inner, max_size=3)),
    max_leaves=12,
)


def _toml(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}" = {_toml(item)}' for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return (
            '"'
            + "".join(
                c if c.isalnum() or c in " ._" else f"\\u{ord(c):04X}" for c in value if ord(c) < 0xD800
            )
            + '"'
        )
    return str(value)


@given(st.dictionaries(_KEYS, _VALUES, max_size=5))
def test_random_tables_never_crash(
    tmp_path_factory: pytest.TempPathFactory, tables: dict[str, object]
) -> None:
    """Whatever TOML a sheet holds, the answer is measurements or findings, never another error."""
    text = "\n".join(f"{key} = {_toml(value)}" for key, value in tables.items())
    file = tmp_path_factory.mktemp("random") / "sheet.toml"
    file.write_text(text, encoding="utf-8")
    answered(file)


@given(st.text(max_size=200), st.sampled_from(["sheet.toml", "sheet.csv"]), st.booleans())
def test_random_text_never_crashes(
    tmp_path_factory: pytest.TempPathFactory, text: str, name: str, headed: bool
) -> None:
    """Whatever text a sheet holds, the answer is measurements or findings, never another error."""
    file = tmp_path_factory.mktemp("random") / name
    head = "what,from,to,value,by\nheight," if headed else ""
    file.write_bytes((head + text).encode("utf-8", "replace"))
    answered(file)


def test_report_names_the_slip_and_its_line(tmp_path: Path) -> None:
    """What is printed names the reading, its line, what it reads and what the others say, in the sheet's unit."""
    text = (
        '[sheet]\nunits = "in"\nhelpers = ["a"]\n[ahead]\na = 1\n[across]\na = 2\n[height]\na = [4, 4, 5]\n'
    )
    sheet = sheet_of(tmp_path, text)
    survey = adjust(sheet.measurements)
    wrong = str(what_is_wrong(sheet, survey))
    assert (
        "the height of a, reading 3 (line 9) doesn't fit: it reads 5.00 in, the others say 4.00 in" in wrong
    )
    assert "1.00 in too much" in wrong
    assert "a  " in report_text(sheet, survey)


def test_too_few_readings_name_the_point(tmp_path: Path) -> None:
    """An undetermined point is named together with its open direction and what to measure."""
    sheet = sheet_of(tmp_path, "[ahead]\nleft.pickup = -100\n[across]\nleft.pickup = 650\n")
    wrong = str(what_is_wrong(sheet, adjust(sheet.measurements)))
    assert "left.pickup: up and down" in wrong
    assert "the height of left.pickup" in wrong


def test_the_example_here_is_toml() -> None:
    """The sheet that these tests start from is TOML for Python's own reader too."""
    assert "height" in tomllib.loads(GOOD)
