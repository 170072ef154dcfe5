"""Cold-drawn steel, elastic moduli, and what welding leaves.

Source: Shigley's Mechanical Engineering Design, table A-20, and section 9-9 for the strength beside a weld.
"""

from __future__ import annotations

import pytest

from solver.tables import rows
from tests.validation.strengths import material, strength


def test_cold_drawn_1018() -> None:
    """1018 cold-drawn: 370 and 440 MPa; beside a weld the hot-rolled 220 MPa of section 9-9 is left."""
    assert (370.0, 440.0) == strength("1018 cold-drawn")
    assert 220.0 == float(material("1018 cold-drawn")["welded_yield"])


@pytest.mark.parametrize("row", rows("materials"), ids=lambda row: row["name"])
def test_moduli(row: dict[str, str]) -> None:
    """Steel 207 GPa, aluminium 71.7 GPa; densities 7850 and 2700 kg/m³ are from memory."""
    aluminium = row["name"].startswith("60")
    assert (71.7 if aluminium else 207.0) == float(row["modulus"])
    assert (2700.0 if aluminium else 7850.0) == float(row["density"])


@pytest.mark.parametrize("row", rows("materials"), ids=lambda row: row["name"])
def test_welding_never_adds_strength(row: dict[str, str]) -> None:
    """Beside a weld nothing is stronger than before, and yield never exceeds ultimate strength.

    Only what must not be welded has no strength there at all.
    """
    assert 0 <= float(row["welded_yield"]) <= float(row["yield"]) < float(row["ultimate"])
    assert (float(row["welded_yield"]) == 0) == ("not to be welded" in row["source"])
