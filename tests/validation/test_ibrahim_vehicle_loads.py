"""Load cases as multiples of the static wheel load: Ibrahim, "Loads on Vehicle Structures".

Vertical load on both wheels 2 to 3, on one wheel 1.3 to 1.8, braking 1.1 to 1.84 g, bump from ahead 4.5, cornering
1 g. Bump, braking and cornering as one set of 3, 1 and 1 g is from memory.
"""

from __future__ import annotations

from solver.loading.cases import table_cases
from tests.validation.loads import default, factor


def test_bumps() -> None:
    """Both wheels bear 3; one wheel alone bears 1.8 on the load of the whole axle, twice its own."""
    assert 3.0 == factor("both-wheel bump", "vertical")
    assert 2 * 1.8 == factor("one-wheel bump", "vertical")


def test_braking_and_cornering() -> None:
    """Grip lies in the book's range of 1.1 to 1.84 g for braking, and above its 1 g for cornering."""
    assert 1.1 <= float(default("grip")["value"]) <= 1.84
    assert 1.0 == factor("braking", "rearward")
    assert 1.0 == factor("cornering, outer wheel", "inward")


def test_strike_from_ahead() -> None:
    """A bump from ahead takes the book's 4.5, at a rolling wheel's hub and at a braked one's contact centre."""
    assert 4.5 == factor("kerb strike from ahead, wheel rolling", "strike_rearward")
    assert 4.5 == factor("kerb strike from ahead, wheel braked", "strike_rearward")
    by_name = {case.name: case for case in table_cases()}
    assert "hub" == by_name["kerb strike from ahead, wheel rolling"].strike_at
    assert "contact" == by_name["kerb strike from ahead, wheel braked"].strike_at


def test_combined_set() -> None:
    """3 g bump with 1 g of braking and 1 g of cornering (from memory)."""
    columns = ("vertical", "strike_rearward", "strike_inward")
    assert [3.0, 1.0, 1.0] == [factor("bump, braking and cornering", column) for column in columns]
