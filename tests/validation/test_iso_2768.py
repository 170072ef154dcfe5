"""General tolerances.

Source: ISO 2768-1:1989, table 1 (lengths) and table 3 (angles), by secondary pages that agree with one another.
"""

from __future__ import annotations

import pytest

from parts.drawing.standards import general_angles, general_tolerances
from parts.drawing.title_block import angle_words, length_words

RANGES = [(0.5, 3), (3, 6), (6, 30), (30, 120), (120, 400), (400, 1000), (1000, 2000)]
LENGTHS = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2, 3),
    "v": (None, 0.5, 1, 1.5, 2.5, 4, 6),
}
ANGLES = {"m": (60, 30, 20, 10, 5), "c": (90, 60, 30, 15, 10)}
"""Minutes of arc, by the shorter leg up to 10, 50, 120, 400 mm and over."""


@pytest.mark.parametrize("grade", LENGTHS)
def test_lengths(grade: str) -> None:
    """Every range of every grade, digit for digit."""
    expected = [(*r, t) for r, t in zip(RANGES, LENGTHS[grade], strict=True) if t is not None]
    assert expected == list(general_tolerances(grade))


@pytest.mark.parametrize("grade", ANGLES)
def test_angles(grade: str) -> None:
    """Every range, digit for digit."""
    found = general_angles(grade)
    assert [10, 50, 120, 400] == [up_to for _, up_to, _ in found[:-1]]
    assert ANGLES[grade] == tuple(minutes for *_, minutes in found)


def test_words_of_the_title_block() -> None:
    """A sheet says what ISO 2768-m means for sizes that a part of ours can have, neighbours that agree put together."""
    assert (
        "ISO 2768-m, lengths in mm: to 6 ±0.1, to 30 ±0.2, to 120 ±0.3, to 400 ±0.5, to 1000 ±0.8"
        == length_words("mm")
    )
    assert angle_words("mm").endswith("to 10 ±1°, to 50 ±30′, to 120 ±20′, to 400 ±10′, over ±5′")


def test_inches_never_allow_more() -> None:
    """In inches limits are rounded, and tolerances towards zero: 0.2 mm are 0.00787 in."""
    assert "to 1.18 ±0.007" in length_words("in")
    allowed = [float(part.split("±")[1]) for part in length_words("in").split(": ")[1].split(", ")]
    for inches, millimetres in zip(allowed, (0.1, 0.2, 0.3, 0.5, 0.8), strict=True):
        assert 0 <= millimetres - inches * 25.4 < 0.0255
