"""Toe-out in a corner.

Source: training notes "Toe-out in a corner", which give wheelbase 3200, kingpin spacing 1600, a turning
circle of 13.225 m and a 225 tyre. The angles are computed by us from these: regression values.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.measures import ideal_outer_angle, kerb_to_kerb

WHEELBASE, SPACING, CIRCLE, TYRE = 3200.0, 1600.0, 13225.0, 225.0
OUTER, INNER = 29.492, 38.260


def test_turning_circle() -> None:
    """29.492° outside turns in 13.225 m between kerbs: 6.5 m to the tyre's middle, and half a tyre."""
    # A thousandth of a degree is worth 0.4 mm of diameter.
    assert CIRCLE == pytest.approx(kerb_to_kerb(math.radians(OUTER), 0.0, WHEELBASE, TYRE), abs=0.4)
    assert math.sin(math.radians(OUTER)) == pytest.approx(WHEELBASE / (CIRCLE / 2 - TYRE / 2), abs=1e-5)


def test_inner_and_outer() -> None:
    """38.260° inside goes with 29.492° outside, both given to a thousandth."""
    outer = ideal_outer_angle(np.array(math.radians(INNER)), np.array(SPACING), WHEELBASE)
    assert OUTER == pytest.approx(math.degrees(outer), abs=1e-3)
