"""Sheets for the shop: nothing lies on anything, everything is said, and what is written is what is measured."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pdfminer.pdftypes import resolve1

from parts import catalogue
from parts.catalogue import build
from parts.drawing.paper import font
from parts.drawing.paper.pdf import Page
from parts.drawing.paper.reading_order import visual
from parts.drawing.sheet import write_drawing
from parts.drawing.values import Units
from solver.errors import WriteError
from solver.families.base import PartDimensions
from solver.families.closure_plate import ClosurePlateDimensions
from tests.parts import strategies
from tests.parts.drawn import read
from tests.parts.examples import EXAMPLES, RING
from tests.parts.sheets import INCH, ISSUE, Sheet, measured, sheet

WRITTEN = {"mm": 0.005 + 1e-6, "in": 0.0005 * INCH + 1e-6}
"""Half of the last decimal that is written, and that of the file, in mm."""

PARTS: dict[str, st.SearchStrategy[PartDimensions]] = {
    "rack-spacer": strategies.rack_spacers(),
    "arm-sleeve": strategies.arm_sleeves(),
    "bump-stop": strategies.bump_stops(),
    "closure-plate": strategies.closure_plates(),
    "drilling-gauge": strategies.drilling_gauges(),
    "slot-template": strategies.slot_templates(),
    "fixture-base": strategies.fixture_bases(),
    "fixture-vee": strategies.fixture_vees(),
    "fixture-stop": strategies.fixture_stops(),
}


Draw = Callable[[str, Units], Sheet]


@pytest.fixture(scope="module")
def draw(tmp_path_factory: pytest.TempPathFactory) -> Draw:
    """The sheet of an example by its name, drawn once."""
    folder = tmp_path_factory.mktemp("sheets")
    return cache(lambda name, units: sheet(EXAMPLES[name], units, folder))


@pytest.fixture(params=[(name, units) for name in EXAMPLES for units in ("mm", "in")], ids="-".join)
def each(request: pytest.FixtureRequest, draw: Draw) -> Sheet:
    """The sheet of each example in turn, in millimetres and in inches."""
    return draw(*request.param)


def numbers(value: float, units: Units) -> set[str]:
    """A length as a sheet may write it first: two decimals of a mm without needless zeros, or three of an inch; one
    more where it has deviations of its own."""
    if units == "mm":
        return {f"{round(value, digits):.10g}" for digits in (2, 3)}
    return {f"{value / INCH:.{digits}f}" for digits in (3, 4)}


def assert_sound(drawn: Sheet) -> None:
    """Nothing overlaps or is cut off, the DXF file is in order, and each dimension shows what it measures."""
    assert [] == drawn.page.overlaps()
    assert [] == drawn.page.outside()
    audit = drawn.document.audit()
    assert [] == [finding.message for finding in (*audit.errors, *audit.fixes)]
    found = list(measured(drawn.document))
    assert found
    for value, shown, _ in found:
        said = shown[0].split("×")[-1].split(" ±")[0].strip("() ØR")
        assert value == pytest.approx(
            float(said) * (1.0 if drawn.units == "mm" else INCH), abs=WRITTEN[drawn.units]
        )
        if drawn.units == "in":
            # Millimetres stand beneath.
            beneath = next(text for text in shown[1:] if text.startswith("["))
            assert value == pytest.approx(float(beneath.split(" ±")[0].strip("[]() ØR")), abs=WRITTEN["mm"])


def test_examples_are_sound(each: Sheet) -> None:
    """No text touches another or a line, all is inside of the frame, and dimensions tell the truth."""
    assert_sound(each)


@pytest.mark.parametrize("family", PARTS)
@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), units=st.sampled_from(("mm", "in")))
def test_any_part_is_sound(
    family: str, data: st.DataObject, units: Units, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The same of parts of any size, with a remark above the caution."""
    folder = tmp_path_factory.mktemp("any")
    assert_sound(sheet(data.draw(PARTS[family]), units, folder, remark="STRENGTH CHECK OVERRIDDEN"))


