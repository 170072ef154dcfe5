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


METRIC = re.compile(r"(?<![\w.-])(-?\d+(?:\.\d+)?) mm\b")


def sentence_text(text: str, units: Units) -> str:
    """A sentence with lengths in mm; in an inch job each becomes inches with the millimetres beside them."""
    if units == "mm":
        return text

    def both(match: re.Match[str]) -> str:
        digits = len(match[1].partition(".")[2])
        return length_text(float(match[1]), units, digits)

    return METRIC.sub(both, text)
