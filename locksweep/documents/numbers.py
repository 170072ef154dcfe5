"""How numbers are rounded where they are written."""

from __future__ import annotations

import math


def degrees(angle: float) -> float:
    """An angle in degrees from radians, to a thousandth."""
    return rounded(math.degrees(angle), 3)


def length(value: float) -> float:
    """A length in mm, to a tenth of a micrometre."""
    return rounded(value, 4)


def rounded(value: float, digits: int) -> float:
    """To so many digits: the last bits, which differ between machines, stay out of the files, and −0 becomes 0."""
    return round(float(value), digits) + 0.0
