"""Blank sheets: one to fill in at the keyboard, one to print."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from locksweep.survey.blank import SAFETY, blank_text, write_blank
from locksweep.survey.points import CORNER_POINTS
from locksweep.survey.printable import HEIGHT, MARGIN, WIDTH, printed_sheet
from solver.errors import WriteError

SVG = "{http://www.w3.org/2000/svg}"
WIDEST = 0.62
"""Mean width of a letter over its size, of the widest common sans-serif fonts."""


def test_blank_sheet_says_safety_first() -> None:
    """The words on jacks and stands come before the first thing to measure, in both sheets."""
    text = blank_text()
    assert all(line in text for line in SAFETY)
    assert text.index("axle stands") < text.index("[height]")
    paper = printed_sheet()
    assert 0 < paper.index("jack") < paper.index("axle stands") < paper.index("Heights")


def test_lines_are_measured_before_the_car_is_moved() -> None:
    """Heights, lengths and angles stand before the distances that need the car rolled away."""
    text = blank_text()
    places = [text.index(f"\n[{name}]") for name in ("height", "length", "angle.side", "ahead", "across")]
    assert sorted(places) == places
    assert text.index("Roll the car away") < text.index("\n[ahead]")


@pytest.mark.parametrize("units", ["mm", "in"])
def test_printed_sheet_is_one_a4_page(units: str) -> None:
    """The printed sheet is well-formed, needs no other file, and nothing on it lies outside of the page."""
    text = printed_sheet(units)  # type: ignore[arg-type]
    root = ET.fromstring(text)
    assert ("210mm", "297mm") == (root.get("width"), root.get("height"))
    assert "href" not in text
    assert f"({units})" in text
    sizes = {"big": 5.5, "small": 2.5}
    for item in root.iter():
        for key in ("x", "x1", "x2", "cx"):
            assert 0 <= float(item.get(key, "0")) <= WIDTH
        for key in ("y", "y1", "y2", "cy"):
            assert 0 <= float(item.get(key, "0")) <= HEIGHT
        if item.tag == f"{SVG}text":
            kind = (item.get("class") or "").split()
            size = next((sizes[name] for name in kind if name in sizes), 3.0)
            width = len(item.text or "") * size * WIDEST
            share = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.get("text-anchor", "start")]
            start = float(item.get("x", "0")) - share * width
            assert start >= 0, item.text
            assert start + width <= WIDTH - MARGIN / 3, item.text


def test_every_point_is_in_every_sketch() -> None:
    """Each of the eight numbers stands in all three sketches, and in the table with the point's name."""
    root = ET.fromstring(printed_sheet())
    texts = [item.text for item in root.iter(f"{SVG}text")]
    for number, name in enumerate(CORNER_POINTS, start=1):
        assert 4 == texts.count(str(number))
        assert name in texts


def test_labels_do_not_collide() -> None:
    """No two point numbers of the sketches overlap, and none covers another point."""
    root = ET.fromstring(printed_sheet())
    circles = list(root.iter(f"{SVG}circle"))
    labels = [item for item in circles if item.get("class") == "label"]
    points = [item for item in circles if item.get("class") == "point"]

    def apart(one: ET.Element, other: ET.Element) -> float:
        return (
            sum((float(one.get(key, "0")) - float(other.get(key, "0"))) ** 2 for key in ("cx", "cy")) ** 0.5
        )

    for number, label in enumerate(labels):
        radius = float(label.get("r", "0"))
        assert all(apart(label, other) >= 2 * radius for other in labels[:number])
        assert all(apart(label, point) >= radius for point in points)


def test_both_or_none_are_written(tmp_path: Path) -> None:
    """Nothing that exists is overwritten, and a sheet whose paper can't be written isn't left behind."""
    file = tmp_path / "sheet.toml"
    assert (file, tmp_path / "sheet.svg") == write_blank(file, "mm")
    with pytest.raises(WriteError, match="exists already"):
        write_blank(file, "mm")
    (tmp_path / "other.svg").write_text("mine")
    with pytest.raises(WriteError, match=r"other\.svg exists already"):
        write_blank(tmp_path / "other.toml", "mm")
    assert not (tmp_path / "other.toml").exists()
    with pytest.raises(WriteError, match=r"ends in \.toml"):
        write_blank(tmp_path / "new.svg", "mm")
    with pytest.raises(WriteError, match="can't be written"):
        write_blank(tmp_path / "no" / "new.toml", "mm")
