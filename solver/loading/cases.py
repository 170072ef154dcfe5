"""The load cases: those of the table and those that the builder adds."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from solver.loading.inputs import LoadCase
from solver.tables import rows

PLAIN = ("name", "source", "strike_at")
RANGES = ("steer", "travel")


@cache
def table_cases() -> tuple[LoadCase, ...]:
    """The cases of `data/load_cases.csv`, in its order."""
    return tuple(_case(row) for row in rows("load_cases"))


def cases_of(added: Iterable[LoadCase]) -> tuple[LoadCase, ...]:
    """The table's cases, all of them, and the builder's beside them."""
    return (*table_cases(), *added)


def other_wheel(case: LoadCase) -> LoadCase:
    """What the other front wheel sees meanwhile: it is on the other side of a bend, and no kerb hits it."""
    hit = bool(case.strike_rearward or case.strike_inward or case.overturning)
    return case._replace(
        vertical=1.0 if hit else case.vertical,
        cornering=-case.cornering,
        inward=-case.inward,
        strike_rearward=0.0,
        strike_inward=0.0,
        overturning=0.0,
        travel=(-1.0, 1.0),
    )


def _case(row: dict[str, str]) -> LoadCase:
    values: dict[str, Any] = {}
    for key, value in row.items():
        if key in PLAIN:
            values[key] = value
        elif key == "everyday":
            values[key] = value == "yes"
        elif key.partition("_")[0] not in RANGES:
            values[key] = float(value)
    for name in RANGES:
        values[name] = (float(row[f"{name}_from"]), float(row[f"{name}_to"]))
    return LoadCase(**values)
