"""Aluminium plate.

Source: 49 CFR 178.46, 6061-T6.
"""

from __future__ import annotations

from tests.validation.strengths import strength


def test_strength() -> None:
    """6061-T6: 241 and 262 MPa."""
    assert (241.0, 262.0) == strength("6061-T6")
