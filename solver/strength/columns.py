"""Buckling of straight bars."""

from __future__ import annotations

import math

from solver.strength.sections import Section


def column_strength(section: Section, length: float, yield_strength: float, modulus: float) -> float:
    """Axial load in N at which a pinned column buckles: Euler, below the transition slenderness Johnson.

    Shigley, 9th edition, equations 4-43 and 4-48; ``modulus`` in GPa.
    """
    elastic = modulus * 1000.0
    slenderness = length / math.sqrt(section.second_moment / section.area)
    transition = math.sqrt(2 * math.pi**2 * elastic / yield_strength)
    if slenderness > transition:
        return section.area * math.pi**2 * elastic / slenderness**2
    return section.area * (yield_strength - (yield_strength * slenderness / (2 * math.pi)) ** 2 / elastic)
