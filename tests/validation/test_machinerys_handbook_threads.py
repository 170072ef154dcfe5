"""Length of engagement against Machinery's Handbook, "Length of Engagement of Screw Threads", equal materials."""

from __future__ import annotations

import math

import pytest

from solver.strength.threads import engagement_needed, strip_strength, thread_stress_area

LENGTHS = {(10.0, 1.5): 7.44, (12.0, 1.75): 8.88, (14.0, 1.5): 11.00}
"""Worked from the book's formula with the tabled limits of 6H and 6g; mm."""


@pytest.mark.parametrize(("thread", "length"), LENGTHS.items())
def test_engagement(thread: tuple[float, float], length: float) -> None:
    """Within 0.5 %: the limits come from the standard's formulas here, which its tables round."""
    assert length == pytest.approx(engagement_needed(*thread), rel=5e-3)


@pytest.mark.parametrize("thread", LENGTHS)
def test_rule_of_thumb(thread: tuple[float, float]) -> None:
    """Steel in steel needs no more than one diameter, the trade's lower rule (common practice, no source)."""
    assert engagement_needed(*thread) <= thread[0]


@pytest.mark.parametrize("thread", LENGTHS)
def test_nut_thread_outlasts_the_stud(thread: tuple[float, float]) -> None:
    """At that length the nut's thread, sheared over a larger diameter, bears more than the stud's breaking load.

    Shear strength is half of the tensile one in the book's formula.
    """
    broken = thread_stress_area(*thread) * 800.0
    assert strip_strength(*thread, engagement_needed(*thread), 400.0) > broken


def test_shear_area_of_m10() -> None:
    """M10 x 1.5: π Le Ds (1/2 + 0.57735 n (Ds − En)) with En 9.206 (tabled, 6H) and 10 mm engaged: 253 mm2."""
    expected = math.pi * 10.0 * 10.0 * (0.5 + 0.57735 / 1.5 * (10.0 - 9.206))
    assert expected == pytest.approx(strip_strength(10.0, 1.5, 10.0, 1.0), rel=5e-3)