# What each example measures in mm, by its dimension type. Worked by hand:
# sleeves 20 + 2 × (40 + 24) = 148 long, holes 64 − 0.6 × 64 = 25.6 from the tip and 148 − 51.2 = 96.8 apart, side holes
# 64 − 16 = 48 from it and 52 apart; blanks of the stops: flats and π/2 (5 + 0.4 × 5) = 10.996 of bend, whose middle is
# 5.498 behind the base; the pan 102 × 62 over its walls and 18 high over its tabs, its blank 98 × 58 and at each end a
# bend of π/2 (1 + 0.4) = 2.199 with a flat of 11 and a tab of 5; a V for a tube of 40 is 40 √2 wide and, its tip cut
# off to 4, 20 √2 − 2 deep; tabs of 20 with their middles 60 apart leave 40 between them.
ALLOWANCE = math.pi / 2 * 7.0
BEND = math.pi / 2 * 1.4
SLEEVE = [148.0, 100.0, 24.0, 25.6, 96.8, 10.0, 40.0, 20.0, 4.0]
MEASURED = {
    "rack-spacer": [30.0, 10.0, 6.0],
    "arm-sleeve-round": [*SLEEVE, 48.0, 52.0, 10.0, 40.0, 48.0],
    "arm-sleeve-rectangular": [*SLEEVE, 40.0, 48.0, 30.0, 38.0, 2.0],
    "bump-stop-bolted": [
        *(60.0, 5.0, 5.0, 50.0, 20.0, 30.0, 5.0),
        *(60.0, 50.0 + ALLOWANCE / 2, 90.0 + ALLOWANCE, 20.0, 30.0, 10.0, 10.0, 30.0, 30.0),
    ],
    "bump-stop-welded": [
        *(50.0, 5.0, 5.0, 50.0, 40.0, 30.0, 5.0),
        *(40.0, 40.0 + ALLOWANCE / 2, 80.0 + ALLOWANCE, 20.0, 4.0, 45.0, 45.0),
    ],
    "closure-plate": [102.0, 62.0, 51.0, 31.0, 10.0, 18.0, 5.0, 98 + 2 * (BEND + 16), 58 + 2 * (BEND + 16)],
    "drilling-gauge": [30.0, 20.0, 70.0, 30.0, 15.0, 10.0, 5.0, 8.0],
    "slot-template": [106.0, 118.0, 5.0, 3.0],
    "fixture-base": [500.0, 120.0, 30.0, 6.2, 20.2, 68.0, 5.0, 6.0],
    "fixture-vee-round": [90.0, 70.0, 40 * math.sqrt(2), 20 * math.sqrt(2) - 2, 20.0, 40.0, 6.0, 6.0],
    "fixture-vee-rectangular": [80.0, 70.0, 40.5, 15.0, 20.0, 30.0, 6.0, 6.0],
    "fixture-stop": [90.0, 92.0, 70.0, 11.0, 20.0, 40.0, 6.0, 6.0],
}  # fmt: skip


@pytest.mark.parametrize("name", MEASURED)
def test_measured(name: str, draw: Draw) -> None:
    """DIMENSION entities measure what the dimension type holds, each length once, at any scale."""
    found = sorted(value for value, *_ in measured(draw(name, "mm").document))
    assert sorted(MEASURED[name]) == pytest.approx(found, abs=1e-5)


def test_every_length_is_written(each: Sheet) -> None:
    """Each length of the dimension type stands on the sheet as text, save those that others give."""
    derived = {"overlap", "extension", "base_flat", "leg_flat", "k_factor", "drain_x", "drain_y"}
    # Of walls and tabs of a plate the cutting file tells more than there is room for.
    if isinstance(each.dimensions, ClosurePlateDimensions):
        derived |= {"relief", "tab_width", "mitre_gap", "plug_diameter"}
    # What is alike on both sides of the middle is measured from one side to the other; a margin is what is left over.
    derived |= {"slot_offset", "tab_offset", "margin"}
    for field in dataclasses.fields(each.dimensions):
        value = getattr(each.dimensions, field.name)
        if field.type == "float" and value and field.name not in derived:
            assert any(text in each.page.words for text in numbers(value, each.units)), field.name


def test_deviations(draw: Draw) -> None:
    """Sizes that the general tolerance is too coarse for carry their deviations, in the entity and in its text."""
    for name, expected in (
        ("rack-spacer", {30.0: (0.0, -0.2), 10.0: (0.2, 0.0)}),
        ("arm-sleeve-rectangular", {40.0: (0.2, 0.0), 30.0: (0.2, 0.0)}),
        # H7 at 10 mm, ISO 286-2.
        ("drilling-gauge", {10.0: (0.015, 0.0), 30.0: (0.05, -0.05)}),
    ):
        drawn = draw(name, "mm")
        found = {round(value, 6): (shown, pair) for value, shown, pair in measured(drawn.document) if pair}
        assert expected == {value: pytest.approx(pair) for value, (_, pair) in found.items()}
        for value, pair in expected.items():
            if pair[0] == -pair[1]:
                assert found[value][0][0].endswith(f"±{pair[0]:g}")
                continue
            signs = ["0" if each == 0 else f"{each:+g}".replace("-", "\N{MINUS SIGN}") for each in pair]
            assert signs == list(found[value][0][1:3])


