"""Preloaded joint against Shigley, Mechanical Engineering Design, chapter 8, equations 8-28 and 8-29."""

from __future__ import annotations

import pytest

from solver.strength.threads import joint


def test_load_factor_and_separation() -> None:
    """Stress area 561 mm2, proof 600 MPa, C 0.33, 80 kN: load factor 3.19, factor against separation 4.71."""
    held = joint(561.0, 561.0 * (1 - 0.33) / 0.33, 600.0)
    assert 0.33 == pytest.approx(held.share, rel=1e-12)
    assert 3.19 == pytest.approx(held.bolt_reserve / held.in_bolt(80e3), abs=5e-3)
    assert 4.71 == pytest.approx(held.preload / held.off_clamp(80e3), abs=5e-3)


def test_preload() -> None:
    """Three quarters of the proof load, for a joint that is taken apart again (equation 8-31)."""
    held = joint(561.0, 1000.0, 600.0)
    assert 252.45e3 == pytest.approx(held.preload, rel=1e-12)
