"""Structural steels.

Source: EN 10025-2, least yield up to 16 mm and least ultimate strength.
"""

from __future__ import annotations

import pytest

from tests.validation.strengths import strength


@pytest.mark.parametrize(("name", "expected"), [("S235JR", (235.0, 360.0)), ("S355", (355.0, 470.0))])
def test_strength(name: str, expected: tuple[float, float]) -> None:
    """Yield and ultimate strength in MPa, as in the standard."""
    assert expected == strength(name)
