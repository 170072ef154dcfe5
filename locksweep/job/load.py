"""One job file in, one job out, or one error that lists everything that is wrong with the file."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from locksweep.job.build import build_job
from locksweep.job.checks import problems_across_keys
from locksweep.job.findings import Finding, JobFindingsError, Problem, key_text, printable
from locksweep.job.reading import Reading
from locksweep.job.schema import FileTable
from locksweep.job.source import parse_toml, read_text
from locksweep.job.units import INCH, FileUnits, unit_factor
from solver.car import Job

AXES = ("x", "y", "z")
ARRAYS = (
    "keep_clear",
    "wheel_well",
    "stop",
    "load_case",
    "body",
    "place",
    "ring",
    "reference",
    "tie_rod_choice",
)
"""Tables of which there may be several: what follows their name is a number, no axis."""
LISTS = ("panel", "points", "box", "rolls", "drops", "override")
"""Keys that hold lists of points or values, of which the same is true."""
NO_POINTS = ("goal", "may_change")
"""Tables whose lists are ranges and places, never coordinates."""


def load_job(path: str | Path) -> Job:
    """The job in a file.

    Raises:
        JobFindingsError: the file can't be read or something in it is wrong; lists all that is
    """
    return parse_job(read_text(path), str(path))


def parse_job(text: str, file: str = "job file") -> Job:
    """The job in a text that was read from ``file``.

    Raises:
        JobFindingsError: something is wrong; lists all that is
    """
    parsed = parse_toml(text)
    tables, problems = parsed.tables, parsed.problems
    units: FileUnits = "mm"
    if tables is not None:
        units = units_of(tables)
        try:
            file_table = FileTable.model_validate(tables, context=units)
        except ValidationError as error:
            from locksweep.job.explain import problems_of

            problems += problems_of(error, units, put_aside=bool(problems))
        reading = Reading(tables, units, {problem.path for problem in problems})
        problems += problems_across_keys(reading)
        if not problems:
            return build_job(file_table)
    name = printable(file)
    raise JobFindingsError(name, _located(problems, parsed.text, name, units))


def units_of(tables: dict[str, Any]) -> FileUnits:
    """The file's unit of length; where it isn't told, the one in which its wheelbase would be a car's."""
    job = tables.get("job")
    units = job.get("units") if isinstance(job, dict) else None
    if isinstance(units, str) and unit_factor(units.strip().lower(), "length") == INCH:
        return "in"
    car = tables.get("car")
    wheelbase = car.get("wheelbase") if isinstance(car, dict) else None
    if units != "mm" and isinstance(wheelbase, (int, float)) and 0 < wheelbase < 300:
        return "in"
    return "mm"


def _located(problems: list[Problem], text: str, file: str, units: FileUnits) -> list[Finding]:
    """With lines and examples, in the order of the file; what can't be placed comes first."""
    # Only a bad file pays for the words and the lines.
    from locksweep.job.examples import example_for
    from locksweep.job.lines import key_lines, line_of

    lines = key_lines(text)
    findings = [
        Finding(
            file=file,
            line=line_of(problem.path, lines) if problem.line is None else problem.line,
            key=_key_with_axis(problem.path),
            found=problem.found,
            expected=problem.expected,
            example=problem.example or example_for(problem.path, units),
            hint=problem.hint,
        )
        for problem in problems
    ]
    return sorted(findings, key=lambda finding: -math.inf if finding.line is None else finding.line)


def _key_with_axis(path: tuple[str | int, ...]) -> str:
    text = key_text(path)
    is_coordinate = len(path) > 1 and isinstance(path[-1], int) and path[-2] not in ARRAYS
    if is_coordinate and path[-1] in (0, 1, 2) and path[-2] not in LISTS and path[0] not in NO_POINTS:
        text += f" ({AXES[int(path[-1])]})"
    return text
