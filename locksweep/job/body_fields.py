"""Kinds of values that only the tables about the body hold."""

from __future__ import annotations

import math

from locksweep.job.fields import Field, Point, Quantity, all_good
from locksweep.job.quantities import BadValueError, written
from locksweep.job.units import FileUnits
from solver.car import Vector

LONGEST_PATH = 400
FARTHEST_ON_SCAN = 1e7
"""Of a coordinate in a scan's own unit: some scanners count from a corner of the country."""


class Points(Field):
    """A list of points [x, y, z]; mm."""

    point = Point()

    def __init__(self, fewest: int, most: int, what: str) -> None:
        self.fewest, self.most, self.what = fewest, most, what

    def read(self, value: object, units: FileUnits) -> tuple[Vector, ...]:
        """In mm."""
        count = f"{self.fewest}" if self.fewest == self.most else f"{self.fewest} to {self.most}"
        expected = f"a list of {count} points [x, y, z]{self.what}"
        if not isinstance(value, list) or not self.fewest <= len(value) <= self.most:
            raise BadValueError(written(value), expected)
        return tuple(all_good(value, lambda item: self.point.read(item, units), expected))


class ScanPoint(Field):
    """A point [x, y, z] of a scan, three plain numbers in the scan's own unit."""

    def read(self, value: object, units: FileUnits) -> Vector:
        """As it stands."""
        expected = "a point [x, y, z] of three plain numbers, as the scan's viewer shows it"
        if not isinstance(value, list) or len(value) != 3:
            raise BadValueError(written(value), expected)
        x, y, z = all_good(value, _plain, expected)
        return (x, y, z)


class Some(Field):
    """A list of quantities of one kind."""

    def __init__(self, each: Quantity, most: int) -> None:
        self.each, self.most = each, most

    def read(self, value: object, units: FileUnits) -> tuple[float, ...]:
        """In base units."""
        expected = f"a list of at most {self.most} values, each {self.each.expected(units)}"
        if not isinstance(value, list) or len(value) > self.most:
            raise BadValueError(written(value), expected)
        return tuple(all_good(value, lambda item: self.each.read(item, units), expected))


class Confidence(Field):
    """A share of cars, such as "90 %"."""

    def read(self, value: object, units: FileUnits) -> float:
        """From 0.5 to 0.999."""
        expected = 'a share from "50 %" to "99.9 %", or a plain number from 0.5 to 0.999'
        number: object = value
        if isinstance(value, str) and value.strip().endswith("%"):
            try:
                number = float(value.strip()[:-1]) / 100
            except ValueError:
                number = None
        if (
            isinstance(number, bool)
            or not isinstance(number, (int, float))
            or not 0.5 <= number <= 0.999 + 1e-12
        ):
            raise BadValueError(written(value), expected)
        return float(number)


class FileName(Field):
    """The name of a scan's file, from the job file's folder on."""

    def read(self, value: object, units: FileUnits) -> str:
        """As it stands."""
        good = isinstance(value, str) and 0 < len(value.strip()) <= LONGEST_PATH and value.isprintable()
        if not good:
            raise BadValueError(written(value), 'the name of a file in quotes, such as "scans/left-well.ply"')
        return str(value).strip()


def _plain(value: object) -> float:
    good = not isinstance(value, bool) and isinstance(value, (int, float))
    if not (good and math.isfinite(value) and abs(value) <= FARTHEST_ON_SCAN):  # type: ignore[arg-type]
        raise BadValueError(written(value), "a plain number without a unit")
    return float(value)  # type: ignore[arg-type]