def test_inch_deviations_never_allow_more(draw: Draw) -> None:
    """0.2 mm are 0.00787 in: written as 0.0078, not as 0.0079, the size with as many decimals; 0.015 mm as 0.0005."""
    words = draw("rack-spacer", "in").page.words.split("\n")
    assert {"Ø0.3937", "+0.0078", "\N{MINUS SIGN}0.0078"} <= set(words)
    gauge = draw("drilling-gauge", "in").page.words.split("\n")
    assert {"2 × Ø0.3937", "+0.0005", "1.1811 ±0.0019"} <= set(gauge)


def test_title_block(each: Sheet) -> None:
    """Part number, title, revision, material, condition, quantity, mass, job, tolerances, edges, caution, check bar."""
    words = each.page.words
    mass, edges = (
        ("1.234 kg", "0.2 to 0.5 mm") if each.units == "mm" else ("2.72 lb [1.234 kg]", "0.008 to 0.020 in")
    )
    for text in (
        *(ISSUE.name, ISSUE.title, ISSUE.revision, ISSUE.material, ISSUE.condition, ISSUE.process, ISSUE.job),
        *("Quantity", "2", mass, "Scale", "ISO 2768-m", "ISO 13715", edges, "Ra ", "check bar: 50 mm"),
        *("CAUTION: this part carries the car.", "first angle" if each.units == "mm" else "third angle"),
    ):
        assert text in words, text
    for scale in ("10 : 1", "5 : 1", "2 : 1", "1 : 1", "1 : 2", "1 : 5", "1 : 10"):
        if scale in words:
            break
    else:
        pytest.fail("no scale after ISO 5455")


def test_sheet_and_check_bar(each: Sheet) -> None:
    """A4 upright or A3 lying, and a line of just 50 mm between end marks."""
    assert (round(each.page.width), round(each.page.height)) in {(210, 297), (420, 297)}
    bars = [
        line
        for line in each.page.strokes
        if len(line.coords) == 2
        and line.coords[0][1] == line.coords[1][1]
        and abs(line.length - 50.0) < 0.001
    ]
    assert bars


def test_scale_is_kept(draw: Draw) -> None:
    """On paper a ring 30 mm wide is as wide as the named scale makes it; in the DXF file it is 30 mm wide."""
    drawn = draw("rack-spacer", "mm")
    assert "2 : 1" in drawn.page.words
    circles = [entity.dxf.radius for entity in drawn.document.modelspace().query("CIRCLE[layer=='VISIBLE']")]
    assert [5.0, 6.0, 14.0, 15.0] == pytest.approx(sorted(circles))
    widths = [line.bounds[2] - line.bounds[0] for line in drawn.page.strokes if line.is_closed]
    assert any(width == pytest.approx(60.0, abs=0.01) for width in widths)


def test_welds(draw: Draw) -> None:
    """Fillets with their leg, plugs with their width, on site where the part meets the car; none where bolts hold."""
    sleeve = draw("arm-sleeve-round", "mm").page.words
    assert "z 4" in sleeve
    assert "both ends" in sleeve
    assert "all holes" in sleeve
    welded = draw("bump-stop-welded", "mm").page.words
    # The base's fillet is one plate thick, those of gusset and pad 5 mm.
    assert 4 == welded.count("z 5")
    assert "to the arm" in welded
    bolted = draw("bump-stop-bolted", "mm").page.words
    assert 3 == bolted.count("z 5")
    assert "to the arm" not in bolted
    pan = draw("closure-plate-folded", "mm").page.words
    assert "corners" in pan.split("\n")
    # One a wall piece: four walls, two of them of two pieces.
    assert "6 × Ø6" in pan
    assert "plug welds" in pan
    assert "plug welds" not in draw("closure-plate", "mm").page.words


@pytest.mark.parametrize("name", EXAMPLES)
def test_inch_sheets_say_inches_everywhere(name: str, draw: Draw) -> None:
    """In an inch job no note of the sheet names a length in millimetres alone."""
    words = " ".join(draw(name, "in").page.words.replace(ISSUE.process, "").split())
    alone = re.findall(r"(?<![\[\d.])\d+(?:\.\d+)?\s?mm(?!\])", words)
    # The check bar is 50 mm long, inches in brackets.
    assert ["50 mm"] == alone


def test_bend_tables(draw: Draw) -> None:
    """Allowance π/2 (R + K T) and deduction 2 (R + T) less that, at K 0.4: 11 and 9 mm at R 5, 2.2 and 1.8 at R 1."""
    stop = draw("bump-stop-bolted", "mm").page.words.split("\n")
    assert {"B1", "90° up", "11", "9", "0.4"} <= set(stop)
    # 100 mm inside, less the bend radius of 1 mm and the relief of 2 mm at either end.
    pan = draw("closure-plate", "mm").page.words.split("\n")
    row = pan.index("90° up")
    assert ["B1", "90° up", "1", "0.4", "2.2", "1.8", "94"] == pan[row - 1 : row + 6]


