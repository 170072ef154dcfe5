"""Kinds of values that goals and the tables about the search hold."""

from __future__ import annotations

from locksweep.job.fields import Field, Quantity, all_good
from locksweep.job.quantities import BadValueError, written
from locksweep.job.threads import parse_thread
from locksweep.job.units import Dimension, FileUnits

MOST_PLACES = 12
LOWEST_PERCENT, HIGHEST_PERCENT = -200, 300
TAPERS = (2.0, 50.0)
"""One in so many, from blunt to slender."""


class Range(Field):
    """Two values of one dimension, the lesser first: a list of two."""

    def __init__(self, dimension: Dimension, low: float, high: float) -> None:
        self.quantity = Quantity(dimension, low, high)

    def read(self, value: object, units: FileUnits) -> tuple[float, float]:
        """In mm or radians."""
        expected = f"a list of two, the lesser first, each {self.quantity.expected(units)}"
        if not isinstance(value, list) or len(value) != 2:
            raise BadValueError(listed(value, self.quantity.dimension, units), expected)
        low, high = all_good(value, lambda item: self.quantity.read(item, units), expected)
        if not low < high:
            hint = "there must be room between the two" if low == high else "swap the two"
            raise BadValueError(listed(value, self.quantity.dimension, units), expected, hint)
        return (low, high)


class Places(Field):
    """Places forward and outward of where something is now: a list of lists of two; mm."""

    def __init__(self, low: float, high: float) -> None:
        self.quantity = Quantity("length", low, high)

    def read(self, value: object, units: FileUnits) -> tuple[tuple[float, float], ...]:
        """In mm."""
        expected = f"a list of one to {MOST_PLACES} places [forward, outward]"
        if not isinstance(value, list) or not 1 <= len(value) <= MOST_PLACES:
            raise BadValueError(listed(value, "length", units), expected)
        return tuple(all_good(value, lambda item: self._place(item, units), expected))

    def _place(self, value: object, units: FileUnits) -> tuple[float, float]:
        expected = f"a place [forward, outward], each {self.quantity.expected(units)}"
        if not isinstance(value, list) or len(value) != 2:
            raise BadValueError(listed(value, "length", units), expected)
        forward, outward = all_good(value, lambda item: self.quantity.read(item, units), expected)
        return (forward, outward)


class Percents(Field):
    """Two plain numbers, percent, the lesser first."""

    def read(self, value: object, units: FileUnits) -> tuple[float, float]:
        """As they stand."""
        each = f"each from {LOWEST_PERCENT} to {HIGHEST_PERCENT}"
        expected = f"a list of two plain numbers, percent, the lesser first, {each}"
        items = value if isinstance(value, list) and len(value) == 2 else []
        numbers = [item for item in items if isinstance(item, (int, float)) and not isinstance(item, bool)]
        if len(numbers) != 2 or not LOWEST_PERCENT <= numbers[0] < numbers[1] <= HIGHEST_PERCENT:
            raise BadValueError(listed(value, None, units), expected)
        return (float(numbers[0]), float(numbers[1]))


class Taper(Field):
    """A taper: the diameter grows by one in so many of the length."""

    def read(self, value: object, units: FileUnits) -> str:
        """As "1:N"."""
        one, colon, many = value.replace(" ", "").partition(":") if isinstance(value, str) else ("", "", "")
        try:
            number = float(many)
        except ValueError:
            number = 0.0
        if one != "1" or not colon or not TAPERS[0] <= number <= TAPERS[1]:
            expected = f'a taper "1:N" in quotes, N from {TAPERS[0]:g} to {TAPERS[1]:g}'
            hint = "measure the stud's diameter at two places: their distance over the difference is N"
            raise BadValueError(written(value), expected, hint)
        return f"1:{number:g}"


class MarkedThread(Field):
    """A thread designation, of which only the marking is wanted."""

    def read(self, value: object, units: FileUnits) -> str:
        """As it stands, without space around it."""
        parse_thread(value)
        return str(value).strip()


def listed(value: object, dimension: Dimension | None, units: FileUnits) -> str:
    """A short list with each of its values as written and with its unit, and anything else as it is shown elsewhere."""
    if (
        isinstance(value, list)
        and 0 < len(value) <= 4
        and not any(isinstance(v, (list, dict)) for v in value)
    ):
        return f"[{', '.join(written(item, dimension, units) for item in value)}]"
    return "an empty list" if value == [] else written(value, dimension, units)
