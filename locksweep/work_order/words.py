"""Small pieces of wording."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from locksweep.units import Units, sides_text
from solver.vectors import Array

AID = "marking aid"
"""Role of parts that are never fitted to the car."""


def degrees(value: float, digits: int = 2) -> str:
    """An angle that is in degrees already."""
    return f"{value + 0.0:.{digits}f}°"


def listed(items: Sequence[str]) -> str:
    """Items in a row."""
    return "; ".join(items)


def sided(at_ride: float, locks: Array) -> str:
    """The steer angle at which a stop is met at ride height, and over the travel; rad."""
    low, high = (math.degrees(float(each)) for each in (locks.min(), locks.max()))
    return f"{math.degrees(at_ride):.1f}° ({low:.1f}° to {high:.1f}° over the travel)"


def mock_up_sizes(part: Mapping[str, Any], units: Units) -> str:
    """A mock-up's file, how often it is printed, and its pieces with the size that each comes off the bed with."""
    names: dict[str, list[str]] = {}
    for piece in part["mock_up"]["pieces"]:
        if piece["words"] != "none":
            size = sides_text(piece["size_mm"], units, 1)
            names.setdefault(size, []).append(piece["file"].removesuffix(".stl"))
    often = "once" if part["quantity"] == 1 else f"{part['quantity']} times"
    return f"{part['mock_up']['package']}, {often}: " + "; ".join(
        f"{', '.join(pieces)} {size}" for size, pieces in names.items()
    )
