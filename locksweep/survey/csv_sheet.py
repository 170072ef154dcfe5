"""A measuring sheet as CSV: columns what, from, to, value, by and, if wanted, plus_minus.

A row "helper" names a point of one's own in its column "to", a row "units" has mm or in as its value. All else
is as in TOML.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator

from locksweep.job.findings import Problem
from locksweep.job.quantities import written
from locksweep.job.units import FileUnits
from locksweep.survey.entries import KINDS, PLUMB, Entry, Readings, helper_problem

COLUMNS = ("what", "from", "to", "value", "by")
EXTRA = "plus_minus"
LONGEST_FIELD = 200


def entries_of_csv(text: str) -> tuple[Readings, list[Entry]]:
    """Readings to fill, with what is wrong so far, and the rows that hold a measurement."""
    problems: list[Problem] = []
    rows = list(_rows(text, problems))
    units: FileUnits = "mm"
    helpers: list[str] = []
    entries: list[Entry] = []
    for line, row in rows:
        what = row["what"].lower()
        if what == "units":
            if row["value"] not in ("mm", "in"):
                found = written(row["value"])
                problems.append(Problem(("units",), found, "mm or in", "", "units,,,mm,", line))
            units = "in" if row["value"] == "in" else "mm"
        elif what == "helper":
            problem = helper_problem(row["to"] or row["from"], ("helper",), line)
            helpers += [] if problem else [row["to"] or row["from"]]
            problems += [problem] if problem else []
        elif what in KINDS or what == PLUMB:
            names = tuple(name for name in (row["from"], row["to"]) if name)
            if names:
                value = names[-1] if what == PLUMB else row["value"]
                place = (what,)
                entries.append(Entry(what, names, value, row["by"] or None, row[EXTRA] or None, place, line))
            else:
                found, example = "no point", "height,,left.ball_joint,172,tape"
                problems.append(Problem((what,), found, "a point under to", "", example, line))
        else:
            expected = ", ".join((*KINDS, PLUMB, "helper", "units"))
            problems.append(Problem(("what",), written(row["what"]), f"one of {expected}", line=line))
    readings = Readings(units, helpers, {})
    readings.problems += problems
    return readings, entries


def _rows(text: str, problems: list[Problem]) -> Iterator[tuple[int, dict[str, str]]]:
    """Line and fields of every row; a spreadsheet may have written semicolons for commas."""
    lines = text.replace("\r\n", "\n").split("\n")
    start = next((number for number, line in enumerate(lines) if line.strip(" ,;") and line[:1] != "#"), None)
    expected = f"a first line {','.join(COLUMNS)}"
    if start is None:
        problems.append(Problem((), "an empty file", expected))
        return
    mark = ";" if ";" in lines[start] else ","
    header = [name.strip().lower() for name in lines[start].split(mark)]
    wanted = [*COLUMNS, EXTRA]
    if not set(COLUMNS[:4]) <= set(header) or not set(header) - {""} <= set(wanted):
        problems.append(Problem((), written(lines[start]), expected, line=start + 1))
        return
    for number, line in enumerate(lines[start + 1 :], start=start + 2):
        if line.startswith("#") or not line.strip(" ,;"):
            continue
        try:
            # A row is a line: whatever a quote swallows would hide the rows after it.
            fields = [field.strip() for field in next(csv.reader([line], delimiter=mark, strict=True))]
        except (csv.Error, StopIteration) as error:
            problems.append(Problem((), f"{written(line)}: {error}", "fields between commas", line=number))
            continue
        if len(fields) > len(header) and any(fields[len(header) :]):
            found, hint = f"{len(fields)} fields", "a comma inside of a field goes between quotes"
            problems.append(Problem((), found, f"at most {len(header)}", hint, line=number))
            continue
        row = dict.fromkeys(wanted, "") | dict(zip(header, fields, strict=False))
        if any(len(field) > LONGEST_FIELD for field in row.values()):
            problems.append(Problem((), "a field that is far too long", "a name or a value", line=number))
            continue
        yield number, row
