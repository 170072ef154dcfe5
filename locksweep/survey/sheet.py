"""A measuring sheet, TOML or CSV, read into measurements; or one error that lists all that is wrong with it."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from locksweep.job.findings import Finding, JobFindingsError, KeyPath, Problem, key_text, printable
from locksweep.job.lines import key_lines, line_of
from locksweep.job.quantities import BadValueError, written
from locksweep.job.source import is_unreadable, parse_toml, read_text
from locksweep.job.units import INCH, FileUnits, unit_factor
from locksweep.survey.entries import KINDS, PLUMB, Entry, Readings, helper_problem, uncertainty_of
from locksweep.survey.points import SIDES
from solver.survey import Measurement

TABLES = ("sheet", "uncertainty", "height", "across", "ahead", "length", "angle", PLUMB)
VIEWS = ("side", "front", "top")
VALUE_KEYS = ("value", "by", "plus_minus")
MOST_ENTRIES = 500
"""Measurements of one sheet; a front end takes about a hundred."""

START = "locksweep measure --blank my-sheet.toml"


@dataclass(frozen=True)
class Sheet:
    """A measuring sheet.

    file: its name, printable
    units: of bare lengths
    lines: of the measurements, in the same order, from 1; None where none can be told
    empty: lines that have not been filled in
    """

    file: str
    units: FileUnits
    measurements: tuple[Measurement, ...]
    lines: tuple[int | None, ...]
    empty: int = 0

    def place(self, name: str) -> str:
        """File and line of a measurement by its name."""
        for item, line in zip(self.measurements, self.lines, strict=True):
            if item.name == name and line is not None:
                return f"{self.file}, line {line}"
        return self.file


def read_sheet(path: str | Path) -> Sheet:
    """The measurements on a sheet.

    A file whose name ends in .csv is read as CSV, any other as TOML.

    Raises:
        JobFindingsError: the file can't be read or something in it is wrong; lists all that is
    """
    name = printable(str(path))
    try:
        text = read_text(path)
    except JobFindingsError as error:
        found = [_about_sheets(finding) for finding in error.findings]
        raise JobFindingsError(error.file, found) from None
    if Path(path).suffix.lower() == ".csv":
        from locksweep.survey.csv_sheet import entries_of_csv

        return _sheet(name, *entries_of_csv(text), {})
    parsed = parse_toml(text)
    problems = [_about_sheet(problem) for problem in parsed.problems]
    lines = key_lines(parsed.text)
    if parsed.tables is None:
        raise _error(name, problems, lines)
    units, helpers, stated, more = _head(parsed.tables)
    readings = Readings(units, helpers, stated)
    readings.problems += problems + more
    return _sheet(name, readings, list(_entries(parsed.tables, readings.problems)), lines)


def _sheet(name: str, readings: Readings, entries: list[Entry], lines: dict[KeyPath, int]) -> Sheet:
    if len(entries) > MOST_ENTRIES:
        found = f"{len(entries)} measurements"
        raise _error(name, [Problem((), found, f"at most {MOST_ENTRIES}", "is this the right file?")], lines)
    measurements: list[Measurement] = []
    places: list[int | None] = []
    for entry in entries:
        read = readings.measurements(entry)
        measurements += read
        places += [line_of(entry.path, lines) if entry.line is None else entry.line] * len(read)
    if not measurements and not readings.problems:
        found = f"{readings.empty} lines, none of them filled in" if readings.empty else "no measurement"
        expected = "heights, distances and lengths of named points"
        hint = "write what you read between the quotes, or a bare number in their place"
        readings.problems.append(Problem((), found, expected, hint, "[height]  then  left.ball_joint = 172"))
    if readings.problems:
        raise _error(name, readings.problems, lines)
    return Sheet(name, readings.units, tuple(measurements), tuple(places), readings.empty)


def _error(name: str, problems: list[Problem], lines: dict[KeyPath, int]) -> JobFindingsError:
    findings = [
        Finding(
            file=name,
            line=line_of(problem.path, lines) if problem.line is None else problem.line,
            key=key_text(problem.path),
            found=problem.found,
            expected=problem.expected,
            example=problem.example,
            hint=problem.hint,
        )
        for problem in problems
    ]
    findings.sort(key=lambda finding: -math.inf if finding.line is None else finding.line)
    return JobFindingsError(name, findings)


def _about_sheets(finding: Finding) -> Finding:
    """What is said about a job file that can't be read, said about a sheet."""
    expected = "a measuring sheet: a text file in TOML, or in CSV with a name that ends in .csv"
    hint = "" if "job file" in finding.hint else finding.hint
    return replace(finding, expected=expected, example=START, hint=hint)


