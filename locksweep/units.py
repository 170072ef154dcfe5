"""How lengths are written for people: millimetres, or inches with millimetres beside them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

Units = Literal["mm", "in"]
INCH_UNITS: Units = "in"


def length_text(value: float, units: Units, digits: int = 1) -> str:
    """A length in mm as text with its unit; in an inch job inches come first: "1.378 in (35.0 mm)"."""
    metric = f"{value:.{digits}f} mm"
    return metric if units == "mm" else f"{value / 25.4:.{digits + 2}f} in ({metric})"


def sides_text(sides: Sequence[float], units: Units, digits: int) -> str:
    """Several lengths in mm as one size, with its unit once; in an inch job inches come first."""
    metric = " × ".join(f"{side:.{digits}f}" for side in sides) + " mm"
    if units == "mm":
        return metric
    return " × ".join(f"{side / 25.4:.{digits + 2}f}" for side in sides) + f" in ({metric})"


NUMBER = r"-?\d+(?:\.\d+)?"
METRIC = re.compile(rf"(?<![\w.-])({NUMBER}) mm\b")
POINT = re.compile(rf"\(((?:{NUMBER}, )+{NUMBER})\) mm\b")
SIXTEENTH = 25.4 / 16
SNAPPED = 3.0
"""Of lengths from this on, mm, that were rounded from a sixteenth of an inch, the sixteenth is meant."""


def sentence_text(text: str, units: Units) -> str:
    """A sentence with lengths in mm; in an inch job each becomes inches with the millimetres beside them."""
    if units == "mm":
        return text

    def both(match: re.Match[str]) -> str:
        digits = len(match[1].partition(".")[2])
        metric, inches = f"{match[1]} mm", _unrounded(float(match[1]), digits) / 25.4
        return f"{inches:.{digits + 2}f} in ({metric})"

    def point(match: re.Match[str]) -> str:
        inches = ", ".join(f"{float(value) / 25.4:.2f}" for value in match[1].split(", "))
        return f"({inches}) in, {match[0]}"

    return POINT.sub(point, METRIC.sub(both, text))


def _unrounded(value: float, digits: int) -> float:
    """A length in mm, or the sixteenth of an inch that it is with fewer digits: 9.5 mm of 3/8 in are not 0.374 in."""
    sixteenth = round(value / SIXTEENTH) * SIXTEENTH
    close = abs(value - sixteenth) <= 0.5 * 10**-digits + 1e-9
    return sixteenth if digits and abs(value) >= SNAPPED and close else value
