"""A car with given weights for the tests of what is published about loads."""

from __future__ import annotations

from typing import Any

from solver.loading.vehicle import GRAVITY, LoadInput, Vehicle
from solver.tables import rows


def case(name: str) -> dict[str, str]:
    """A row of the table of load cases."""
    return next(row for row in rows("load_cases") if row["name"] == name)


def factor(name: str, column: str) -> float:
    """One number of a load case."""
    return float(case(name)[column])


def default(key: str) -> dict[str, str]:
    """What is taken for an input that nobody measured, with its source."""
    return next(row for row in rows("load_inputs") if row["key"] == key)


def vehicle(mass: float, wheelbase: float = 2700.0, track: float = 1500.0, **values: float) -> Vehicle:
    """A car of ``mass`` kg, half of it on the front wheels unless ``front_share`` says otherwise."""
    given: dict[str, Any] = {row["key"]: float(row["value"]) for row in rows("load_inputs")}
    given.update({"front_share": 0.5, **values})
    inputs = tuple(LoadInput(key, key, value, "", "", True) for key, value in given.items())
    wheel = mass * given["front_share"] * GRAVITY / 2
    return Vehicle((wheel, wheel), track, wheelbase, 200.0, 44.0, inputs)
