"""Bending of sheet metal: allowance and set-back."""

from __future__ import annotations

import math


def bend_allowance(angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """Length of the neutral layer in a bend, mm.

    BA = A (R + K T), with the bend angle A in radians, inside radius R and thickness T in mm
    (Machinery's Handbook, 31st ed., "Bending Sheet Metal").
    """
    return angle * (radius + k_factor * thickness)


def bend_deduction(angle: float, radius: float, thickness: float, k_factor: float) -> float:
    """What two outside lengths lose to one bend, mm: twice the set-back (R + T) tan(A/2) less the allowance."""
    set_back = (radius + thickness) * math.tan(angle / 2)
    return 2 * set_back - bend_allowance(angle, radius, thickness, k_factor)
