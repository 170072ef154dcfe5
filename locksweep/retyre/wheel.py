"""The wheel that a builder asks for in words: size string and rim, what is not given taken from the job or the size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_args

from locksweep.job.quantities import BadValueError
from locksweep.job.schema import Offset, RimWidth, TyreMeasure, TyreSize
from locksweep.units import length_text
from solver.car import Job, Wheel
from solver.errors import JobFileError, TyreSizeError
from solver.tyre import INCH, tyre_of
from solver.tyre_change import check_size, rim_code, usual_rim, wheel_of

MEASURED = ("outside_diameter", "section_width", "loaded_radius")
"""Keys that hold for one tyre on one rim."""
OPTIONS = {
    "rim_width": ("--rim-width", RimWidth, "--rim-width '8.5 in'"),
    "offset": ("--offset", Offset, "--offset '15 mm'"),
    "outside_diameter": ("--diameter", TyreMeasure, "--diameter '645 mm'"),
    "section_width": ("--section-width", TyreMeasure, "--section-width '271 mm'"),
    "loaded_radius": ("--loaded-radius", TyreMeasure, "--loaded-radius '305 mm'"),
}
"""Of each key its option, how it is read, and an example."""


@dataclass(frozen=True)
class NewWheel:
    """The wheel asked for.

    as_written: what was given, by key of [changes.wheel], as it would stand in the job file
    assumed: keys of what was neither given nor known; told: the same as sentences
    """

    wheel: Wheel
    as_written: Mapping[str, Any]
    assumed: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def new_wheel(job: Job, size: str, given: Mapping[str, str | None]) -> NewWheel:
    """A wheel from a size string and options.

    given: by key of `OPTIONS`, as typed; None where left out

    Raises:
        LocksweepError: something typed is no size or length, the tyre is far larger than the car's, or tyre
            and rim don't go together; says which, with an example.
    """
    old = wheel_of(job)
    tyre = _size(size, job)
    typed = {key: _plain(text) for key, text in given.items() if text is not None}
    values = {key: _length(key, value, job) for key, value in typed.items()}
    assumed: dict[str, str] = {}
    same_rim = rim_code(tyre) == rim_code(old.tyre)
    rim = values.get("rim_width")
    if rim is None:
        rim = old.rim_width if same_rim else usual_rim(tyre)
        if not same_rim:
            assumed["rim_width"] = (
                f"rim {rim / INCH:g} in ({rim:.1f} mm) wide, the measuring rim of {tyre}: the job's rim is "
                f"{rim_code(old.tyre)} in in diameter; say what it is with {OPTIONS['rim_width'][0]}"
            )
    offset = values.get("offset", old.offset)
    if "offset" not in values and (not same_rim or rim != old.rim_width):
        assumed["offset"] = (
            f"offset {length_text(offset, job.stock_units)}, as of the old rim; say what it is with "
            f"{OPTIONS['offset'][0]}"
        )
    same_tyre = tyre == old.tyre and rim == old.rim_width
    measured = {key: values.get(key, getattr(old, key) if same_tyre else None) for key in MEASURED}
    wheel = Wheel(tyre, rim, offset, **measured)
    _check(wheel, job, "rim_width" in values)
    return NewWheel(wheel, {"tyre": tyre, **typed}, tuple(assumed), tuple(assumed.values()))


def _size(size: str, job: Job) -> str:
    try:
        tyre: str = get_args(TyreSize)[1].read(size, job.stock_units)
    except BadValueError as error:
        raise JobFileError(
            f"SIZE: found {error.found}; expected {error.expected}; {error.hint}. For example: "
            f"locksweep retyre JOB {wheel_of(job).tyre.replace(' ', '')}"
        ) from error
    return tyre


def _plain(text: str) -> float | int | str:
    """A bare number as a number, which takes the unit of the file."""
    try:
        number = float(text)
    except ValueError:
        return text.strip()
    return int(number) if number.is_integer() else number


def _length(key: str, value: float | str, job: Job) -> float:
    option, kind, example = OPTIONS[key]
    try:
        found: float = get_args(kind)[1].read(value, job.stock_units)
    except BadValueError as error:
        hint = f"; {error.hint}" if error.hint else ""
        raise JobFileError(
            f"{option}: found {error.found}; expected {error.expected}{hint}. For example: {example}"
        ) from error
    return found


def _check(wheel: Wheel, job: Job, rim_given: bool) -> None:
    """Tyre and rim must go together, and what was measured must be the tyre's."""
    check_size(job, wheel)
    try:
        tyre = tyre_of(wheel)
    except TyreSizeError as error:
        usual = f"{usual_rim(wheel.tyre) / INCH:g} in"
        kept = "" if rim_given else " that the job has"
        if "measuring rim" in str(error):
            raise TyreSizeError(
                f"{wheel.tyre} does not go on the rim{kept}: {error}. For example: locksweep retyre JOB {wheel.tyre} "
                f"--rim-width '{usual}' --offset '{wheel.offset:g} mm'"
            ) from error
        raise
    if wheel.loaded_radius is not None and wheel.loaded_radius > tyre.outside_diameter / 2:
        raise JobFileError(
            f"--loaded-radius: found {length_text(wheel.loaded_radius, job.stock_units)}; expected at most half of the "
            f"outside diameter, {length_text(tyre.outside_diameter / 2, job.stock_units)}: a tyre that carries the car "
            "is pressed in"
        )
