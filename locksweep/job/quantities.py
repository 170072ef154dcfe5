"""Quantities as people say them: "5/8 in", "1 1/4 in", "2 ft 3 in", "12 deg 30 min", "850 kg".

The grammar of numbers (fractions, mixed numbers, feet and inches) is written here; what a unit means is
told by the unit table and the unit library. Nothing in a text is ever evaluated.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterator

from locksweep.job.units import UNITS, Dimension, FileUnits, bare_unit, dimension_of, unit_factor
from solver.errors import LocksweepError

LONGEST_TEXT = 60
LARGEST = 1e9
"""Of any quantity in base units; nothing on a car comes near, and squares of it still fit a float."""

EXAMPLES: dict[Dimension, str] = {
    "length": '"15.9 mm", "5/8 in", "1 1/4 in" or "2 ft 3 in"',
    "angle": '"7 deg" or "12 deg 30 min"',
    "mass": '"310 kg" or "680 lb"',
    "force": '"1.2 kN"',
}

ARTICLES: dict[str, str] = {"angle": "an angle", "other quantity": "some other quantity"}

_UNIT = r"(?P<unit>[A-Za-zµ°]+|''|[\"'″′”’])"
_NUMBER = (
    r"(?:(?:(?P<whole>\d+)(?:\s+|-))?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
    r"|(?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?))"
)
_TERM = re.compile(rf"\s*{_NUMBER}\s*{_UNIT}?\s*", re.ASCII)


class BadValueError(LocksweepError, ValueError):
    """A value of a job file that can't be used.

    found: the value as written, with its unit
    expected: what should stand there
    hint: what to do about it, or ""
    parts: (index, error) of each bad item, if the value is a list of which only items are bad
    """

    def __init__(
        self,
        found: str,
        expected: str,
        hint: str = "",
        parts: tuple[tuple[int, BadValueError], ...] = (),
    ) -> None:
        super().__init__(f"found {found}; expected {expected}" + (f"; {hint}" if hint else ""))
        self.found = found
        self.expected = expected
        self.hint = hint
        self.parts = parts


def parse_quantity(value: object, dimension: Dimension, file_units: FileUnits = "mm") -> float:
    """A quantity from a job file in mm, rad, kg or N.

    Args:
        value: a number, which takes the unit of the file (angles: degrees, masses: kg), or a text
        dimension: what it must measure
        file_units: the unit of bare lengths

    Raises:
        BadValueError: not a finite quantity of that dimension, or beyond 1e9 base units
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise _bad(value, dimension, file_units)
    if isinstance(value, str):
        number = _parse_text(value, dimension, file_units)
    else:
        if not abs(value) < LARGEST:  # Also true for NaN, and before an int that no float can hold.
            hint = "" if isinstance(value, int) else "write the number itself"
            raise _bad(value, dimension, file_units, hint)
        factor = unit_factor(bare_unit(dimension, file_units), dimension) or math.nan
        number = _times(float(value), factor)
    if not abs(number) < LARGEST:
        raise _bad(value, dimension, file_units, "the number is far too large")
    return number


def written(value: object, dimension: Dimension | None = None, file_units: FileUnits = "mm") -> str:
    """A value as it stands in the file, cut short if long; bare numbers get the unit they are taken in."""
    if isinstance(value, bool):
        return f"{str(value).lower()}, which is a yes or no"
    if isinstance(value, str):
        shown = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in value[: LONGEST_TEXT + 1])
        return f'"{shown}"' if len(shown) <= LONGEST_TEXT else f'"{shown[:LONGEST_TEXT]}…"'
    if isinstance(value, (int, float)):
        # Python refuses to print the digits of a very long whole number.
        huge = isinstance(value, int) and value.bit_length() > 200
        shown = "a number of more than 60 digits" if huge else str(value)
        return f"{shown} {bare_unit(dimension, file_units)}" if dimension and not huge else shown
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return f"{value}, which is a date or time"


