"""Data tables."""

from __future__ import annotations

from importlib import resources

import pytest

from solver.tables import rows

TABLES = sorted(
    item.name.removesuffix(".csv")
    for item in resources.files("solver").joinpath("data").iterdir()
    if item.name.endswith(".csv")
)


@pytest.mark.parametrize("table", TABLES)
def test_states_its_source(table: str) -> None:
    """The first lines are comments that name source or practice and the unit, or a column for the source."""
    text = resources.files("solver").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    comment = [line for line in text.splitlines() if line.startswith("#")]
    assert text.startswith("# ")
    assert any(word in " ".join(comment) for word in ("Source", "ISO", "no source")) or all(
        row["source"] for row in rows(table)
    )


@pytest.mark.parametrize("table", TABLES)
def test_whole_rows(table: str) -> None:
    """Every row has every column and no more, and none is empty."""
    for row in rows(table):
        assert None not in row
        assert all(isinstance(value, str) and value.strip() for value in row.values()), row


@pytest.mark.parametrize("table", TABLES)
def test_keys_are_unique(table: str) -> None:
    """No two rows are found under the same first two columns."""
    keys = [tuple(row.values())[:2] for row in rows(table)]
    assert sorted(set(keys)) == sorted(keys)


def test_read_once() -> None:
    """A table is read once; the answer is the same object."""
    assert rows("materials") is rows("materials")
