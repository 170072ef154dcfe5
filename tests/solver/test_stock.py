"""What can be bought."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.stock import clearance_hole, plate_label, plate_thicknesses, round_up, step
from solver.tables import rows


def test_plates_rise() -> None:
    """Thicknesses come thinnest first, without repeats; the inch ones are fractions of an inch."""
    for units in ("mm", "in"):
        found = plate_thicknesses(units)
        assert sorted(set(found)) == list(found)
    assert 4.7625 in plate_thicknesses("in")
    # 1/32 in is the finest fraction in the table.
    fractions = [32 * t / 25.4 for t in plate_thicknesses("in")]
    assert [round(f) for f in fractions] == pytest.approx(fractions, abs=1e-9)
    assert {1.5, 3.0, 5.0, 6.0, 10.0} <= set(plate_thicknesses("mm"))


@pytest.mark.parametrize(
    ("thickness", "label"), [(5.0, "5 mm"), (1.5, "1.5 mm"), (3 / 16 * 25.4, "3/16 in"), (7.3, "7.3 mm")]
)
def test_labels(thickness: float, label: str) -> None:
    """A plate is called what the trade calls it, anything else by its mm."""
    assert label == plate_label(thickness)


@pytest.mark.parametrize("row", rows("plate_thicknesses"), ids=lambda row: row["label"])
def test_labels_say_the_thickness(row: dict[str, str]) -> None:
    """Each label, read as a number with its unit, is the thickness of its row."""
    number, unit = row["label"].split()
    top, _, bottom = number.partition("/")
    value = float(top) / float(bottom or 1) * (25.4 if unit == "in" else 1.0)
    assert value == pytest.approx(float(row["thickness"]), abs=1e-9)
    assert unit == row["units"]


@given(length=st.floats(0, 500), units=st.sampled_from(("mm", "in")))
def test_round_up(length: float, units: str) -> None:
    """Up to the next mm or sixteenth of an inch, and no more than one step; what is a step stays."""
    pitch = {"mm": 1.0, "in": 25.4 / 16}[units]
    found = round_up(length, units)  # type: ignore[arg-type]
    assert pitch == step(units)  # type: ignore[arg-type]
    # A millionth of a step counts as rounding of the input.
    assert -1e-6 * pitch <= found - length < pitch
    assert round(found / pitch) == pytest.approx(found / pitch, abs=1e-9)
    assert found == round_up(found, units)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("inches", "hole"),
    [
        # 5/8 in is 15.875 mm, an M16's hole clears it; 1/2 in is 12.7 mm, 14 would be M14's row
        (5 / 8, 17.5),
        (1 / 2, 14.0),
        (7 / 16, 12.3),
    ],
)
def test_hole_for_inch_bolts(inches: float, hole: float) -> None:
    """The metric hole when that bolt is less than 0.2 mm larger, else a tenth more, up to the next tenth."""
    assert hole == pytest.approx(clearance_hole(inches * 25.4), abs=1e-9)


@given(nominal=st.floats(5.0, 30.0))
def test_hole_clears_the_bolt(nominal: float) -> None:
    """Any bolt passes its hole with at least 0.3 mm to spare and at most 2 mm or a fifth of its diameter."""
    spare = clearance_hole(nominal) - nominal
    assert 0.3 <= spare <= max(2.0, nominal / 5)
    assert math.isfinite(spare)
