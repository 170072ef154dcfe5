"""Tables of the other documents as rows of plain text, so that the page says what they say."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from locksweep.documents.ladder import ladder_text
from locksweep.documents.load_tables import checks_table, part_loads_table
from locksweep.documents.summary import changes_table, limits_table, measures_table, part_section

Record = Mapping[str, Any]
Table = dict[str, Any]

BETWEEN = re.compile(r"(?<!\\)\|")
MARKUP = re.compile(r"\\(.)|\*\*|`")
"""A character that is meant as itself, or markup."""
RULE = re.compile(r"\|(?: ?-+ ?\|)+")
KEY_LENGTH = 48
"""Characters of a dimension's value that still make it one of the few to show: outlines have more."""


def job_tables(record: Record) -> list[Table]:
    """Of the job as a whole."""
    return [
        _table("What changes on the car", changes_table(record)),
        _table("Before and after", measures_table(record)),
        _table("What stops the wheel, first one first", limits_table(record)),
    ]


def part_tables(part: Record, record: Record) -> dict[str, Table]:
    """Of one part: dimensions short enough for a glance, checks, loads."""
    dimensions = _table("Dimensions", part_section(part, record))
    dimensions["rows"] = [row for row in dimensions["rows"] if len(row[-1]) <= KEY_LENGTH]
    return {
        "dimensions": dimensions,
        "checks": _table("Screening checks", checks_table(part["checks"]) if part["checks"] else []),
        "loads": _table("Loads that run through it", part_loads_table(part) if part["loads"] else []),
    }


def said(markdown: str) -> str:
    """A sentence of a document without its markup."""
    return MARKUP.sub(lambda found: found[1] or "", markdown).strip()


def ladder_sentences(ladder: Record) -> list[str]:
    """What the ladder says below its table: the goal's rung, and what touches the load path."""
    text = ladder_text(ladder).split("\n\n")
    return [line for block in text[3:-1] for line in block.split("\n") if line]


def _table(title: str, lines: Iterable[str]) -> Table:
    rows = [
        [said(cell) for cell in BETWEEN.split(line.strip()[1:-1])]
        for line in lines
        if line.startswith("|") and not RULE.fullmatch(line)
    ]
    return {"title": title, "head": rows[0] if rows else [], "rows": rows[1:]}
