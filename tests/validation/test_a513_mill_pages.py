"""Drawn tube.

Source: tube mills' pages on ASTM A513 type 5, 1020 drawn over mandrel.
"""

from __future__ import annotations

from tests.validation.strengths import strength


def test_strength() -> None:
    """1020 as drawn: 414 and 483 MPa."""
    assert (414.0, 483.0) == strength("1020 drawn")
