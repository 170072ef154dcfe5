"""Everyday unit names, so that a common job file is read without loading the unit library.

Each row holds the factor to the base unit (mm, rad, kg, N) and the unit library's name for the same unit;
the tests hold every factor against it. Any other spelling is asked of the unit library, which is loaded
only then: loading it costs more time than reading a whole job file.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any, Literal

Dimension = Literal["length", "angle", "mass", "force"]
FileUnits = Literal["mm", "in"]

INCH = 25.4
DEGREE = math.pi / 180
POUND = 0.45359237
GRAVITY = 9.80665


def _rows(factor: float, name: str, *spellings: str) -> dict[str, tuple[float, str]]:
    return dict.fromkeys(spellings, (factor, name))


UNITS: dict[Dimension, dict[str, tuple[float, str]]] = {
    "length": {
        **_rows(1.0, "millimeter", "mm", "millimetre", "millimetres", "millimeter", "millimeters"),
        **_rows(10.0, "centimeter", "cm", "centimetre", "centimetres", "centimeter", "centimeters"),
        **_rows(1000.0, "meter", "m", "metre", "metres", "meter", "meters"),
        **_rows(INCH, "inch", "in", "inch", "inches", '"', "''", "″", "”"),
        **_rows(12 * INCH, "foot", "ft", "foot", "feet", "'", "′", "’"),
        **_rows(INCH / 1000, "thou", "thou"),
    },
    "angle": {
        **_rows(DEGREE, "degree", "deg", "degs", "degree", "degrees", "°"),
        **_rows(DEGREE / 60, "arcminute", "min", "arcmin", "minute", "minutes", "'", "′", "’"),
        **_rows(DEGREE / 3600, "arcsecond", "sec", "arcsec", "second", "seconds", '"', "''", "″", "”"),
        **_rows(1.0, "radian", "rad", "radian", "radians"),
        **_rows(0.001, "milliradian", "mrad"),
    },
    "mass": {
        **_rows(1.0, "kilogram", "kg", "kgs", "kilogram", "kilograms"),
        **_rows(0.001, "gram", "g", "gram", "grams"),
        **_rows(1000.0, "metric_ton", "t", "tonne", "tonnes"),
        **_rows(POUND, "pound", "lb", "lbs", "pound", "pounds"),
    },
    "force": {
        **_rows(1.0, "newton", "N", "newton", "newtons"),
        **_rows(1000.0, "kilonewton", "kN", "kilonewton", "kilonewtons"),
        **_rows(POUND * GRAVITY, "pound_force", "lbf"),
        **_rows(GRAVITY, "kilogram_force", "kgf"),
    },
}

BASE_UNITS: dict[Dimension, str] = {
    "length": "millimeter",
    "angle": "radian",
    "mass": "kilogram",
    "force": "newton",
}

BARE_UNITS: dict[Dimension, str] = {"angle": "deg", "mass": "kg", "force": "N"}
"""What a bare number is taken as where the file's own unit of length does not apply."""


def bare_unit(dimension: Dimension, file_units: FileUnits) -> str:
    """Name of the unit that a number without one is taken in."""
    return file_units if dimension == "length" else BARE_UNITS[dimension]


def unit_factor(spelling: str, dimension: Dimension) -> float | None:
    """Factor from a unit to the base unit of ``dimension`` (mm, rad, kg, N), or None for no such unit."""
    row = UNITS[dimension].get(spelling)
    if row:
        return row[0]
    if any(spelling in table for table in UNITS.values()):
        return None
    return _asked_factor(spelling, dimension)


def dimension_of(spelling: str) -> str | None:
    """The dimension that a unit measures, in words, or None if nobody knows the unit."""
    for dimension, table in UNITS.items():
        if spelling in table:
            return dimension
    unit = _asked_unit(spelling)
    if unit is None:
        return None
    for dimension in BASE_UNITS:
        if _asked_factor(spelling, dimension):
            return dimension
    return "other quantity"


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


@cache
def _asked_unit(spelling: str) -> Any:
    if not (spelling.isalpha() and len(spelling) <= 30):
        return None
    # A plain look-up of prefix, unit and suffix: nothing in the text is parsed as an expression.
    for prefix, name, _ in _registry().parse_unit_name(spelling):
        if name:
            return _registry().Unit(prefix + name)
    return None


def _asked_factor(spelling: str, dimension: Dimension) -> float | None:
    unit = _asked_unit(spelling)
    if unit is None:
        return None
    base = _registry().Unit(BASE_UNITS[dimension])
    if unit.dimensionality != base.dimensionality:
        return None
    factor, root = _registry().get_base_units(unit)
    base_factor, base_root = _registry().get_base_units(base)
    # An angle has no dimension, and neither has a percentage: only their root units tell them apart.
    return float(factor / base_factor) if root == base_root else None
