"""Kinds of values that a job file holds: each reads one value and says what it expected if it can't.

They hook into pydantic as annotations. The unit of the file reaches them as the validation context.
"""

from __future__ import annotations

import difflib
import math
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any

from pydantic_core import core_schema

from locksweep.job.quantities import BadValueError, in_words, parse_quantity, written
from locksweep.job.threads import parse_thread
from locksweep.job.units import DEGREE, INCH, Dimension, FileUnits
from solver.car import Vector
from solver.errors import TyreSizeError

FARTHEST = 3000.0
"""Of a coordinate from the origin, mm: nothing at a front end lies further away."""

LONGEST_NAME = 60
MOST_PANEL_POINTS = 200


class Field(ABC):
    """One kind of value; a subclass says how it is read."""

    @abstractmethod
    def read(self, value: object, units: FileUnits) -> Any:
        """The value in base units.

        Raises:
            BadValueError: it is not of this kind
        """

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(self._validate)

    def _validate(self, value: object, info: Any) -> Any:
        return self.read(value, info.context)


class Quantity(Field):
    """A quantity within limits, which are given in mm, degrees, kg or N."""

    def __init__(self, dimension: Dimension, low: float, high: float) -> None:
        self.dimension = dimension
        self.limits = (low, high)

    def read(self, value: object, units: FileUnits) -> float:
        """In mm, rad, kg or N."""
        try:
            number = parse_quantity(value, self.dimension, units)
        except BadValueError as error:
            raise BadValueError(error.found, self.expected(units), error.hint) from None
        scale = DEGREE if self.dimension == "angle" else 1.0
        low, high = self.limits
        # A limit itself is allowed, also where its conversion rounds.
        slack = 1e-9 * max(abs(low), abs(high))
        if not low - slack <= number / scale <= high + slack:
            hint = ""
            if number < 0 <= low:
                hint = "a size is never negative"
            elif self.dimension == "length" and isinstance(value, (int, float)):
                hint = (
                    f'a bare number means {units} in this file; any other unit can be written, like "15.9 mm"'
                )
            raise BadValueError(written(value, self.dimension, units), self.expected(units), hint)
        return number

    def expected(self, units: FileUnits) -> str:
        """What should stand there, in words, with the limits in the file's unit."""
        unit = {"length": units, "angle": "deg", "mass": "kg", "force": "N"}[self.dimension]
        scale = INCH if unit == "in" else 1.0
        # Four digits tell enough of what is converted, and of a great limit all are shown, no power of ten.
        low, high = (f"{float(f'{limit / scale:.4g}'):.10g}" for limit in self.limits)
        return f"{in_words(self.dimension)} from {low} {unit} to {high} {unit}"


class Point(Field):
    """A point [x, y, z]; mm."""

    coordinate = Quantity("length", -FARTHEST, FARTHEST)

    def read(self, value: object, units: FileUnits) -> Vector:
        """In mm."""
        return three(value, units, self.coordinate.read, "a point [x, y, z] of three lengths")


class Direction(Field):
    """A direction [x, y, z] of three plain numbers, of any length but 0."""

    def read(self, value: object, units: FileUnits) -> Vector:
        """As a unit vector."""
        expected = "a direction [x, y, z] of three plain numbers"
        x, y, z = three(value, units, self._component, expected)
        length = math.hypot(x, y, z)
        if length < 1e-9:
            raise BadValueError(f"[{x:g}, {y:g}, {z:g}]", expected, "at least one of them must not be 0")
        return (x / length, y / length, z / length)

    @staticmethod
    def _component(value: object, units: FileUnits) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not abs(value) <= 1e6:
            raise BadValueError(written(value), "a plain number without a unit, such as 0, 1 or -0.2")
        return float(value)


class Panel(Field):
    """Points round the edge of a panel, in order; mm."""

    point = Point()

    def read(self, value: object, units: FileUnits) -> tuple[Vector, ...]:
        """In mm."""
        expected = f"a list of 3 to {MOST_PANEL_POINTS} points [x, y, z] in order round the panel's edge"
        if not isinstance(value, list) or not 3 <= len(value) <= MOST_PANEL_POINTS:
            raise BadValueError(written(value), expected)
        return tuple(all_good(value, lambda item: self.point.read(item, units), expected))


class Depths(Field):
    """Free depths behind a panel, one for each of its points; mm."""

    each = Quantity("length", 0, 1000)

    def read(self, value: object, units: FileUnits) -> tuple[float, ...]:
        """In mm."""
        expected = "a list of depths, one for each of the panel's points in their order"
        if not isinstance(value, list) or not 3 <= len(value) <= MOST_PANEL_POINTS:
            raise BadValueError(written(value), expected)
        return tuple(all_good(value, lambda item: self.each.read(item, units), expected))


class Count(Field):
    """A whole number within limits."""

    def __init__(self, low: int, high: int) -> None:
        self.low, self.high = low, high

    def read(self, value: object, units: FileUnits) -> int:
        """As it stands."""
        if isinstance(value, bool) or not isinstance(value, int) or not self.low <= value <= self.high:
            raise BadValueError(written(value), f"a whole number from {self.low} to {self.high}")
        return value


