"""Bending of sheet metal: allowance, set-back, deduction, and a row of a bend table."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple


class Bend(NamedTuple):
    """One row of a bend table; mm and radians.

    number: counted from 1, in the order of the flat pattern's bend lines
    angle: turned through, 0 for flat; radius: inside; allowance: length of the neutral layer
    deduction: what two outside lengths, each to the corner, lose to the bend in the flat
    k_factor: position of the neutral layer, share of the thickness from the inside
    direction: seen from the side that the flat pattern shows
    length: of the bend line
    """

    number: int
    angle: float
    radius: float
    allowance: float
    deduction: float
    k_factor: float
    direction: Literal["up", "down"]
    length: float


def set_back(angle: float, radius: float) -> float:
    """From the corner of two faces to where the bend between them begins, mm: R tan(A/2), each with its own radius."""
    return radius * math.tan(angle / 2)


def bend_allowance(angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """Length of the neutral layer in a bend, mm.

    BA = A (R + K T), with the bend angle A in radians, inside radius R and thickness T in mm
    (Machinery's Handbook, 31st ed., "Bending Sheet Metal").
    """
    return angle * (radius + k_factor * thickness)


def bend_deduction(angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """What two outside lengths lose to one bend, mm: twice the set-back (R + T) tan(A/2) less the allowance."""
    return 2 * set_back(angle, radius + thickness) - bend_allowance(angle, radius, thickness, k_factor)


def bend_row(
    number: int, angle: float, radius: float, thickness: float, k_factor: float, length: float
) -> Bend:
    """A bend upwards as a row of the table."""
    return Bend(
        number,
        angle,
        radius,
        bend_allowance(angle, radius, thickness, k_factor),
        bend_deduction(angle, radius, thickness, k_factor),
        k_factor,
        "up",
        length,
    )
