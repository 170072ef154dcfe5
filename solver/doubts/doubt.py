"""What a doubt says, and how lengths, angles and places are told in it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from solver.front_end import FrontEnd
from solver.stock import StockUnits
from solver.sweep import TURNS
from solver.tyre import INCH


@dataclass(frozen=True)
class Doubt:
    """A rule that is broken.

    suspects: places in the job file that could be to blame, likeliest first
    found, expected: in words, with units
    coordinate: of the suspect, where it is one
    """

    suspects: tuple[str, ...]
    found: str
    expected: str
    coordinate: str = ""


@dataclass(frozen=True)
class Measure:
    """A measure and its usual range, in mm or, with ``angle``, radians; keys in ``suspects`` lack their table."""

    name: str
    value: float
    low: float
    high: float
    suspects: tuple[str, ...]
    angle: bool = False
    coordinate: str = ""


def both(*names: str) -> tuple[str, ...]:
    """Points of both sides, the right one first: it is given key by key, so that is where a slip would be."""
    return tuple(f"car.{side}.{name}" for name in names for side in TURNS[::-1])


def given_direction(front_end: FrontEnd) -> tuple[str, ...]:
    """The rack's direction, unless it lies straight across the car, which nobody measured."""
    return () if front_end.car.rack.direction == (0.0, 1.0, 0.0) else ("rack.direction",)


def length_text(value: float, units: StockUnits) -> str:
    """A length in mm as it is told in the job's units."""
    return f"{value:.0f} mm" if units == "mm" else f"{value / INCH:.2f} in"


def degrees_text(angle: float) -> str:
    """An angle in radians, told in degrees."""
    return f"{math.degrees(angle):.1f}°"


def out_of_range(measure: Measure, table: str, place: str, units: StockUnits) -> Iterator[Doubt]:
    """A doubt where a measure is beyond its usual range; ``table`` leads its keys, ``place`` is the side or nothing."""
    # A measure that is no number is out of range too.
    if measure.low <= measure.value <= measure.high:
        return
    value, low, high = (
        degrees_text(x) if measure.angle else length_text(x, units)
        for x in (measure.value, measure.low, measure.high)
    )
    suspects = tuple(key if "." in key else table + key for key in measure.suspects)
    found = f"{place}: {measure.name} {value}" if place else f"{measure.name} {value}"
    yield Doubt(suspects, found, f"{measure.name}: {low} to {high}", measure.coordinate)
