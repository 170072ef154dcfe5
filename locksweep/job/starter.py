"""The job file that a builder starts from, and what of it has not been replaced by measurements yet."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from locksweep.demo_jobs import STARTERS, demo_text
from locksweep.job.findings import KeyPath, key_text
from locksweep.job.lines import key_lines, line_of
from locksweep.job.load import units_of
from locksweep.job.quantities import BadValueError, parse_quantity, written
from locksweep.job.units import Dimension, FileUnits

SAME = 1e-6
"""Two values are the same when they differ by less, in mm, rad or kg."""

DEEPEST = 5
"""Steps of a key path; no key of a job file lies deeper, and a hostile file's could go on for ever."""

_HEADER = """\
# A job file for locksweep: one car, one tyre, one goal.
#
# Every number below belongs to an example car that does not exist. Replace, in this order:
#   1. [job] and [car]: names, and whether bare lengths are in mm or in inches;
#   2. every measured value, from [car] down to [[stop]], by your own measurements;
#   3. [goal], [changes] and [parts] by what you want, have decided and can get.
# Then run: locksweep check {file}
# It says what can't be right, what looks mis-measured, and which values are still the example's.
"""

_MEASURED = (
    "car", "rack", "arm", "strut", "wheel", "tie_rod", "joints", "loads", "keep_clear", "wheel_well", "stop",
    "marking",
)  # fmt: skip
_MASSES: KeyPath = ("car", "corner_masses")
_ANGLES = ("toe", "camber", "cut_angle")
_FORCES = ("hand_force", "assistance")
# Plain numbers that are square to something on most cars, or sizes that most cars have in common.
_NOT_TELLING = ("direction", "normal", "thickness", "plate", "slot_fit", "pilot", "cut_angle")


@dataclass(frozen=True)
class ExampleValue:
    """A measured key that still holds the starter's value.

    value: as written in the job file, with its unit
    """

    key: str
    line: int | None
    value: str


def starter_text(units: FileUnits = "mm", file: str = "my-car.toml") -> str:
    """Text of a commented job file to start from, with bare lengths in ``units``.

    file: its name, for the header
    """
    body = demo_text(STARTERS[units])
    # The demo's first paragraph introduces the demo car.
    introduction, safety = body.split("#\n", 1)
    assert introduction.startswith("# ")
    body = re.sub(r'^name = "[^"]*"', 'name = "my car"', f"#\n{safety}", flags=re.MULTILINE, count=1)
    body = re.sub(r'(\[car\]\n)name = "[^"]*"', r'\1name = "my car"', body, count=1)
    return _HEADER.format(file=file) + body


def example_values(text: str) -> list[ExampleValue]:
    """Measured keys of a job file that still hold the starter's values, whatever the unit, in file order.

    A file that is no TOML has none; loading it says what is wrong with it.
    """
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError):
        return []
    units = units_of(tables)
    starter = dict(_measurements(_starter_tables(units), units))
    kept = [path for path, value in _measurements(tables, units) if _is_same(value, starter.get(path))]
    lines = key_lines(text)
    found = [ExampleValue(key_text(path), line_of(path, lines), _shown(tables, path, units)) for path in kept]
    return sorted(found, key=lambda item: item.line or 0)


@cache
def _starter_tables(units: FileUnits) -> dict[str, Any]:
    return tomllib.loads(demo_text(STARTERS[units]))


def _measurements(tables: dict[str, Any], units: FileUnits) -> Iterator[tuple[KeyPath, tuple[float, ...]]]:
    """Every measured quantity, point or panel, as numbers in base units."""
    for name in _MEASURED:
        yield from _inside((name,), tables.get(name), units)


def _inside(path: KeyPath, value: Any, units: FileUnits) -> Iterator[tuple[KeyPath, tuple[float, ...]]]:
    if len(path) > DEEPEST:
        return
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in _NOT_TELLING:
                yield from _inside((*path, key), item, units)
    elif isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        for index, item in enumerate(value):
            yield from _inside((*path, index), item, units)
    else:
        try:
            numbers = tuple(parse_quantity(item, _dimension(path), units) for item in _flat(value))
        except (BadValueError, RecursionError):
            return
        # A level mark such as 0 says nothing: most cars share it.
        if any(numbers):
            yield path, numbers


def _flat(value: Any) -> Iterator[Any]:
    if isinstance(value, list):
        for item in value:
            yield from _flat(item)
    else:
        yield value


def _dimension(path: KeyPath) -> Dimension:
    if path[:2] == _MASSES or path == ("loads", "total_mass"):
        return "mass"
    if path[0] == "loads" and path[-1] in _FORCES:
        return "force"
    return "angle" if path[-1] in _ANGLES else "length"


def _is_same(numbers: tuple[float, ...], others: tuple[float, ...] | None) -> bool:
    if others is None or len(numbers) != len(others):
        return False
    return all(abs(a - b) < SAME for a, b in zip(numbers, others, strict=True))


def _shown(tables: dict[str, Any], path: KeyPath, units: FileUnits) -> str:
    value: Any = tables
    for step in path:
        value = value[step]
    if isinstance(value, list) and all(not isinstance(item, list) for item in value):
        return f"[{', '.join(written(item, 'length', units) for item in value)}]"
    return written(value, _dimension(path), units)
