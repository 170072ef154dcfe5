"""Stress areas and proof loads of threads against ISO 898-1."""

from __future__ import annotations

import pytest

from solver.strength.threads import proof_strength, thread_stress_area

STRESS_AREAS = {
    # Coarse, as several tables print them.
    (6, 1.0): 20.1, (8, 1.25): 36.6, (10, 1.5): 58.0, (12, 1.75): 84.3, (14, 2.0): 115, (16, 2.0): 157,
    # Fine; M14x1.5 is worked by us from the standard's formula.
    (12, 1.25): 92.1, (12, 1.5): 88.1, (14, 1.5): 124.5,
}  # fmt: skip


@pytest.mark.parametrize(("thread", "area"), STRESS_AREAS.items())
def test_stress_area(thread: tuple[float, float], area: float) -> None:
    """The stress area in mm2 of each thread, to the three figures that the tables print."""
    assert area == pytest.approx(thread_stress_area(*thread), rel=5e-3)


def test_proof_load_of_m12() -> None:
    """M12, class 8.8: 580 MPa on 84.3 mm2 is 48 894 N (a published page on bolt preload)."""
    assert 48_894 == pytest.approx(proof_strength("8.8") * thread_stress_area(12, 1.75), rel=1e-3)
