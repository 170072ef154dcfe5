"""Sizes as they are written on a sheet: millimetres, or inches with the millimetres beneath."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from parts.drawing.paper import font
from parts.drawing.standards import letter_height

Units = Literal["mm", "in"]
Deviations = tuple[float, float]
"""Upper and lower, mm."""

INCH = 25.4
GLUE = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"
INCH_DIGITS, METRIC_DIGITS = 3, 2
"""Decimals of a size; one with deviations of its own has one more, or the writing would take a share of them."""
STACK_RAISE, STACK_DROP = 1.45, -0.75
"""Base lines of the upper and the lower deviation above that of the size, mm."""


@dataclass(frozen=True)
class Run:
    """Text on one base line: x and y from the row's start, height of capitals, mm."""

    text: str
    x: float
    y: float
    height: float


@dataclass(frozen=True)
class Row:
    """A line of lettering, mm: how wide it is, how far it goes above and below its base line."""

    runs: tuple[Run, ...]
    width: float
    above: float
    below: float

    @property
    def text(self) -> str:
        """All of it in a row."""
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True)
class Size:
    """How a measured length is written.

    count: of equal features; prefix: such as "Ø"
    deviations: where the general tolerance is not enough
    reference: in brackets: follows from others and is not checked
    """

    count: int = 1
    prefix: str = ""
    deviations: Deviations | None = None
    reference: bool = False

    def rows(self, value: float, units: Units) -> tuple[Row, ...]:
        """One row, or in an inch job the inches and the millimetres beneath them."""
        if units == "mm":
            return (self._row(value, "mm", self.counted, ""),)
        return (self._row(value, "in", self.counted, ""), self._row(value, "mm", "[", "]"))

    @property
    def counted(self) -> str:
        """What stands before all else: how many."""
        return f"{self.count} × " if self.count > 1 else ""

    @property
    def finer(self) -> int:
        """Decimals beyond the usual ones."""
        return 0 if self.deviations is None else 1

    def _row(self, value: float, units: Units, opening: str, closing: str) -> Row:
        height = letter_height("text")
        brackets = ("(", ")") if self.reference else ("", "")
        main = opening + brackets[0] + self.prefix + number(value, units, self.finer)
        last = brackets[1] + closing
        stacked = self.deviations is not None and self.deviations[0] != -self.deviations[1]
        if self.deviations is None or not stacked:
            if self.deviations is not None:
                main += " ±" + deviation(self.deviations[0], units, self.finer).lstrip("+")
            return plain_row(main + last)
        runs = [Run(main, 0.0, 0.0, height)]
        x, small = font.width(main, height) + 0.5, letter_height("small")
        texts = [deviation(each, units, self.finer) for each in self.deviations]
        runs += [Run(t, x, y, small) for t, y in zip(texts, (STACK_RAISE, STACK_DROP), strict=True)]
        x += max(font.width(t, small) for t in texts)
        above, below = STACK_RAISE + small, -STACK_DROP
        if last:
            runs.append(Run(last, x, 0.0, height))
            x += font.width(last, height)
        return Row(tuple(runs), x, above, below)


def plain_row(text: str, use: str = "text") -> Row:
    """A line of text as a row."""
    height, line = letter_height(use), font.printable(text)
    return Row((Run(line, 0.0, 0.0, height),), font.width(line, height), height, 0.0)


def number(value: float, units: Units, finer: int = 0) -> str:
    """A length in mm as a bare number: mm without needless zeros, inches with three decimals and ``finer`` more."""
    if units == "in":
        return f"{value / INCH:.{INCH_DIGITS + finer}f}"
    text = f"{value:.{METRIC_DIGITS + finer}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def deviation(value: float, units: Units, finer: int = 0) -> str:
    """A deviation in mm with its sign; inches are rounded towards 0, so that they never allow more."""
    if units == "in":
        digits = INCH_DIGITS + finer
        step = 10**digits
        inches = math.trunc(value / INCH * step + math.copysign(1e-9, value)) / step
        return f"{inches:+.{digits}f}".replace("-", MINUS) if inches else "0"
    text = number(abs(value), "mm", finer)
    return text if text == "0" else f"{'+' if value > 0 else MINUS}{text}"


def length(value: float, units: Units) -> str:
    """A length in mm in one line of a table or note, with its unit: "12.5 mm", or "0.492 in [12.5 mm]"."""
    metric = f"{number(value, 'mm')}{GLUE}mm"
    return metric if units == "mm" else f"{number(value, 'in')}{GLUE}in{GLUE}[{metric}]"


def about(value: float, units: Units) -> str:
    """A round length in mm in a note, where it is no measure of the part."""
    metric = f"{value:.0f}{GLUE}mm"
    return metric if units == "mm" else f"{value / INCH:.1f}{GLUE}in{GLUE}[{metric}]"


def cell(value: float, units: Units) -> str:
    """A length in mm in a table whose head names the unit."""
    metric = number(value, "mm")
    return metric if units == "mm" else f"{number(value, 'in')} [{metric}]"


PLAIN, DIAMETER, RADIUS = Size(), Size(prefix="Ø"), Size(prefix="R")
