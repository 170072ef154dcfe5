"""Ackermann's condition and turning radii.

Sources: theory-of-machines question banks (examveda.com, examians.com) for cot(outer) − cot(inner) = c/b with
c between the kingpins and b the wheelbase; a worked question on qna.carrieradda.com (4726) for the radii,
which prints the wheelbase once as 2.743 and once as 2.73 m.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.measures import ideal_outer_angle, kerb_to_kerb


@given(
    inner=st.floats(0.01, 1.5),
    spacing=st.floats(1000.0, 1800.0),
    wheelbase=st.floats(1800.0, 3500.0),
    turn=st.sampled_from((1, -1)),
)
def test_condition(inner: float, spacing: float, wheelbase: float, turn: int) -> None:
    """cot(outer) − cot(inner) = c/b in either turn; the cotangent of 0.01 rad costs two digits."""
    outer = turn * float(ideal_outer_angle(np.array(turn * inner), np.array(spacing), wheelbase))
    found = 1 / math.tan(outer) - 1 / math.tan(inner)
    assert spacing / wheelbase == pytest.approx(found, abs=1e-11)


def test_straight_ahead() -> None:
    """No steer at one wheel, none at the other: the cotangents don't exist but the angle does."""
    assert 0.0 == float(ideal_outer_angle(np.array(0.0), np.array(1400.0), 2500.0))


def test_outer_front_radius() -> None:
    """b/sin φ + (a − c)/2 with b 2.743, c 1.065, a 1.217 m and φ 32° is printed as 5.25 m.

    The question's (a − c)/2 is how far the wheel stands outside of its kingpin; here half the tyre's section
    takes that place.
    """
    width = 1217.0 - 1065.0
    diameter = kerb_to_kerb(math.radians(32), 0.0, 2743.0, width)
    # Printed to a hundredth of a metre.
    assert 5.25 == pytest.approx(diameter / 2000, abs=0.005)
    assert 5252.0 == pytest.approx(diameter / 2, abs=0.5)
