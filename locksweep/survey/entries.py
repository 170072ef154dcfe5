"""One line of a measuring sheet, whatever the file's kind, turned into measurements or a problem."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from locksweep.job.fields import Quantity
from locksweep.job.findings import KeyPath, Problem, printable
from locksweep.job.quantities import BadValueError, written
from locksweep.job.units import Dimension, FileUnits
from locksweep.survey.points import CORNER_POINTS, SIDES
from solver.survey import Kind, Measurement
from solver.survey.instruments import INSTRUMENT, uncertainties
from solver.survey.measurement import ANGLES, called

KINDS: tuple[Kind, ...] = ("height", "across", "ahead", "length", *ANGLES)
PLUMB = "plumb"
"""Besides the kinds: a point and the mark that was chalked under it."""

HELPER_NAME = re.compile(r"(?:(?:left|right)\.)?[A-Za-z0-9_-]{1,40}")
HELPER_EXAMPLE = 'helpers = ["left.mark_pickup", "sill_mark"]'

_EXAMPLES: dict[str, tuple[str, str]] = {
    "height": ("left.ball_joint = 172", 'left.ball_joint = "6 3/4 in"'),
    "across": ("left.ball_joint = 668", 'left.ball_joint = "26 1/4 in"'),
    "ahead": ("left.pickup = -108", 'left.pickup = "-4 1/4 in"'),
    "length": (
        '"left.ball_joint to left.pickup" = 117.5',
        '"left.ball_joint to left.pickup" = "4 5/8 in"',
    ),
    "angle": ('"left.damper_point to left.strut_top" = 84.5',) * 2,
    PLUMB: ('left.pickup = "left.mark_pickup"',) * 2,
}
_POSITION = Quantity("length", -3000, 3000)
_OUTWARD = Quantity("length", 0, 3000)
_TAPE = Quantity("length", 5, 5000)
_GAUGE = Quantity("angle", -90, 90)
_PLUS_MINUS: dict[Dimension, Quantity] = {
    "length": Quantity("length", 0.05, 100),
    "angle": Quantity("angle", 0.01, 10),
}


@dataclass(frozen=True)
class Entry:
    """One line of a sheet as written.

    what: a kind or "plumb"
    names: of the points, one or two; the second is the one that the line leads to
    by: instrument, None for the usual one; plus_minus: None for what is usual for the instrument
    path: in the file; line: where the path doesn't tell
    """

    what: str
    names: tuple[str, ...]
    value: object
    by: object
    plus_minus: object
    path: KeyPath
    line: int | None = None


class Readings:
    """Turns entries into measurements and gathers what is wrong with them.

    helpers: names of points that the job file doesn't have
    stated: uncertainty of instruments as the sheet gives it, mm or rad
    """

    def __init__(self, units: FileUnits, helpers: Iterable[str], stated: Mapping[str, float]) -> None:
        self.units = units
        self.helpers = frozenset(helpers)
        self.sigmas = {name: sigma for name, (sigma, _) in uncertainties().items()} | dict(stated)
        self.problems: list[Problem] = []
        self.empty = 0
        self._times: dict[str, int] = {}

    def measurements(self, entry: Entry) -> list[Measurement]:
        """What one line says; nothing if it is still empty or wrong."""
        try:
            if isinstance(entry.value, str) and not entry.value.strip():
                self.empty += 1
                return []
            # Every name is looked at, so that both are reported.
            known = [self._is_point(entry, name) for name in entry.names]
            if not all(known):
                return []
            return list(self._read(entry))
        except BadValueError as error:
            self._report(entry, error)
            return []

    def _report(self, entry: Entry, error: BadValueError) -> None:
        example = _EXAMPLES[entry.what.split()[0]][self.units == "in"] if entry.line is None else ""
        self.problems.append(
            Problem(entry.path, error.found, error.expected, error.hint, example, entry.line)
        )

    def _is_point(self, entry: Entry, name: str) -> bool:
        side, _, own = name.rpartition(".")
        if name in self.helpers or (side in SIDES and own in CORNER_POINTS):
            return True
        known = [f"{one}.{point}" for one in SIDES for point in CORNER_POINTS] + sorted(self.helpers)
        close = difflib.get_close_matches(name[:60], known, 1)
        hint = f'did you mean "{close[0]}"? ' if close else ""
        hint += f"A point of your own is named first: {HELPER_EXAMPLE}"
        expected = "left. or right. and a point of the job file, such as left.ball_joint, or a helper point"
        self._report(entry, BadValueError(f"the point {written(name)}", expected, hint))
        return False

    def _read(self, entry: Entry) -> Iterator[Measurement]:
        if entry.what == PLUMB:
            yield from self._plumbed(entry)
            return
        kind = next(kind for kind in KINDS if kind == entry.what)
        needs_two = kind == "length" or kind in ANGLES
        if needs_two and len(entry.names) != 2:
            raise BadValueError(f"one point, {entry.names[0]}", 'two points, such as "left.a to left.b"')
        point = entry.names[-1]
        origin = entry.names[0] if len(entry.names) == 2 else None
        if origin == point:
            raise BadValueError(f"{point} twice", "two different points")
        value = self._value(kind, point, origin, entry.value)
        yield Measurement(
            kind, point, origin, value, self._sigma(kind, entry), self._name(kind, point, origin)
        )

    def _value(self, kind: Kind, point: str, origin: str | None, value: object) -> float:
        if kind in ANGLES:
            return _GAUGE.read(value, self.units)
        if kind == "length":
            return _TAPE.read(value, self.units)
        if kind != "across" or origin is not None or not point.startswith(SIDES):
            return _POSITION.read(value, self.units)
        try:
            return _OUTWARD.read(value, self.units)
        except BadValueError as error:
            hint = "distances across count outwards from the centre line on both sides, without a minus"
            raise BadValueError(error.found, error.expected, hint) from None

    def _sigma(self, kind: Kind, entry: Entry) -> float:
        dimension: Dimension = "angle" if kind in ANGLES else "length"
        instrument = INSTRUMENT[kind]
        if isinstance(entry.by, str) and entry.by.strip():
            instrument = entry.by.strip()
        elif entry.by is not None and not isinstance(entry.by, str):
            instrument = ""
        fitting = [
            name for name, (_, unit) in uncertainties().items() if (unit == "deg") == (dimension == "angle")
        ]
        if instrument not in fitting:
            quoted = ", ".join(f'"{name}"' for name in fitting)
            raise BadValueError(f"by {written(entry.by)}", f"one of {quoted}")
        given = entry.plus_minus
        if given is None or (isinstance(given, str) and not given.strip()):
            return self.sigmas[instrument]
        try:
            return _PLUS_MINUS[dimension].read(given, self.units)
        except BadValueError as error:
            found, expected = f"plus_minus {error.found}", f"an uncertainty, {error.expected}"
            raise BadValueError(found, expected, error.hint) from None

    def _plumbed(self, entry: Entry) -> Iterator[Measurement]:
        point, mark = entry.names if len(entry.names) == 2 else (entry.names[0], entry.value)
        if not isinstance(mark, str) or mark not in self.helpers or mark == point:
            expected = "the name of a helper point: the mark on the floor under it"
            raise BadValueError(written(mark), expected, f"a helper point is named first: {HELPER_EXAMPLE}")
        plumb, floor = self.sigmas["plumb line"], self.sigmas["floor"]
        name = f"plumb line from {point} to {mark}"
        yield Measurement("ahead", point, mark, 0.0, plumb, f"{name}, fore and aft")
        yield Measurement("across", point, mark, 0.0, plumb, f"{name}, across")
        yield Measurement("height", mark, None, 0.0, floor, self._name("height", mark, None))

    def _name(self, kind: Kind, point: str, origin: str | None) -> str:
        name = called(kind, point, origin)
        count = self._times[name] = self._times.get(name, 0) + 1
        return name if count == 1 else f"{name}, reading {count}"


def helper_problem(name: object, path: KeyPath, line: int | None = None) -> Problem | None:
    """What is wrong with the name of a helper point, if anything."""
    if isinstance(name, str) and HELPER_NAME.fullmatch(name):
        return None
    expected = 'letters, digits and "_", with left. or right. in front if it lies on one side'
    found = printable(written(name))
    return Problem(path, f"the helper point {found}", expected, "", HELPER_EXAMPLE, line)


def uncertainty_of(instrument: str, value: object, units: FileUnits) -> float:
    """Uncertainty that a sheet gives an instrument, mm or rad.

    Raises:
        BadValueError: no such instrument, or no uncertainty
    """
    table = uncertainties()
    if instrument not in table:
        close = difflib.get_close_matches(instrument, table, 1)
        hint = f'did you mean "{close[0]}"?' if close else ""
        quoted = ", ".join(f'"{name}"' for name in table)
        raise BadValueError(f"the instrument {written(instrument)}", f"one of {quoted}", hint)
    return _PLUS_MINUS["angle" if table[instrument][1] == "deg" else "length"].read(value, units)
