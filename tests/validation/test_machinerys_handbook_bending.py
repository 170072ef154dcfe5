"""Bend allowance.

Source: Machinery's Handbook, 31st edition, p. 1421, with its worked example; set-back and deduction by the
usual formulas, their example computed by us.
"""

from __future__ import annotations

import math

import pytest

from solver.sheet_metal import bend_allowance, bend_deduction

BOOK_ROUNDING = 6e-4
"""Relative: the book writes 1.57 for π/2, 0.05 % less."""


def handbook(share: float, thickness: float, radius: float, degrees: float) -> float:
    """(share · T + 1.57 R) per 90°."""
    return (share * thickness + 1.57 * radius) * degrees / 90


@pytest.mark.parametrize(
    ("material", "share"), [("soft", 0.55), ("soft steel, aluminium", 0.64), ("hard", 0.71)]
)
@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0, 180.0])
@pytest.mark.parametrize("radius", [0.125, 0.375, 2.0])
def test_allowance(material: str, share: float, degrees: float, radius: float) -> None:
    """The book's three lines are ours with K = share/1.57, whatever radius and angle."""
    expected = handbook(share, 0.125, radius, degrees)
    found = bend_allowance(math.radians(degrees), radius, 0.125, share / 1.57)
    assert expected == pytest.approx(found, rel=BOOK_ROUNDING), material


def test_worked_example() -> None:
    """Soft steel 1/8 in, 3/8 in radius through 180° and 5/8 in through 60°, 3.5 in straight: 5.545 in."""
    assert 5.545 == pytest.approx(3.5 + handbook(0.64, 1 / 8, 3 / 8, 180) + handbook(0.64, 1 / 8, 5 / 8, 60))
    k = 0.64 / 1.57
    bends = bend_allowance(math.pi, 3 / 8, 1 / 8, k) + bend_allowance(math.pi / 3, 5 / 8, 1 / 8, k)
    assert 5.545 - 3.5 == pytest.approx(bends, rel=BOOK_ROUNDING)


def test_deduction() -> None:
    """T 2, R 2, K 0.44 at 90°: allowance 4.524, deduction 3.476, and 50 + 30 outside take 76.524 flat."""
    allowance = bend_allowance(math.pi / 2, 2.0, 2.0, 0.44)
    deduction = bend_deduction(math.pi / 2, 2.0, 2.0, 0.44)
    # Printed to a thousandth.
    assert 4.524 == pytest.approx(allowance, abs=5e-4)
    assert 3.476 == pytest.approx(deduction, abs=5e-4)
    assert 76.524 == pytest.approx(50 + 30 - deduction, abs=5e-4)
