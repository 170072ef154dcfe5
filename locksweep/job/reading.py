"""Values of a job file one by one, for checks that need several of them.

A value that is missing or was reported already reads as None, so that such a check stays silent about it
and still runs on everything else.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from locksweep.job.fields import Direction, Point
from locksweep.job.findings import KeyPath
from locksweep.job.quantities import BadValueError, parse_quantity, written
from locksweep.job.source import is_unreadable
from locksweep.job.threads import parse_thread
from locksweep.job.units import Dimension, FileUnits
from solver.car import Side, Vector

_POINT = Point()
_DIRECTION = Direction()


class Reading:
    """A job file's tables, as parsed from TOML.

    units: of the file
    reported: paths of what was reported
    """

    def __init__(self, tables: dict[str, Any], units: FileUnits, reported: set[KeyPath]) -> None:
        self.tables = tables
        self.units = units
        # A point is bad as a whole when one coordinate of it is.
        self.reported = {path[:length] for path in reported for length in range(1, len(path) + 1)}

    def without(self, paths: Iterable[KeyPath]) -> Reading:
        """The same, with more that was reported."""
        return Reading(self.tables, self.units, self.reported.union(paths))

    def raw(self, path: KeyPath) -> Any:
        """The value as it stands in the file, or None."""
        value: Any = self.tables
        for step in path:
            if isinstance(step, str) and isinstance(value, dict):
                value = value.get(step)
            elif isinstance(step, int) and isinstance(value, list) and step < len(value):
                value = value[step]
            else:
                return None
        return None if is_unreadable(value) else value

    def count(self, table: str) -> int:
        """How many tables an array of tables has."""
        value = self.tables.get(table)
        return len(value) if isinstance(value, list) else 0

    def given(self, path: KeyPath) -> bool:
        """Whether the key is there, with whatever value."""
        return self.raw(path) is not None

    def quantity(self, *path: str | int, dimension: Dimension = "length") -> float | None:
        """A quantity in base units."""
        value = self.raw(path)
        if value is None or path in self.reported:
            return None
        try:
            return parse_quantity(value, dimension, self.units)
        except BadValueError:
            return None

    def text(self, *path: str | int) -> str | None:
        """A text."""
        value = self.raw(path)
        return value if isinstance(value, str) and path not in self.reported else None

    def thread(self, *path: str | int) -> tuple[float, float] | None:
        """Diameter and pitch of a thread, mm."""
        value = self.raw(path)
        try:
            return None if value is None or path in self.reported else parse_thread(value)
        except BadValueError:
            return None

    def direction(self, *path: str | int) -> Vector | None:
        """A unit vector."""
        value = self.raw(path)
        if value is None or path in self.reported:
            return None
        try:
            return _DIRECTION.read(value, self.units)
        except BadValueError:
            return None

    def point(self, *path: str | int) -> Vector | None:
        """A point in mm."""
        value = self.raw(path)
        if value is None or path in self.reported:
            return None
        try:
            return _POINT.read(value, self.units)
        except BadValueError:
            return None

    def corner_point(self, side: Side, key: str) -> tuple[Vector | None, KeyPath]:
        """A point of one corner in mm and the path of the key it comes from, which may be the left one's."""
        path: KeyPath = ("car", side, key)
        if side == "right" and not self.given(path):
            left, path = self.corner_point("left", key)
            return (left[0], -left[1], left[2]) if left else None, path
        return self.point(*path), path

    def shown(self, *path: str | int, dimension: Dimension | None = "length") -> str:
        """A value as written in the file, with its unit."""
        return written(self.raw(path), dimension, self.units)

    def shown_coordinate(self, path: KeyPath, axis: int) -> str:
        """One coordinate of a point, such as "strut_top z = 120 mm"."""
        return f"{path[-1]} {'xyz'[axis]} = {self.shown(*path, axis)}"
