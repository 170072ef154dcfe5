"""Fatigue strength of weld details against EN 1993-1-9, section 7.1 (from memory)."""

from __future__ import annotations

import pytest

from solver.strength.fatigue import SAFETY, allowed_range, life, weld_detail
from solver.tables import rows

NAMES = tuple(row["name"] for row in rows("fatigue_details"))


@pytest.mark.parametrize("name", NAMES)
def test_class_is_the_range_at_two_million(name: str) -> None:
    """At two million cycles a detail bears its class, over the partial factor of 1.35."""
    detail = weld_detail(name)
    assert 1.35 == SAFETY
    assert detail.detail_class / 1.35 == pytest.approx(allowed_range(detail, 2e6))


@pytest.mark.parametrize("name", NAMES)
def test_constant_amplitude_limit(name: str) -> None:
    """Beyond five million cycles 0.737 of the class, as the standard prints it, is borne for ever."""
    detail = weld_detail(name)
    limit = allowed_range(detail, 5e6)
    assert 0.737 * detail.detail_class / SAFETY == pytest.approx(limit, rel=5e-4)
    assert limit == allowed_range(detail, 1e9)
    assert float("inf") == life(detail, limit * 0.999)


@pytest.mark.parametrize("name", NAMES)
def test_slope_of_three(name: str) -> None:
    """Twice the range is borne an eighth as many times."""
    detail = weld_detail(name)
    once = life(detail, 100.0)
    assert once / 8 == pytest.approx(life(detail, 200.0))
    assert 100.0 == pytest.approx(allowed_range(detail, once)) or once < 1e4


def test_classes() -> None:
    """Cover plate's end 50, root of a load-carrying fillet 36, short attachment 80 (from memory)."""
    classes = {name: weld_detail(name).detail_class for name in NAMES}
    assert {"sleeve end": 50.0, "fillet throat": 36.0, "plug hole": 80.0} == classes
