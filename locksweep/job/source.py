"""From a path to the text of a job file and from the text to its tables."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep.job.findings import Finding, JobFindingsError, KeyPath, Problem, printable
from locksweep.job.quantities import written

LARGEST_FILE = 1_000_000
"""Bytes. A job file has a few thousand; more is another file taken for one."""

MOST_SYNTAX_PROBLEMS = 40

_UNREADABLE = "\0unreadable value on line "
_LINE = re.compile(r"at line (\d+)")
_PAIR = re.compile(r"^(\s*[A-Za-z0-9_.-]+\s*=\s*)(\S.*?)?\s*$")
_NO_QUOTES = re.compile(r"^[^\"'\[\]{}]*$")


def read_text(path: str | Path) -> str:
    """Text of a job file, its line ends as they are.

    Raises:
        JobFindingsError: no such file, not readable, larger than 1 MB, or no UTF-8 text
    """
    file = Path(path)
    expected = "a job file: a text file in TOML, written by an editor"
    try:
        if not file.is_file():
            found = "a folder" if file.is_dir() else "no such file"
            raise _refused(path, found, expected, "locksweep new writes a job file to start from")
        with file.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, JobFindingsError):
            raise
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refused(path, f"a file that can't be read: {reason}", expected) from None
    if len(content) > LARGEST_FILE:
        raise _refused(path, f"more than {LARGEST_FILE // 1_000_000} MB", expected, "is this the right file?")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = f"byte {content[error.start]:#04x}, which is no UTF-8 text"
        hint = "save the file as UTF-8 in the editor"
        raise _refused(path, found, expected, hint, line) from None


@dataclass(frozen=True)
class Parsed:
    """A parsed TOML text.

    tables: None if the text can't be made sense of
    text: that was parsed in the end, with as many lines as the original and lines that are no TOML replaced
    problems: of the syntax
    """

    tables: dict[str, Any] | None
    text: str
    problems: list[Problem]


def parse_toml(text: str) -> Parsed:
    """The tables of a TOML text, and what of its syntax is wrong.

    A line `key = value` whose value is no TOML is put aside, so that the rest of the file can be looked at
    in the same run: its value becomes a mark that ``is_unreadable`` knows.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    problems: list[Problem] = []
    put_aside: set[int] = set()
    while True:
        try:
            repaired = "\n".join(lines)
            return Parsed(tomllib.loads(repaired), repaired, problems)
        except tomllib.TOMLDecodeError as error:
            reason = str(error)
        except RecursionError:
            problems.append(Problem((), "lists or tables nested too deeply", "a job file in TOML"))
            return Parsed(None, repaired, problems)
        except ValueError:  # Python refuses whole numbers of thousands of digits.
            problems.append(Problem((), "a whole number of thousands of digits", "a job file in TOML"))
            return Parsed(None, repaired, problems)
        match = _LINE.search(reason)
        number = int(match[1]) if match else 0
        pair = _PAIR.match(lines[number - 1]) if number else None
        if pair and number not in put_aside and len(problems) < MOST_SYNTAX_PROBLEMS:
            put_aside.add(number)
            twice = reason.startswith("Cannot")
            lines[number - 1] = "" if twice else f'{pair[1]}"\\u0000{_UNREADABLE[1:]}{number}"'
            path = () if twice else _path_on(number, lines)
            problems.append(_pair_problem(pair[1].strip(" =\t"), pair[2] or "", number, twice, path))
            continue
        if number not in put_aside:
            problems.append(_syntax_problem(reason, number, lines))
        return Parsed(None, repaired, problems)


def is_unreadable(value: object) -> bool:
    """Whether a value stands for one that is no TOML and has been reported."""
    return isinstance(value, str) and value.startswith(_UNREADABLE)


def _path_on(number: int, lines: list[str]) -> KeyPath:
    """Key path of the pair on one line, as far as the lines down to it tell."""
    from locksweep.job.lines import key_lines

    path: KeyPath = ()
    for candidate, line in key_lines("\n".join(lines[:number])).items():
        if line == number and len(candidate) > len(path):
            path = candidate
    return path


def _pair_problem(key: str, value: str, number: int, twice: bool, path: KeyPath) -> Problem:
    if twice:
        found = f"{written(key)} for the second time"
        return Problem(path, found, "each key once", "remove one of the two", line=number)
    before_comment = value.split("#")[0].strip()
    if _NO_QUOTES.match(before_comment):
        value = before_comment
    shown = printable(value if len(value) <= 60 else f"{value[:60]}…")
    if not value:
        return Problem(path, "no value", "a value after the equals sign", line=number)
    if _NO_QUOTES.match(value):
        hint = "text, and a quantity with a unit or a fraction, goes in quotes"
        example = f'{key} = "{value}"' if len(value) < 40 and value.isprintable() else f'{key} = "5/8 in"'
        return Problem(path, shown, "a number, or text in quotes", hint, example, number)
    hint = "look for a bracket, quote or comma that is missing or too many, here or on the lines before"
    return Problem(path, shown, "a value in TOML", hint, line=number)


def _syntax_problem(reason: str, number: int, lines: list[str]) -> Problem:
    said = reason.split(" (at ")[0]
    shown = written(lines[number - 1].strip()) if number else "the end of the file"
    hint = f"the TOML reader says: {said[:80]}"
    if "Unclosed" in said or "Unterminated" in said or not number:
        hint += "; look for a bracket or quote that is missing on the lines before"
    expected = "a table header such as [rack], or a key and its value"
    example = "[rack]  or  travel_each_side = 66"
    return Problem((), f"{shown}, which is no TOML", expected, hint, example, number or None)


def _refused(
    path: str | Path, found: str, expected: str, hint: str = "", line: int | None = None
) -> JobFindingsError:
    name = printable(str(path))
    return JobFindingsError(
        name, [Finding(name, line, "", found, expected, "locksweep new my-car.toml", hint)]
    )