def test_fonts(draw: Draw, tmp_path: Path) -> None:
    """The PDF file brings its one font along; the DXF file names one that is on every desktop."""
    pdf, _ = write_drawing(build(RING), RING, ISSUE, tmp_path)
    with pdfplumber.open(pdf) as opened:
        fonts = resolve1(resolve1(opened.pages[0].page_obj.resources)["Font"]).values()
        found = [
            (str(resolve1(each)["BaseFont"]), resolve1(resolve1(each)["FontDescriptor"])) for each in fonts
        ]
    assert found
    for name, descriptor in found:
        assert "+DejaVuSansCondensed" in name
        assert "FontFile2" in descriptor
    document = draw("rack-spacer", "mm").document
    used = {text.dxf.style for block in document.blocks for text in block.query("TEXT")}
    assert {"arial.ttf"} == {document.styles.get(style).dxf.font for style in used}


@pytest.mark.parametrize(
    "job",
    [
        "w" * 300,
        "wide words " * 40,
        "\u05d0\u05d1\u05d2 \u05d3\u05d4",
        "a\x00b\n\tc\u202ed",
        "%%c ^J <> \\U+2205",
        "\U0001f697",
        "",
    ],
)
def test_hostile_job_name(job: str, tmp_path: Path) -> None:
    """Whatever the job is called, its name stays in its field."""
    assert_sound(sheet(RING, "in", tmp_path, job=job, remark=job.upper()))


def test_right_to_left() -> None:
    """Hebrew is put down from left to right as it stands on paper; numbers and Latin in it keep their direction."""
    assert "\u05d2\u05d1\u05d0" == visual("\u05d0\u05d1\u05d2")
    assert "17 \u05d1\u05d0" == visual("\u05d0\u05d1 17")
    assert "lock 50" == visual("lock 50")


@pytest.mark.parametrize(("name", "units"), list(zip(EXAMPLES, itertools.cycle(("mm", "in")))))
def test_family_without_a_sheet_of_its_own(
    name: str, units: Units, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It gets views with the size over all, its blank, and all its lengths in a table."""
    monkeypatch.setattr(catalogue.importlib.util, "find_spec", lambda name: None)
    drawn = sheet(EXAMPLES[name], units, tmp_path)
    assert_sound(drawn)
    for value in drawn.dimensions.envelope:
        assert any(text in drawn.page.words for text in numbers(value, units))


def test_lettering_without_its_font(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A missing font is an error: a sheet without text is worth nothing."""
    monkeypatch.setattr(font, "FILE", tmp_path / "missing.ttf")
    font.register.cache_clear()
    try:
        with pytest.raises(WriteError, match=r"missing\.ttf"):
            write_drawing(build(RING), RING, ISSUE, tmp_path)
    finally:
        font.register.cache_clear()


def test_no_such_folder(tmp_path: Path) -> None:
    """The message names the file."""
    with pytest.raises(WriteError, match=r"test-part-left-C-drawing\.pdf"):
        write_drawing(build(RING), RING, ISSUE, tmp_path / "missing")


def test_overlaps_are_seen(tmp_path: Path) -> None:
    """The check of these tests finds text on text, a line through text, and text beyond the frame."""
    page = Page((210.0, 297.0), "planted faults")
    page.lines("FRAME", [[(20.0, 10.0), (200.0, 10.0), (200.0, 287.0), (20.0, 287.0)]], closed=True)
    page.text("one", (50.0, 50.0), 2.5, 0.0, "left")
    page.text("two", (52.0, 51.5), 2.5, 0.0, "left")
    page.text("three", (50.0, 80.0), 2.5, 90.0, "left")
    page.lines("DIMENSION", [[(45.0, 84.0), (55.0, 84.0)]])
    page.text("clear of all", (100.0, 100.0), 2.5, 0.0, "left")
    page.lines("DIMENSION", [[(100.0, 99.2), (120.0, 99.2)]])
    page.text("cut off", (198.0, 120.0), 2.5, 0.0, "left")
    path = tmp_path / "faults.pdf"
    path.write_bytes(page.contents())
    drawn = read(path)
    found = drawn.overlaps()
    assert ["'one' lies on 'two'"] == [each for each in found if "lies on" in each]
    assert 1 == len([each for each in found if "runs through 'three'" in each])
    assert not any("clear of all" in each for each in found)
    assert ["'cut off' goes beyond the frame"] == drawn.outside()
