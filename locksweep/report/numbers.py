"""Arrays as plain data for the page: rounded to what a picture can show, and no value that JSON doesn't know."""

from __future__ import annotations

from typing import Any

import numpy as np

from solver.vectors import Array

MM, DEGREES, UNIT = 2, 2, 6
"""Decimals of lengths in mm, of angles in degrees, and of unit vectors and quaternions."""


def plain(values: Array, digits: int = MM) -> list[Any]:
    """An array as nested lists; what is no number, a pose that does not exist, becomes None."""
    rounded = np.round(np.asarray(values, np.float64), digits) + 0.0
    if np.isfinite(rounded).all():
        found: list[Any] = rounded.tolist()
        return found
    emptied = rounded.astype(object)
    emptied[~np.isfinite(rounded)] = None
    return list(emptied.tolist())


def degrees(values: Array, digits: int = DEGREES) -> list[Any]:
    """Angles in radians as nested lists in degrees."""
    return plain(np.degrees(values), digits)