class Shift(Field):
    """A shift {forward = , outward = , up = }, each optional; mm."""

    keys = ("forward", "outward", "up")
    length = Quantity("length", -300.0, 300.0)

    def read(self, value: object, units: FileUnits) -> dict[str, float]:
        """By key, in mm."""
        expected = "a shift such as { forward = 10, outward = -5, up = 0 }"
        if not isinstance(value, dict):
            raise BadValueError(written(value), expected)
        shift = {}
        parts = []
        for key, item in value.items():
            try:
                if key not in self.keys:
                    raise BadValueError(f"the key {key!r:.60}", "one of forward, outward and up")
                shift[key] = self.length.read(item, units)
            except BadValueError as error:
                parts.append((key, error))
        if parts:
            raise BadValueError(written(value), expected, parts=tuple(parts))
        return shift


class Text(Field):
    """A name or designation: one line of printable characters."""

    def __init__(self, expected: str = "a name in quotes") -> None:
        self.expected = expected

    def read(self, value: object, units: FileUnits) -> str:
        """Without space around it."""
        text = value.strip() if isinstance(value, str) else ""
        if not text or not text.isprintable() or len(text) > LONGEST_NAME:
            expected = f"{self.expected}, one line of at most {LONGEST_NAME} characters"
            raise BadValueError(written(value), expected)
        return text


class MaterialName(Text):
    """A material of the table, case and blanks ignored."""

    def read(self, value: object, units: FileUnits) -> str:
        """As it is written; the name must be known."""
        from solver.strength.materials import PAPER, UNKNOWN, UnknownMaterialError, known_names, material

        name = super().read(value, units)
        try:
            if name == PAPER.name:
                raise UnknownMaterialError(name)
            material(name)
        except UnknownMaterialError as error:
            hint = f'"{UNKNOWN}" when in doubt: the weakest of the candidates'
            raise BadValueError(written(value), f"one of {', '.join(known_names())}", hint) from error
        return name


class PartNames(Field):
    """A list of names of parts."""

    families = ("rack-spacer", "arm-sleeve", "closure-plate", "bump-stop")
    name = Text()

    def read(self, value: object, units: FileUnits) -> tuple[str, ...]:
        """Each without space around it; a family's name stands for all of its parts."""
        expected = 'a list of names of parts in quotes, such as ["arm-sleeve"]'
        if not isinstance(value, list):
            raise BadValueError(written(value), expected, "put it in square brackets")
        return tuple(all_good(value, lambda item: self._known(item, units), expected))

    def _known(self, value: object, units: FileUnits) -> str:
        name = self.name.read(value, units)
        if not any(name == family or name.startswith(f"{family}-") for family in self.families):
            expected = f"{', '.join(self.families)}, or one of them with its side, such as bump-stop-left"
            raise BadValueError(written(value), expected)
        return name


class Tyre(Field):
    """A tyre size."""

    def read(self, value: object, units: FileUnits) -> str:
        """The size string without space around it."""
        # Loads NumPy, which a look at the schema does not need.
        from solver.tyre import parse_size

        try:
            if not isinstance(value, str):
                raise TyreSizeError("no text")
            parse_size(value)
        except TyreSizeError:
            expected = "a tyre size that is made: section width in mm / height in percent, R, rim in inches"
            raise BadValueError(written(value), expected, "copy it from the tyre's side wall") from None
        return value.strip()


class Choice(Field):
    """One of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words

    def read(self, value: object, units: FileUnits) -> str:
        """The word."""
        if not isinstance(value, str) or value not in self.words:
            quoted = [f'"{word}"' for word in self.words]
            close = (
                difflib.get_close_matches(value.strip().lower(), self.words, 1)
                if isinstance(value, str)
                else []
            )
            hint = f'did you mean "{close[0]}"?' if close else ""
            raise BadValueError(written(value), " or ".join((", ".join(quoted[:-1]), quoted[-1])), hint)
        return value


class Thread(Field):
    """A thread designation."""

    def read(self, value: object, units: FileUnits) -> tuple[float, float]:
        """Diameter and pitch, mm."""
        return parse_thread(value)


def three(
    value: object, units: FileUnits, read: Callable[[object, FileUnits], float], expected: str
) -> Vector:
    """A list of three, each read; or one error that holds those of all that are bad."""
    if not isinstance(value, list) or len(value) != 3:
        raise BadValueError(written(value), expected)
    x, y, z = all_good(value, lambda item: read(item, units), expected)
    return (x, y, z)


def all_good(items: list[Any], read: Callable[[object], Any], expected: str) -> list[Any]:
    """Every item read, or one error that holds those of all bad items."""
    good = []
    parts = []
    for index, item in enumerate(items):
        try:
            good.append(read(item))
        except BadValueError as error:
            parts.append((index, error))
    if parts:
        raise BadValueError(written(items), expected, parts=tuple(parts))
    return good


class Later(Field):
    """A table, or an array of tables, whose keys most files do without: its model is loaded when a file has one.

    module, name: of the model
    """

    def __init__(self, module: str, name: str, many: bool) -> None:
        self.module, self.name, self.many = module, name, many

    def kind(self) -> Any:
        """The model, or a list of it."""
        from importlib import import_module

        model = getattr(import_module(self.module), self.name)
        many: Any = list
        return many[model] if self.many else model

    def read(self, value: object, units: FileUnits) -> Any:
        """The table or tables, validated; what is wrong inside is raised as pydantic raises it."""
        from pydantic import TypeAdapter

        return TypeAdapter(self.kind()).validate_python(value, context=units)
