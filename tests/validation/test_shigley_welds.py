"""Fillet welds against Shigley, Mechanical Engineering Design, chapter 9, and a published worked example."""

from __future__ import annotations

import math

import pytest

from solver.strength.welds import rectangle_weld_stress, round_weld_stress, weld_yield

THROAT = 0.707
"""Of a fillet's leg, as Shigley rounds it."""


def test_problem_9_1_two_runs() -> None:
    """Two runs of 50 mm, leg 5 mm, at 140 MPa carry 49.5 kN (problem 9-1): a rectangle without depth."""
    # 1.414 x 5 x 50 x 140 = 49 490 N; the book prints three figures.
    assert 140.0 == pytest.approx(rectangle_weld_stress(5.0, 50.0, 1e-9, 49.5e3, 0.0), rel=1e-3)


def test_problem_9_2_in_inches() -> None:
    """4 in of 5/16 in weld at 25 ksi carry 22.1 kip (problem 9-2); any units that belong together will do."""
    # Two runs of 2 in: 0.707 x 5/16 x 4 x 25 = 22.09 kip.
    assert 25.0 == pytest.approx(rectangle_weld_stress(5 / 16, 2.0, 1e-9, 22.1, 0.0), rel=1e-3)


def test_problem_9_5_allowable_of_e70() -> None:
    """E70 is allowed 14.85 kip on each inch of weld and inch of leg, so 100 mm of 5 mm carry 51.2 kN (problem 9-5)."""
    # 0.30 of 70 ksi on the throat; the electrode's 70 ksi, 483 MPa, are from memory.
    assert 21.0 == pytest.approx(rectangle_weld_stress(1.0, 0.5, 1e-9, 14.85, 0.0), rel=1e-3)
    assert 0.30 * 483.0 == pytest.approx(rectangle_weld_stress(5.0, 50.0, 1e-9, 51.2e3, 0.0), rel=1e-3)


def test_weld_round_a_tube() -> None:
    """Tube of 200 mm, 20 kN at 100 mm: 31.83 and 63.66 N/mm (worked example on a page about welded tubes)."""
    shear, bending = (round_weld_stress(1.0, 100.0, force, moment) for force, moment in ((20e3, 0), (0, 2e6)))
    # Stress over a leg of 1 mm times the throat is the line load; 1.414 is not twice 0.707 to the last digit.
    assert 31.83 == pytest.approx(shear * THROAT, rel=3e-4)
    assert 63.66 == pytest.approx(bending * THROAT, rel=3e-4)
    assert 71.18 == pytest.approx(math.hypot(shear, bending) * THROAT, rel=3e-4)


def test_rectangle_bending_follows_table_9_2() -> None:
    """Unit second moment of a weld round b x d is d2 (3 b + d) / 6 (table 9-2), here 60 x 40: 58 667 mm3 x 1 mm."""
    unit = 40.0**2 * (3 * 60.0 + 40.0) / 6
    assert 58_667 == pytest.approx(unit, abs=0.5)
    assert 1e6 * 20.0 / (THROAT * 5.0 * unit) == pytest.approx(
        rectangle_weld_stress(5.0, 60.0, 40.0, 0.0, 1e6), rel=1e-12
    )


def test_weld_metal_yields_in_shear() -> None:
    """0.577 of E70's 57 ksi yield, 393 MPa (table 9-3, from memory): 226.8 MPa."""
    assert 226.8 == pytest.approx(weld_yield(), abs=0.05)
