"""Reads the data tables beside this module. Every table states source, clause and unit in its first lines."""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """The rows of ``solver/data/<table>.csv`` as text, comment lines left out."""
    text = resources.files("solver").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))
