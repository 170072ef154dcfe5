"""Columns against Shigley, Mechanical Engineering Design, 9th edition, chapter 4.

Example 4-17 and problem 4-77 (b) as printed there; the tube values are worked by us from the same formulas.
"""

from __future__ import annotations

import math

import pytest

from solver.strength.columns import column_strength
from solver.strength.sections import tube

POUND_FORCE = 4.448222
KSI = 6.894757
INCH = 25.4


def test_example_4_17_round_column() -> None:
    """1.5 m, 88 kN critical load, E 207 GPa, yield 500 MPa, pinned: 37.48 mm diameter."""
    # The book rounds the diameter to four figures, a fourth power of it is good to 5e-4.
    bar = tube(37.48, 0.0)
    assert 88e3 == pytest.approx(column_strength(bar, 1500.0, 500.0, 207.0), rel=1e-3)


def test_problem_4_77_b_johnson_column() -> None:
    """0.875 in round, 18 in, 37.5 ksi, 30 Mpsi: slenderness 82.3 and 17 714 lbf by Johnson's formula."""
    bar = tube(0.875 * INCH, 0.0)
    assert 82.3 == pytest.approx(18 * INCH / math.sqrt(bar.second_moment / bar.area), abs=0.05)
    # The printed load has five figures; the slenderness it was worked with has three.
    found = column_strength(bar, 18 * INCH, 37.5 * KSI, 30_000 * KSI / 1000)
    assert 17_714 * POUND_FORCE == pytest.approx(found, rel=1e-3)


def test_transition_is_continuous() -> None:
    """Euler and Johnson meet at a slenderness of 90.4 for 207 GPa and 500 MPa (example 4-17), at half the yield."""
    bar = tube(40.0, 30.0)
    radius = math.sqrt(bar.second_moment / bar.area)
    below, above = (column_strength(bar, 90.4 * s * radius, 500.0, 207.0) for s in (0.999, 1.001))
    assert 0.5 * 500.0 * bar.area == pytest.approx(below, rel=3e-3)
    assert 0.5 * 500.0 * bar.area == pytest.approx(above, rel=3e-3)


def test_tube_sections() -> None:
    """Tube 44.5 x 2.5: 329.87 mm2 and 72 993 mm4; 20/14: 5968.2 mm4, pinned over 1.5 m 5419 N (worked by us)."""
    large, small = tube(44.5, 39.5), tube(20.0, 14.0)
    assert 329.87 == pytest.approx(large.area, abs=0.005)
    assert 72_993 == pytest.approx(large.second_moment, abs=0.5)
    assert 5968.2 == pytest.approx(small.second_moment, abs=0.05)
    assert 5419 == pytest.approx(column_strength(small, 1500.0, 400.0, 207.0), abs=0.5)
