"""Torque of steering at rest: Barton and Fieldhouse, Automotive Chassis Engineering, example E2.1, p. 82."""

from __future__ import annotations

from solver.loading.contact import parking_arm


def test_example_e2_1() -> None:
    """1200 kg, offset 25, print 250 wide, friction 0.58: the book's arm is 87 mm and its torque 594 N m.

    It integrates over a print of its own shape; the formula for sizing is above it, by no more than 7 %.
    """
    arm = float(parking_arm(250.0, 25.0))
    assert 87.0 <= arm <= 1.07 * 87.0
    assert 594.0 <= 0.58 * 1200 * 9.81 * arm / 1000 <= 1.07 * 594.0
