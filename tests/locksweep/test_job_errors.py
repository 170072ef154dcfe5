"""Job files that are wrong: each kind of fault is reported with all that is needed to put it right."""

from __future__ import annotations

import pickle
import re
import tomllib
from pathlib import Path

import pytest

from locksweep.job import JobFindingsError, load_job, parse_job
from locksweep.job.examples import example_for
from locksweep.job.explain import table_keys
from locksweep.job.fields import Field
from solver.errors import JobFileError, LocksweepError

FILES = Path(__file__).parent / "job_files"
REAR = (FILES / "rear-rack.toml").read_text(encoding="utf-8")
FRONT = (FILES / "front-rack.toml").read_text(encoding="utf-8")
FAULTS: dict[str, dict[str, str]] = {
    fault["name"]: fault
    for fault in tomllib.loads((FILES / "faults.toml").read_text(encoding="utf-8"))["fault"]
}


def findings_of(text: str, file: str = "my car.toml") -> JobFindingsError:
    """The error that a text gives."""
    with pytest.raises(JobFindingsError) as caught:
        parse_job(text, file)
    return caught.value


def changed(text: str, old: str, new: str) -> str:
    """The text with the first such part replaced; it must be there."""
    assert old in text
    return text.replace(old, new, 1)


def with_fault(name: str, text: str = REAR) -> str:
    """The text with one fault built in."""
    return changed(text, FAULTS[name]["old"], FAULTS[name]["new"])


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_is_reported_in_full(name: str) -> None:
    """File, line, key path, value with unit, what was expected, an example and a hint are in the message."""
    fault = FAULTS[name]
    error = findings_of(with_fault(name))
    matching = [
        finding
        for finding in error.findings
        if finding.key == fault["key"] and fault["expected"] in finding.expected
    ]
    assert len(matching) == 1, str(error)
    finding = matching[0]
    assert fault["found"] in finding.found
    assert finding.example.startswith(fault["example"])
    assert fault["hint"] in finding.hint
    assert "my car.toml" == finding.file
    place = f"my car.toml, line {finding.line}" + (f": {finding.key}" if finding.key else "")
    for part in (place, finding.found, finding.expected, finding.example, finding.hint):
        assert part in str(error)


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_gives_the_line_where_it_can_be_put_right(name: str) -> None:
    """The line is that of the key itself or, if that is missing, of the table that lacks it."""
    key = FAULTS[name]["key"]
    text = with_fault(name)
    finding = next(finding for finding in findings_of(text).findings if finding.key == key)
    line = text.splitlines()[finding.line - 1]
    names = re.findall(r"[a-z_]+(?=[.\[ ]|$)", key.split(" (")[0])
    if finding.found == "no such key":
        assert f"[{'.'.join(names[:-1])}]" == line
    elif names:
        assert names[-1] in line
    else:
        assert FAULTS[name]["new"].splitlines()[-1] == line


# A key that is misspelt is unknown and missing, and so on.
TWO_FINDINGS = {"rectangular without a height", "single brackets"}


@pytest.mark.parametrize("name", sorted(FAULTS.keys() - TWO_FINDINGS))
def test_one_fault_gives_one_finding(name: str) -> None:
    """A fault is reported once, and nothing that merely follows from it."""
    error = findings_of(with_fault(name))
    assert 1 == len(error.findings), str(error)


def test_all_faults_are_reported_together_in_file_order() -> None:
    """Faults of syntax, of single keys and of keys taken together come in one message, top to bottom."""
    together = [
        "length for an angle",
        "angle for a length",
        "swapped strut top and damper point",
        "front pivot behind the rear one",
        "unquoted fraction",
        "stud engaged too little",
        "negative size",
        "tyre",
        "fixed to nothing known",
        "panel on one line",
    ]
    text = REAR
    for name in together:
        text = with_fault(name, text)
    error = findings_of(text)
    assert {FAULTS[name]["key"] for name in together} == {finding.key for finding in error.findings}
    lines = [finding.line for finding in error.findings]
    assert sorted(lines) == lines
    assert f"{len(together)} things to put right" in str(error)


def test_an_empty_file_misses_every_table() -> None:
    """What a file must have is said at once, without a line, since there is none."""
    error = findings_of("")
    assert ["job", "goal", "car", "rack", "arm", "strut", "wheel"] == [item.key for item in error.findings]
    assert all(finding.line is None for finding in error.findings)
    assert "my car.toml: rack" in str(error)
    assert "[rack] with direction = [0, 1, 0]" in str(error)


def test_a_value_where_a_table_goes() -> None:
    """The header that was expected is named."""
    text = f"parts = 3\n{REAR[: REAR.index('[parts]')]}"
    (finding,) = findings_of(text).findings
    assert ("parts", 1, "3", "the table [parts]") == (
        finding.key,
        finding.line,
        finding.found,
        finding.expected,
    )