def in_words(dimension: Dimension) -> str:
    """The dimension with its article."""
    return ARTICLES.get(dimension, f"a {dimension}")


def _bad(value: object, dimension: Dimension, file_units: FileUnits, hint: str = "") -> BadValueError:
    return BadValueError(written(value, dimension, file_units), in_words(dimension), hint)


def _parse_text(text: str, dimension: Dimension, file_units: FileUnits) -> float:
    def bad(hint: str = "") -> BadValueError:
        return _bad(text, dimension, file_units, hint or f"write it like {EXAMPLES[dimension]}")

    if len(text) > LONGEST_TEXT:
        raise bad("the text is too long for a quantity")
    body = text.strip().replace("−", "-")
    sign = -1.0 if body.startswith("-") else 1.0
    body = body[1:] if body[:1] in ("-", "+") else body
    terms = list(_terms(body))
    if not terms:
        raise bad(_spelling_hint(body))
    total, last_factor = 0.0, math.inf
    for position, term in enumerate(terms):
        unit = term["unit"]
        if unit is None:
            if len(terms) > 1:
                raise bad(f"one of its numbers has no unit; write it like {EXAMPLES[dimension]}")
            unit = bare_unit(dimension, file_units)
        factor = unit_factor(unit, dimension)
        if factor is None:
            raise _wrong_unit(text, unit, dimension, file_units)
        number, scale = _number(term, bad)
        if position and factor >= last_factor:
            raise bad("its units must get smaller from left to right")
        if position and number * factor >= last_factor * scale:
            raise bad(f"its last part is {number / scale:g} {unit}, which is one or more of the unit before")
        if position < len(terms) - 1 and not (number / scale).is_integer():
            raise bad("only its last number may have a fraction")
        total += _times(number, factor, scale)
        last_factor = factor
    return sign * total


def _terms(body: str) -> Iterator[re.Match[str]]:
    """Number-and-unit terms of a text; none at all if the text is not wholly made of them."""
    matches = []
    position = 0
    while position < len(body):
        match = _TERM.match(body, position)
        if not match:
            return
        matches.append(match)
        position = match.end()
    yield from matches


def _number(term: re.Match[str], bad: Callable[[str], BadValueError]) -> tuple[float, float]:
    """Numerator and denominator, kept apart so that the division comes last and 5/8 in is 15.875 mm."""
    if term["decimal"]:
        return float(term["decimal"]), 1.0
    over, under = int(term["over"]), int(term["under"])
    if under == 0:
        raise bad("a fraction can't be over 0")
    if term["whole"] is None:
        return float(over), float(under)
    if over >= under:
        raise bad(f"the fraction {over}/{under} beside a whole number must be less than 1")
    return float(int(term["whole"]) * under + over), float(under)


def _times(number: float, factor: float, scale: float = 1.0) -> float:
    """number × factor / scale, where tenths in the factor, as in an inch, cost no rounding."""
    return number * (factor * 10.0) / (scale * 10.0)


def _spelling_hint(body: str) -> str:
    lowered = body.lower()
    if any(c.isnumeric() and not c.isascii() for c in body):
        return 'write numbers with the digits 0 to 9 and fractions with a slash, like "1 1/4 in"'
    if lowered.startswith(("nan", "inf")):
        return "write the number itself"
    if re.search(r"\d,\d", body):
        return "write a decimal point instead of the comma, and no commas between thousands"
    return ""


def _wrong_unit(text: str, unit: str, dimension: Dimension, file_units: FileUnits) -> BadValueError:
    other = dimension_of(unit)
    found = written(text, dimension, file_units)
    if other:
        found += f", which is {ARTICLES.get(other, f'a {other}')}"
    known = [name for name in UNITS[dimension] if name.isalpha()]
    close = [unit.lower()] if unit.lower() in known else difflib.get_close_matches(unit, known, 1)
    hint = f'did you mean "{close[0]}" instead of "{unit}"?' if close else ""
    if not hint and not other:
        hint = f'the unit "{unit}" is not known'
    return BadValueError(found, in_words(dimension), hint)
