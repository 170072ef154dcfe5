"""Ackermann's condition.

Source: R. N. Jazar, Vehicle Dynamics, chapter 7, example with a wheelbase of 103.1 in, a track of 61.6 in and
an inner angle of 12°. From memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.measures import ideal_outer_angle


def test_outer_angle() -> None:
    """The book prints 10.661° after rounding on the way, which costs it 0.02°; unrounded it is 10.681°."""
    outer = math.degrees(ideal_outer_angle(np.array(math.radians(12)), np.array(61.6), 103.1))
    assert 10.661 == pytest.approx(outer, abs=0.025)
    assert 10.681 == pytest.approx(outer, abs=5e-4)