def _about_sheet(problem: Problem) -> Problem:
    example = (
        "[height]  or  left.ball_joint = 172" if problem.example.startswith("[rack]") else problem.example
    )
    expected = problem.expected.replace("a job file", "a measuring sheet").replace("[rack]", "[height]")
    return replace(problem, expected=expected, example=example)


def _head(tables: dict[str, Any]) -> tuple[FileUnits, list[str], dict[str, float], list[Problem]]:
    """Units, helper points and uncertainties that a sheet declares, and what is wrong with them."""
    problems: list[Problem] = []
    units: FileUnits = "mm"
    helpers: list[str] = []
    stated: dict[str, float] = {}
    for key in tables:
        if key not in TABLES:
            close = difflib.get_close_matches(key[:60], TABLES, 1)
            hint = f"did you mean [{close[0]}]?" if close else ""
            problems.append(Problem((key,), f"the table [{printable(key[:60])}]", _one_of(TABLES), hint))
    head = tables.get("sheet", {})
    if not isinstance(head, dict):
        problems.append(
            Problem(("sheet",), written(head), "a table [sheet]", "", '[sheet]  then  units = "mm"')
        )
        head = {}
    for key, value in head.items():
        path = ("sheet", key)
        if key == "units":
            known = isinstance(value, str) and value in ("mm", "in")
            units = "in" if known and unit_factor(value, "length") == INCH else "mm"
            if not known and not is_unreadable(value):
                problems.append(Problem(path, written(value), '"mm" or "in"', "", 'units = "mm"'))
        elif key == "helpers" and isinstance(value, list):
            for index, name in enumerate(value):
                problem = helper_problem(name, (*path, index))
                helpers += [] if problem else [name]
                problems += [problem] if problem else []
        elif key not in ("helpers", "name"):
            problems.append(Problem(path, f"the key {printable(key[:60])}", "name, units or helpers"))
        elif key == "helpers" and not is_unreadable(value):
            problems.append(Problem(path, written(value), "a list of names", "", 'helpers = ["sill_mark"]'))
    given = tables.get("uncertainty", {})
    if not isinstance(given, dict):
        problems.append(
            Problem(("uncertainty",), written(given), "a table", "", "[uncertainty]  then  tape = 1.5")
        )
        given = {}
    for instrument, value in given.items():
        try:
            if not is_unreadable(value):
                stated[instrument] = uncertainty_of(instrument, value, units)
        except BadValueError as error:
            path = ("uncertainty", instrument)
            problems.append(Problem(path, error.found, error.expected, error.hint, "tape = 1.5"))
    return units, helpers, stated, problems


def _one_of(words: tuple[str, ...]) -> str:
    return f"one of {', '.join(f'[{word}]' for word in words)}"


def _entries(tables: dict[str, Any], problems: list[Problem]) -> Iterator[Entry]:
    """Every measurement, in the order of the file's tables."""
    for what in (*KINDS, PLUMB):
        name, _, view = what.partition(" ")
        path: KeyPath = (name,)
        table = tables.get(name)
        if name == "angle":
            if table is not None and (not isinstance(table, dict) or not set(table) <= set(VIEWS)):
                if view == VIEWS[0]:
                    wanted = "[angle.side], [angle.front] or [angle.top]"
                    problems.append(Problem(path, "angles in no known view", wanted))
                continue
            table, path = (table or {}).get(view), (name, view)
        if table is None:
            continue
        if not isinstance(table, dict):
            problems.append(Problem(path, written(table), f"a table [{key_text(path)}]"))
            continue
        for key, value in table.items():
            if key in SIDES and isinstance(value, dict):
                for own, inner in value.items():
                    yield from _at(what, f"{key}.{own}", inner, (*path, key, own), problems)
            else:
                yield from _at(what, key, value, (*path, key), problems)


def _at(what: str, name: str, value: Any, path: KeyPath, problems: list[Problem]) -> Iterator[Entry]:
    """The readings of one key: a value, a table with its value, or a list of either."""
    names = tuple(part.strip() for part in name.split(" to "))
    if not 1 <= len(names) <= 2 or not all(names):
        expected = 'a point, or two points such as "left.ball_joint to left.pickup"'
        problems.append(Problem(path, written(name), expected))
        return
    values = value if isinstance(value, list) else [value]
    for index, item in enumerate(values):
        place = (*path, index) if isinstance(value, list) else path
        if is_unreadable(item):
            continue
        given = item if isinstance(item, dict) else {"value": item}
        unknown = [key for key in given if key not in VALUE_KEYS]
        if unknown or "value" not in given:
            found = f"the key {printable(unknown[0][:60])}" if unknown else "a table without a value"
            expected = 'a value, or a table such as { value = 172, by = "rule", plus_minus = 1 }'
            problems.append(Problem(place, found, expected))
            continue
        yield Entry(what, names, given["value"], given.get("by"), given.get("plus_minus"), place)
