"""What can be bought."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.families.base import Outline, RawShape, circle_outline, outline_box
from solver.stock import BORE_LEAST, blank, clearance_hole, plate_label, plate_thicknesses, round_up, step
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


def _inches(label: str) -> float:
    """A mixed number of inches, "1 1/4"."""
    return sum(
        float(top) / float(bottom or 1) for top, _, bottom in (p.partition("/") for p in label.split())
    )


@pytest.mark.parametrize("row", rows("round_bars"), ids=lambda row: row["label"])
def test_bars_are_called_by_their_diameter(row: dict[str, str]) -> None:
    """Each bar's label, read as a number with its unit, is the diameter of its row."""
    number, _, unit = row["label"].rpartition(" ")
    value = _inches(number) * 25.4 if unit == "in" else float(number)
    assert (row["units"], float(row["diameter"])) == (unit, pytest.approx(value, abs=1e-4))


@pytest.mark.parametrize("row", rows("tubes"), ids=lambda row: row["label"])
def test_tubes_are_called_by_outside_and_wall(row: dict[str, str]) -> None:
    """Each tube's label is its outside and its wall with their unit, and the wall leaves a bore."""
    outside, _, rest = row["label"].partition(" × ")
    wall, _, unit = rest.rpartition(" ")
    scale = 25.4 if unit == "in" else 1.0
    told = (_inches(outside) * scale, _inches(wall) * scale)
    assert row["units"] == unit
    assert told == pytest.approx((float(row["outside"]), float(row["wall"])), abs=1e-4)
    assert 0 < float(row["wall"]) < float(row["outside"]) / 2


@pytest.mark.parametrize(
    ("shape", "units", "kind", "label", "size"),
    [
        # 24 + 2 × 0.5 of skin is 25; 4 + 2 × 2 of saw ends is 8
        (RawShape("round", 24.0, 24.0, 15.5, 4.0), "mm", "round bar", "25 mm", (25.0, 25.0, 8.0)),
        (RawShape("round", 24.1, 24.1, 15.5, 4.0), "mm", "round bar", "28 mm", (28.0, 28.0, 8.0)),
        # outside 54.5 + 1 asks for 60 or more, inside 42.5 − 1 for 41.5 or less: 60 × 10 has 40
        (RawShape("round", 54.5, 54.5, 42.5, 225.0), "mm", "tube", "60 × 10 mm", (60.0, 60.0, 229.0)),
        (RawShape("round", 100.0, 100.0, 20.0, 50.0), "mm", "round bar", "110 mm", (110.0, 110.0, 54.0)),
        (RawShape("round", 200.0, 200.0, 0.0, 9.5), "mm", "round bar", "201 mm", (201.0, 201.0, 14.0)),
        (RawShape("block", 53.2, 49.2, 36.5, 203.2), "mm", "block", "rectangular bar", (55.0, 51.0, 208.0)),
        (RawShape("plate", 90.4, 80.0, 0.0, 6.0), "mm", "plate", "6 mm", (101.0, 90.0, 6.0)),
        # 23.8125 + 1 is 24.8125, under an inch; 4.7625 + 4 is 8.7625, six sixteenths are 9.525
        (RawShape("round", 23.8125, 23.8125, 15.8, 4.7625), "in", "round bar", "1 in", (25.4, 25.4, 9.525)),
    ],
)
def test_blanks_by_hand(
    shape: RawShape, units: str, kind: str, label: str, size: tuple[float, float, float]
) -> None:
    """The smallest of the shelf, with 2 mm for each saw cut, 0.5 mm of skin, 1 mm to bore, 5 mm round a plate."""
    found = blank(shape, units)  # type: ignore[arg-type]
    assert (kind, label) == (found.kind, found.label)
    assert found.size == pytest.approx(size)


@given(
    outside=st.floats(20, 130),
    wall=st.floats(2, 9),
    length=st.floats(2, 300),
    units=st.sampled_from(("mm", "in")),
)
def test_part_is_inside_of_its_blank(outside: float, wall: float, length: float, units: str) -> None:
    """Whatever a ring or tube is made from is larger outside, smaller inside, and longer; so it is heavier."""
    inside = outside - 2 * wall
    found = blank(RawShape("round", outside, outside, inside, length), units)  # type: ignore[arg-type]
    assert found.size[0] >= outside
    assert found.size[2] >= length
    assert found.bored <= max(inside - BORE_LEAST + 1e-5, 0)
    assert found.volume > math.pi / 4 * (outside**2 - inside**2) * length


@pytest.mark.parametrize(
    ("outline", "box"),
    [
        (circle_outline(3.0, -2.0, 10.0), ((-2.0, -7.0), (8.0, 3.0))),
        (((0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (0.0, 3.0, 0.0)), ((0.0, 0.0), (4.0, 3.0))),
        # a half circle of radius 2 that bulges to the right, and one that is cut into the square
        (((0.0, 0.0, 0.0), (4.0, 0.0, 1.0), (4.0, 4.0, 0.0), (0.0, 4.0, 0.0)), ((0.0, 0.0), (6.0, 4.0))),
        (((0.0, 0.0, 0.0), (4.0, 0.0, -1.0), (4.0, 4.0, 0.0), (0.0, 4.0, 0.0)), ((0.0, 0.0), (4.0, 4.0))),
    ],
)
def test_box_of_an_outline_holds_its_arcs(
    outline: Outline, box: tuple[tuple[float, float], tuple[float, float]]
) -> None:
    """Corners of the box round an outline, where arcs reach beyond their ends and where they don't."""
    assert [*box[0], *box[1]] == pytest.approx([*outline_box(outline)[0], *outline_box(outline)[1]])


@pytest.mark.parametrize("units", ["mm", "in"])
def test_paper_is_taken_as_it_is(units: str) -> None:
    """A printed sheet is nothing that is bought by size: no lead-in is left round it."""
    found = blank(RawShape("paper", 147.3, 99.0, 0.0, 0.1), units)  # type: ignore[arg-type]
    assert ("paper", (147.3, 99.0, 0.1)) == (found.kind, found.size)
    assert 147.3 * 99.0 * 0.1 == pytest.approx(found.volume)
