"""What a survey tells, for the terminal: points with uncertainties, what does not fit, what to measure next."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from locksweep.job.units import INCH, FileUnits
from locksweep.survey.sheet import Sheet
from solver.survey import Measurement, Survey, SurveyError
from solver.survey.adjust import Misfit, TwoPlaces
from solver.survey.measurement import ANGLES

MOST_NAMED = 12


def points_table(survey: Survey, units: FileUnits) -> list[str]:
    """Every point with its coordinates and standard deviations, as a table in Markdown."""
    rows = [f"| point | x, {units} | y | z | ± x | ± y | ± z |", "| --- |"]
    for name, position, sigma in zip(survey.points, survey.positions, survey.sigmas(), strict=True):
        known = bool(np.isfinite(sigma).all())
        cells = [*(_number(value, units) for value in position), *(_number(value, units) for value in sigma)]
        rows.append(f"| {name} | {' | '.join(cells if known else ['not determined'] + ['–'] * 5)} |")
    return rows


def report_text(sheet: Sheet, survey: Survey) -> str:
    """The whole survey for the terminal, but for what makes it unusable: see ``what_is_wrong``."""
    from locksweep.console import aligned

    count = len(survey.measurements)
    lines = [f"{sheet.file}: {count} measurements of {len(survey.points)} points, {_freedom(survey)}"]
    if sheet.empty:
        lines.append(f"{sheet.empty} lines of the sheet are still empty.")
    lines += ["", "Points, ± one standard deviation", *aligned(points_table(survey, sheet.units))]
    if survey.loose:
        lines += [
            "",
            f"All in all the measurements scatter {survey.scatter:.1f} times as much as their uncertainties say, and "
            "no single one stands out: take the uncertainties above times that, or measure again with more care.",
        ]
    if survey.unchecked and not survey.undetermined:
        lines += [
            "",
            f"Nothing checks these, so that a slip in them would go unseen: {_listed(survey.unchecked)}.",
        ]
    if survey.complete and np.isfinite(survey.least_slip()).any():
        lines += ["", _least_checked(sheet, survey)]
    advice = survey.advice
    if advice and survey.complete:
        now, then = (_with_unit(value, sheet.units) for value in (advice.now, advice.then))
        lines += [
            "",
            f"The worst known point is {advice.point}, to ±{now}. What would help it most: the {advice.measurement}, "
            f"which would make it ±{then}.",
        ]
    return "\n".join(lines)


def _least_checked(sheet: Sheet, survey: Survey) -> str:
    slips = np.where(np.isfinite(survey.least_slip()), survey.least_slip(), 0.0)
    # Lengths only: a slip of an angle is no length to compare with theirs.
    slips[[item.kind in ANGLES for item in survey.measurements]] = 0.0
    worst = int(np.argmax(np.round(slips, 9)))
    slip = _with_unit(float(slips[worst]), sheet.units)
    return f"Of the others, the {survey.measurements[worst].name} is checked least: a slip below {slip} may go unseen."


def _freedom(survey: Survey) -> str:
    if not survey.freedom:
        return "none more than needed: no measurement checks another."
    scatter = f"they scatter {survey.scatter:.1f} times as much as their uncertainties say."
    return f"{survey.freedom} more than needed; {scatter}"


def what_is_wrong(sheet: Sheet, survey: Survey) -> SurveyError | None:
    """Why a survey can't be used, with the names of the culprits; None if it can."""
    if survey.complete:
        return None
    said: list[str] = []
    if survey.undetermined:
        said.append("too few measurements: nothing holds")
        said += [f"  {_listed(points)}: {words}" for words, points in _by_direction(survey).items()]
        if survey.missing:
            said.append("measure as well:")
            said += [f"  the {name}" for name in survey.missing]
    if survey.misfits:
        said += [_misfit_words(sheet, item) for item in survey.misfits]
    if survey.contradictory:
        said.append(
            "and the rest still contradict each other: begin with those above, and look whether two points or the two "
            "sides were mixed up"
        )
    said += [_two_places_words(item, sheet.units) for item in survey.two_places]
    if survey.misfits:
        said.append(
            "Correct the sheet, or take the line out of it; the points above were found without what doesn't fit."
        )
    return SurveyError(f"{sheet.file}: " + "\n".join(said))


def _by_direction(survey: Survey) -> dict[str, list[str]]:
    groups: dict[str, list[str]] = {}
    for item in survey.undetermined:
        groups.setdefault(item.direction, []).append(item.point)
    return groups


def _misfit_words(sheet: Sheet, item: Misfit) -> str:
    measured = item.measurement
    reads = _value_text(measured, measured.value, sheet.units)
    others = _value_text(measured, measured.value - item.slip, sheet.units)
    by = _value_text(measured, abs(item.slip), sheet.units)
    place = sheet.place(measured.name)
    where = f" ({place.removeprefix(sheet.file + ', ')})" if place != sheet.file else ""
    text = (
        f"the {measured.name}{where} doesn't fit: it reads {reads}, the others say {others}. It is {by} too "
        f"{'much' if item.slip > 0 else 'little'}, {abs(item.normalised):.0f} times its standard deviation. "
        "Measure it again."
    )
    if item.instead:
        text += f" It could as well be the {_listed(item.instead, ' or the ')}: nothing on the sheet tells them apart."
    return text


def _two_places_words(item: TwoPlaces, units: FileUnits) -> str:
    here, there = (
        f"[{', '.join(_number(value, units) for value in place)}]" for place in (item.place, item.other)
    )
    axis = int(np.argmax(np.abs(np.subtract(item.place, item.other))))
    what = ("distance ahead", "distance across", "height")[axis]
    return (
        f"{item.point} fits in two places, {here} and {there} {units}: lengths alone don't tell on which side of the "
        f"other points it lies. Measure its {what} as well."
    )


def _value_text(measurement: Measurement, value: float, units: FileUnits) -> str:
    if measurement.kind in ANGLES:
        return f"{math.degrees(value):.2f}°"
    return _with_unit(value, units)


def _with_unit(value: float, units: FileUnits) -> str:
    return f"{_number(value, units)} {units}"


def _number(value: float, units: FileUnits) -> str:
    shown = f"{value / INCH:.2f}" if units == "in" else f"{value:.1f}"
    return shown.removeprefix("-") if not float(shown) else shown


def _listed(names: Iterable[str], between: str = ", ") -> str:
    names = list(names)
    rest = len(names) - MOST_NAMED
    return between.join(names[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")


def changes_table(changes: Sequence[tuple[str, tuple[str, str]]]) -> list[str]:
    """What a job file held and what it gets, as a table in Markdown."""
    return [
        "| key | was | becomes |",
        "| --- |",
        *(f"| {key} | {was} | {now} |" for key, (was, now) in changes),
    ]
