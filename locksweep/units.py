"""How lengths are written for people: millimetres, or inches with millimetres beside them."""

from __future__ import annotations

from typing import Literal

Units = Literal["mm", "in"]
INCH_UNITS: Units = "in"


def length_text(value: float, units: Units, digits: int = 1) -> str:
    """A length in mm as text with its unit; in an inch job inches come first: "1.378 in (35.0 mm)"."""
    metric = f"{value:.{digits}f} mm"
    return metric if units == "mm" else f"{value / 25.4:.{digits + 2}f} in ({metric})"
