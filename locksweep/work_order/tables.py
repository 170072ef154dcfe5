"""Reads the tables in `data/`, and picks and fills in the rows that a job has a use for."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Set
from functools import cache
from importlib import resources

Row = Mapping[str, str]


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """The rows of ``data/<table>.csv`` as text, comment lines left out."""
    text = resources.files("locksweep.work_order").joinpath("data", f"{table}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def rows_for(table: str, has: Set[str], said: Mapping[str, str]) -> Iterator[Row]:
    """Rows whose condition a job meets, filled in.

    has: what the job has, such as "spacer"; said: by name, what stands for {name} in a sentence

    Raises:
        KeyError: a sentence wants something that the job, although it meets the row's condition, hasn't.
    """
    for row in rows(table):
        if applies(row["when"], has):
            # Texts of the job are filled in once and never looked at for braces.
            yield {key: cell.format_map(said) for key, cell in row.items()}


def applies(when: str, has: Set[str]) -> bool:
    """Whether all words of a condition hold: "spacer" is had, "!spacer" is not, "a|b" is either; none holds always."""
    return all(
        any((each.removeprefix("!") in has) != each.startswith("!") for each in word.split("|"))
        for word in when.split()
    )
