"""The table of everyday units against the unit library."""

from __future__ import annotations

import pint
import pytest

from locksweep.job.units import BASE_UNITS, UNITS, dimension_of, unit_factor

REGISTRY = pint.UnitRegistry()

ROWS = [
    (dimension, spelling, factor, name)
    for dimension, table in UNITS.items()
    for spelling, (factor, name) in table.items()
]

OF_ARC_NOT_OF_TIME = {"min", "minute", "minutes", "sec", "second", "seconds"}
SHARED = [
    (spelling, name)
    for _, spelling, _, name in ROWS
    if spelling.isalpha() and spelling in REGISTRY and spelling not in OF_ARC_NOT_OF_TIME
]


@pytest.mark.parametrize(("dimension", "spelling", "factor", "name"), ROWS)
def test_every_row_agrees_with_the_unit_library(
    dimension: str, spelling: str, factor: float, name: str
) -> None:
    """The factor of each spelling is the library's, to float rounding."""
    expected = REGISTRY.Quantity(1.0, name).to(BASE_UNITS[dimension]).magnitude
    assert expected == pytest.approx(factor, rel=1e-14)
    assert factor == unit_factor(spelling, dimension)


@pytest.mark.parametrize(("spelling", "name"), SHARED)
def test_spellings_that_the_library_knows_mean_the_same_there(spelling: str, name: str) -> None:
    """A spelling has another meaning than the library's only where an angle asks for it."""
    assert REGISTRY.Unit(name) == REGISTRY.Unit(spelling)


@pytest.mark.parametrize(
    ("spelling", "expected"),
    [
        ("mm", "length"),
        ("kN", "force"),
        ("yard", "length"),
        ("stone", "mass"),
        ("turn", "angle"),
        ("percent", "other quantity"),
        ("hour", "other quantity"),
        ("degC", "other quantity"),
        ("qqq", None),
        ("", None),
        ("mm*mm", None),
        ("eval", None),
        ("__class__", None),
    ],
)
def test_dimension_of(spelling: str, expected: str | None) -> None:
    """Each unit's dimension in words; expressions are no units."""
    assert expected == dimension_of(spelling)
