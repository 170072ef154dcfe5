"""ISO 286-2:2010, limit deviations: H7 and g6 as published secondary pages list them; n6 and F7 from memory.

ISO 4247 and DIN 179, plain jig bushes: from memory.
"""

from __future__ import annotations

import pytest

from solver.errors import DimensionError
from solver.jig_bushes import deviations, jig_bush


@pytest.mark.parametrize(
    ("nominal", "tolerance", "lower", "upper"),
    [
        (12.0, "H7", 0.0, 0.018),
        (16.0, "H7", 0.0, 0.018),
        (25.0, "H7", 0.0, 0.021),
        (12.0, "g6", -0.017, -0.006),
        (16.0, "g6", -0.017, -0.006),
        (25.0, "g6", -0.020, -0.007),
        (8.0, "n6", 0.010, 0.019),
        (5.0, "F7", 0.010, 0.022),
    ],
)
def test_deviations(nominal: float, tolerance: str, lower: float, upper: float) -> None:
    """Tables 6, 21 (H7, g6), and from memory those of n6 and F7; mm."""
    assert (lower, upper) == pytest.approx(tuple(deviations(nominal, tolerance)), abs=1e-12)


@pytest.mark.parametrize("nominal", [4.0, 8.0, 12.0, 22.0])
def test_a_bush_is_pressed_in(nominal: float) -> None:
    """n6 in H7 is a transition fit that is mostly tight: the largest bush is larger than the largest hole."""
    hole, bush = deviations(nominal, "H7"), deviations(nominal, "n6")
    assert bush.upper > hole.upper > bush.lower > hole.lower


def test_a_plug_always_goes_in() -> None:
    """g6 in F7 has play at both limits."""
    for nominal in (2.5, 4.0, 5.0, 8.0):
        assert deviations(nominal, "g6").upper < 0 < deviations(nominal, "F7").lower


@pytest.mark.parametrize(
    ("bore", "outside", "length"),
    [(2.5, 5, 6), (3.2, 6, 8), (4.0, 7, 8), (5.0, 8, 8), (8.0, 12, 10), (12.0, 18, 12)],
)
def test_bushes(bore: float, outside: float, length: float) -> None:
    """A bore at the upper end of a row belongs to it; mm."""
    assert (bore, outside, length) == tuple(jig_bush(bore))


def test_out_of_the_tables() -> None:
    """What the tables don't hold is refused with what they do."""
    with pytest.raises(
        DimensionError, match=r"no jig bush has a bore of 16\.00 mm; they go from over 1\.8 mm to 15 mm"
    ):
        jig_bush(16.0)
    with pytest.raises(DimensionError, match=r"no fit for 31\.00 mm; the table goes to 30 mm"):
        deviations(31.0, "H7")
