"""Surveyed points written into a job file: values change, comments and layout stay."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from locksweep.job.editing import (
    JobUpdate,
    KeyChanges,
    faults_of,
    kept_column,
    parsed_twice,
    refuse_new_faults,
    shown,
    update_file,
)
from locksweep.job.findings import printable
from locksweep.job.load import units_of
from locksweep.job.units import INCH, FileUnits
from locksweep.survey.points import CORNER_POINTS, SIDES
from solver.errors import WriteError


def update_job(path: str | Path, points: Mapping[str, Sequence[float]]) -> JobUpdate:
    """The job file at a path with new points; nothing is written yet.

    Args:
        points: positions in mm by name; those of [car.left] and [car.right] are taken, others are left out

    Raises:
        JobFindingsError: the file is no job file, or the new points would make something in it wrong
        WriteError: the file is laid out in a way that can't be changed without disturbing it
    """
    return update_file(path, lambda text: updated_text(text, points, str(path)))


def updated_text(
    text: str, points: Mapping[str, Sequence[float]], name: str = "job file"
) -> tuple[str, KeyChanges]:
    """A job file's text with new points, mm, and what changed.

    Raises:
        JobFindingsError, WriteError: see ``update_job``
    """
    # Loaded here: nothing but changing a file needs it.
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    faults = faults_of(text, name)
    expected, document = parsed_twice(text, name)
    units = units_of(expected)
    changes: list[tuple[str, tuple[str, str]]] = []
    made: list[str] = []
    try:
        for point in _in_order(points):
            side, _, key = point.partition(".")
            new = [_rounded(value, units) for value in points[point]]
            old = expected.setdefault("car", {}).setdefault(side, {}).get(key)
            if old != new:
                changes.append((f"car.{point}", (shown(old), shown(new))))
                expected["car"][side][key] = new
                if side not in document["car"]:
                    document["car"][side] = tomlkit.table()
                    made.append(side)
                _set(document["car"][side], key, new)
        for side in made:
            document["car"][side].add(tomlkit.nl())
        changed = tomlkit.dumps(document)
        good = tomllib.loads(changed) == expected
    except (TOMLKitError, ValueError, TypeError, AttributeError, KeyError, RecursionError):
        good = False
    if not good:
        raise WriteError(
            f"{printable(name)}: its tables [car.left] and [car.right] are laid out in a way that can't be changed "
            "without disturbing the file; it is left as it is. Copy the points by hand."
        )
    refuse_new_faults(changed, name, faults, "the measured points")
    return changed, tuple(changes)


def _in_order(points: Mapping[str, Sequence[float]]) -> list[str]:
    names = [f"{side}.{key}" for side in SIDES for key in CORNER_POINTS]
    return [name for name in names if name in points]


def _rounded(value: float, units: FileUnits) -> float | int:
    """To what a tape can tell: a tenth of a millimetre, five thousandths of an inch."""
    number = round(float(value) / INCH / 0.005) * 0.005 if units == "in" else float(value)
    number = round(number, 3 if units == "in" else 1) + 0.0
    return int(number) if number.is_integer() else number


def _set(table: Any, key: str, new: list[float | int]) -> None:
    """Change the numbers of a point; what stands between and after them stays, and so does a comment's column."""
    import tomlkit
    from tomlkit.items import Array

    point = table.get(key)
    if not (isinstance(point, Array) and len(point) == 3):
        array = tomlkit.array()
        array.extend(new)
        table[key] = array
        return
    width = len(point.as_string())
    for index, value in enumerate(new):
        point[index] = value
    kept_column(point, width)
