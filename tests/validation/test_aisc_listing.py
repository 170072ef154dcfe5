"""Structural steels and tubes.

Source: the listing of ASTM A36 and A500 grade B by AISC, in MPa.
"""

from __future__ import annotations

import pytest

from tests.validation.strengths import strength


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("A36", (248.0, 400.0)),
        ("A500-B round", (290.0, 400.0)),
        ("A500-B rectangular", (317.0, 400.0)),
    ],
)
def test_strength(name: str, expected: tuple[float, float]) -> None:
    """Yield and ultimate strength in MPa, as listed."""
    assert expected == strength(name)
