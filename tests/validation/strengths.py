"""Reads the material table for the tests of its sources."""

from __future__ import annotations

from solver.tables import rows


def strength(name: str) -> tuple[float, float]:
    """Least yield and ultimate strength in MPa."""
    row = material(name)
    return float(row["yield"]), float(row["ultimate"])


def material(name: str) -> dict[str, str]:
    """The row of a material."""
    return next(row for row in rows("materials") if row["name"] == name)