def test_limits_and_examples_are_in_the_units_of_the_file() -> None:
    """A file in inches is answered in inches."""
    text = changed(FRONT, 'wheelbase = "7 ft 10 7/8 in"', "wheelbase = 2410")
    (finding,) = findings_of(text).findings
    assert ("2410 in", "a length from 39.37 in to 196.9 in") == (finding.found, finding.expected)
    assert 'wheelbase = "7 ft 10 7/8 in"' == finding.example
    assert "a bare number means in in this file" in finding.hint


@pytest.mark.parametrize(("text", "count"), [(REAR, 1), (FRONT, 1)])
def test_a_wrong_unit_of_the_file_is_one_finding(text: str, count: int) -> None:
    """A unit that can't be read does not turn every number of the file into a finding."""
    text = text.replace('units = "mm"', 'units = "millimetre"').replace('units = "in"', 'units = "inch"')
    error = findings_of(text)
    assert count == len(error.findings), str(error)
    assert "job.units" == error.findings[0].key


@pytest.mark.parametrize("units", ["mm", "in"])
def test_every_key_has_an_example(units: str) -> None:
    """There is a right value to show for each key of every table, in either unit."""
    paths = [()]
    while paths:
        path = paths.pop()
        for key, kind in table_keys(path).items():
            example = example_for((*path, key), units)
            assert key in example
            if table_keys((*path, key)):
                paths.append((*path, key))
            elif table_keys((*path, key, 0)):
                paths.append((*path, key, 0))
            else:
                assert isinstance(kind, Field)
                value = tomllib.loads(example)[key]
                kind.read(value, units)


def test_the_error_is_the_one_of_the_project_and_survives_pickling() -> None:
    """It is caught by the root class, as a JobFileError or a ValueError, and it can be pickled."""
    error = findings_of(changed(REAR, "wall = 4", "wall = -4"))
    assert isinstance(error, JobFileError)
    assert isinstance(error, LocksweepError)
    assert isinstance(error, ValueError)
    copy = pickle.loads(pickle.dumps(error))
    assert (str(error), error.findings) == (str(copy), copy.findings)


def test_hundreds_of_findings_are_cut_in_the_message_only() -> None:
    """A file that is something else altogether does not flood the screen."""
    text = REAR + "".join(f"\nnonsense_{number} = 1" for number in range(300))
    error = findings_of(text)
    assert 300 == len(error.findings)
    assert "and 240 more." in str(error)


def test_control_characters_never_reach_the_screen() -> None:
    """Text of the file that would move the cursor is shown by its code."""
    text = changed(REAR, 'fixed_to = "body"', 'fixed_to = "\\u001b[2Jbody"\n"\\u001b[31mkey" = 1')
    message = str(findings_of(text, "odd\x1bname.toml"))
    assert "\x1b" not in message
    assert "\\u001b[2Jbody" in message
    assert "\\u001b[31mkey" in message


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("[job\nname = 1", 1, '"[job"'),
        ("[job]\nname\n", 2, '"name"'),
        ("[job]\nname = \"a\"\nunits = \"mm\"\n[job]\n", 4, '"[job]"'),
        ("[job]\nname = [1,\n", None, "the end of the file"),
        ("\x00\x01", 1, "\\u0000"),
        ("a = " + "[" * 3000, None, ""),
        ("a = " + "9" * 5000, None, "thousands of digits"),
    ],
)  # fmt: skip
def test_text_that_is_no_toml(text: str, line: int | None, found: str) -> None:
    """The line, as far as the reader tells it, and the text on it."""
    finding = findings_of(text).findings[0]
    assert line == finding.line
    assert found in finding.found


@pytest.mark.parametrize(
    ("content", "found", "line"),
    [
        (b'[job]\nname = "caf\xe9"\n', "byte 0xe9, which is no UTF-8 text", 2),
        ("[job]".encode("utf-16"), "byte 0xff", 1),
        (b"#" * 1_000_001, "more than 1 MB", None),
    ],
)
def test_files_that_are_no_text(tmp_path: Path, content: bytes, found: str, line: int | None) -> None:
    """Other encodings and files of another size are told from a job file."""
    file = tmp_path / "car.toml"
    file.write_bytes(content)
    with pytest.raises(JobFindingsError) as caught:
        load_job(file)
    assert found in str(caught.value)
    assert str(file) in str(caught.value)
    assert line == caught.value.findings[0].line


def test_paths_that_are_no_files(tmp_path: Path) -> None:
    """A missing file, a folder and an impossible name are answers, not tracebacks."""
    for path, found in ((tmp_path / "none.toml", "no such file"), (tmp_path, "a folder"), ("a\0b", "file")):
        with pytest.raises(JobFindingsError, match=found):
            load_job(path)
