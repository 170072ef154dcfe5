"""locksweep nest: sheets read back by ezdxf and held against the patterns by shapely."""

from __future__ import annotations

import json
import math
import shutil
from collections import Counter
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import ezdxf
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from shapely.geometry import Polygon, box

from locksweep.building import BuildResult
from locksweep.nest.layout import Sheet, Stock, TooLargeError, nest
from locksweep.nest.options import SheetOptionError, sheet_size, stock_for
from locksweep.nest.pieces import Lot, Piece, pieces_of
from locksweep.nest.write import nest_job
from locksweep.schemas import schema_text
from solver.cutting.processes import process
from solver.errors import JobFileError, LocksweepError
from solver.families.base import FlatPattern, Outline, circle_outline, outline_area
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import contents, edited, full_job, run, written

CHORDS = 64
"""Of an arc; what they leave out is under a hundredth of a mm in a part of 100 mm."""
HAIR = 2e-3
"""mm: boxes are packed in whole micrometres."""


@pytest.fixture
def built(demo: BuildResult, tmp_path: Path) -> Path:
    """A copy of the built demo job: the folder that holds job-file.toml and sets/."""
    shutil.copytree(demo.folder.parents[1], tmp_path / "sets")
    written(tmp_path, full_job())
    return tmp_path


def polygon(points: list[tuple[float, float, float]]) -> Polygon:
    """An outline of lines and arcs as a polygon, by ezdxf's own arcs."""
    found: list[tuple[float, float]] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(points, points[1:] + points[:1], strict=True):
        found.append((x0, y0))
        if bulge:
            centre, start, end, radius = ezdxf.math.bulge_to_arc((x0, y0), (x1, y1), bulge)
            sweep = (end - start) % (2 * math.pi)
            arc = [start + sweep * k / CHORDS for k in range(1, CHORDS)]
            arc = arc if bulge > 0 else arc[::-1]
            found += [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a)) for a in arc]
    return Polygon(found)


def outlines(path: Path) -> Iterator[tuple[str, list[tuple[float, float, float]]]]:
    """Layer and vertices of each closed polyline of a drawing without findings."""
    document = ezdxf.readfile(path)
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    for loop in document.modelspace().query("LWPOLYLINE"):
        assert loop.closed
        yield loop.dxf.layer, list(loop.get_points("xyb"))


def check_sheet(shapes: list[Polygon], stock: Stock) -> None:
    """Nothing overlaps, gap and margin are kept."""
    inside = box(stock.margin, stock.margin, stock.across - stock.margin, stock.deep - stock.margin)
    for shape in shapes:
        assert shape.is_valid
        assert inside.buffer(HAIR).contains(shape)
    for one, other in combinations(shapes, 2):
        assert one.distance(other) >= stock.gap - HAIR


def test_sheets_hold_all_parts(built: Path, demo: BuildResult) -> None:
    """All plate parts of the demo job lie on the sheets, each as often as wanted, with area, bends, holes and marks."""
    done = nest_job(built / "job-file.toml", built / "sets")
    assert done is not None
    wanted: Counter[tuple[str, float]] = Counter()
    inner: Counter[str] = Counter()
    bends = marks = 0
    for part in demo.solved.parts:
        pattern = part.dimensions.flat_pattern()
        if pattern is None or part.dimensions.raw_shape().kind != "plate":
            continue
        for outer in pattern.outer:
            wanted[part.material, round(outline_area(outer), 3)] += part.quantity
        inner[part.material] += len(pattern.inner) * part.quantity
        bends += len(pattern.bends) * part.quantity
        marks += len(pattern.marks) * part.quantity
    got: Counter[tuple[str, float]] = Counter()
    holes: Counter[str] = Counter()
    lines: Counter[str] = Counter()
    for name, sheet in done.sheets.items():
        path = done.left.folder / name
        shapes = []
        for layer, points in outlines(path):
            if layer == "CUT_OUTER":
                got[sheet.material, round(outline_area(tuple(points)), 3)] += 1
                shapes.append(polygon(points))
            else:
                assert "CUT_INNER" == layer
                holes[sheet.material] += 1
        check_sheet(shapes, sheet.stock)
        lines.update(line.dxf.layer for line in ezdxf.readfile(path).modelspace().query("LINE"))
    assert wanted == got
    assert +inner == holes
    assert marks == lines.pop("MARK", 0)
    assert bends == lines.total()


def test_files_say_kerf_and_sheet(built: Path) -> None:
    """Properties of each DXF hold thickness, kerf, sheet and pieces; the manifest has every file; the PDF shows all."""
    done = nest_job(built / "job-file.toml", built / "sets")
    assert done is not None
    for name, sheet in done.sheets.items():
        told = dict(ezdxf.readfile(done.left.folder / name).header.custom_vars.properties)
        assert "kerf and lead-in are left to the shop" in told["Kerf"]
        assert f"{sheet.thickness:g} mm" == told["Thickness"]
        assert told["Sheet"].startswith("1000 mm x 2000 mm")
        assert all(placed.piece.title in told["Pieces"] for placed in sheet.placed)
    manifest = json.loads((done.left.folder / "manifest.json").read_text(encoding="utf-8"))
    assert {*done.sheets, "nest.pdf"} == set(manifest["files"])
    Draft202012Validator(json.loads(schema_text("nest"))).validate(manifest)
    with pdfplumber.open(done.left.folder / "nest.pdf") as pdf:
        assert len(done.sheets) == len(pdf.pages)
        text = "\n".join(page.extract_text() for page in pdf.pages)
    for name, sheet in done.sheets.items():
        assert name in text
        assert f"{100 * sheet.used:.1f} %" in text
        assert all(placed.piece.title in text for placed in sheet.placed)
    # What has an outline in a file of its own and yet is not cut is named, so that nobody thinks it was forgotten.
    assert ("2 × rack-spacer", "1 × drilling-gauge") == done.machined
    assert "so on no sheet: 2 × rack-spacer, 1 × drilling-gauge" in " ".join(text.split())


def test_single_layer_has_outlines_alone(built: Path) -> None:
    """With --single-layer all lies on layer 0, and there are no bends, marks or words that would be cut."""
    done = nest_job(built / "job-file.toml", built / "sets", single_layer=True, names=True)
    assert done is not None
    for name in done.sheets:
        space = ezdxf.readfile(done.left.folder / name).modelspace()
        assert {("LWPOLYLINE", "0")} == {(each.dxftype(), each.dxf.layer) for each in space}


def test_names_lie_in_the_metal(built: Path) -> None:
    """Names are on the marking layer, and shapely finds each middle in a piece and in none of its holes."""
    done = nest_job(built / "job-file.toml", built / "sets", names=True)
    assert done is not None
    seen = set()
    for name in done.sheets:
        found = list(outlines(done.left.folder / name))
        for text in ezdxf.readfile(done.left.folder / name).modelspace().query("TEXT"):
            assert "MARK" == text.dxf.layer
            seen.add(text.dxf.text)
            at = box(*(2 * tuple(text.dxf.align_point)[:2]))
            around = [layer for layer, points in found if polygon(points).intersects(at)]
            assert ["CUT_OUTER"] == around
    assert {"closure-plate-left-A", "closure-plate-right-A"} <= seen


def test_same_bytes_in_two_processes(built: Path) -> None:
    """Another process with another seed of its hashes lays out the same bytes, and then says that nothing changed."""
    arguments = ("nest", "job-file.toml", "--out", "sets")
    first = run(*arguments, cwd=built, PYTHONHASHSEED="1")
    assert 0 == first.code, first.err
    (folder,) = (built / "sets").glob("*/nest-A")
    before = contents(folder)
    again = run(*arguments, cwd=built, PYTHONHASHSEED="2")
    assert "nothing changed" in again.out
    assert before == contents(folder)


def test_small_sheets(built: Path, locksweep: Command) -> None:
    """A sheet that holds one plate alone is taken twice, in a folder beside the first layout, which stays."""
    job, sets = built / "job-file.toml", built / "sets"
    assert 0 == locksweep("nest", job, "--out", sets).code
    done = locksweep("nest", job, "--out", sets, "--sheet", "600 x 450")
    assert 0 == done.code
    assert "nest-A: another layout" in done.err
    assert "S235JR-1.5-mm-sheet-2.dxf: 1 piece," in done.out
    assert (next(iter(sets.iterdir())) / "nest-A-2").is_dir()


def test_larger_than_the_sheet_is_refused(built: Path, locksweep: Command) -> None:
    """A part that has no room is named with its size and the sheet's, and nothing is left."""
    done = locksweep("nest", built / "job-file.toml", "--out", built / "sets", "--sheet", "300 x 300 mm")
    assert 1 == done.code
    assert "closure-plate-left is " in done.err
    assert "larger than what a sheet of 300.0 mm × 300.0 mm has within margins of 10.0 mm" in done.err
    assert [] == list((built / "sets").glob("*/nest*"))


def test_other_job_is_not_nested(built: Path) -> None:
    """A job file that was changed since it was built is refused with what to run."""
    written(built, edited(full_job(), ('cutting = "waterjet"', 'cutting = "laser"')))
    with pytest.raises(JobFileError, match="locksweep build"):
        nest_job(built / "job-file.toml", built / "sets")


@pytest.mark.parametrize(
    ("text", "units", "size"),
    [
        ("1000 x 2000 mm", "mm", (1000, 2000)),
        ("1000x2000", "mm", (1000, 2000)),
        ("48 x 96", "in", (1219.2, 2438.4)),
        ("4 ft × 8 ft", "mm", (1219.2, 2438.4)),
        ("1 m * 48 in", "mm", (1000, 1219.2)),
        ("4 x 8 ft", "in", (1219.2, 2438.4)),
    ],
)
def test_sheet_sizes(text: str, units: str, size: tuple[float, float]) -> None:
    """Two sides with a unit each, one for both, or the job's."""
    assert size == pytest.approx(sheet_size(text, units))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text",
    ["", "1000", "a x b", "9 x 9 x 3", "x", "0 x 5", "1 kg x 5 kg", "9999 x 1e6", "-600 x 600", "nan x inf"],
)
def test_no_sheet_size(text: str) -> None:
    """Whatever is not two sides of a sheet is refused by the option's name."""
    with pytest.raises(SheetOptionError, match="--sheet"):
        sheet_size(text, "mm")


def test_gap_and_margin() -> None:
    """Usual gap: a web's least width and two kerfs rounded up, 5 mm at least; less than two kerfs is refused."""
    water = process("waterjet")
    assert 9 == stock_for((1000, 2000), None, None, 6.0, water, "mm").gap  # 6 + 2 × 1.2, rounded up
    assert 5 == stock_for((1000, 2000), None, None, 1.5, water, "mm").gap  # 1.5 + 2.4 is under 5
    assert (3, 20) == stock_for((1000, 2000), "3", "20 mm", 6.0, water, "mm")[:1:-1]
    for gap, margin in (("2.3", None), ("-1", None), ("a", None), (None, "500"), (None, "-1"), ("", None)):
        with pytest.raises(LocksweepError, match=r"--(gap|margin)"):
            stock_for((1000, 2000), gap, margin, 6.0, water, "mm")


def piece(outer: Outline, number: int) -> Piece:
    """A piece without holes."""
    (found,) = pieces_of(FlatPattern(6.0, (outer,)), f"part-{number}", "A")
    return found


def laid_out(lot: Lot, stock: Stock) -> list[Sheet]:
    """The lot's sheets, looked over by shapely."""
    sheets = nest(lot, stock)
    for sheet in sheets:
        check_sheet([polygon(list(placed.outer)) for placed in sheet.placed], stock)
    return sheets


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(20, 280), st.floats(20, 180), st.floats(-0.9, 0.9), st.integers(1, 4), st.floats(0, 6)
        ),
        min_size=1,
        max_size=5,
    ),
    st.floats(2.4, 30),
)
def test_random_lots(sizes: list[tuple[float, float, float, int, float]], gap: float) -> None:
    """Whatever the pieces, none is lost, none overlaps, gap and margin hold, and areas stay as they are."""
    pieces = []
    for number, (width, height, lean, count, angle) in enumerate(sizes):
        c, s = math.cos(angle), math.sin(angle)
        corners = [(0.0, 0.0), (width, 0.0), (width + lean * 10, height), (lean * 10, height)]
        outer = tuple(
            (c * x - s * y, s * x + c * y, 0.3 if n == 1 else 0.0) for n, (x, y) in enumerate(corners)
        )
        pieces.append((piece(outer, number), count))
    stock = Stock(420.0, 390.0, 8.0, gap)
    sheets = laid_out(Lot("S355", 6.0, tuple(pieces)), stock)
    lying = Counter(placed.piece.name for sheet in sheets for placed in sheet.placed)
    assert {p.name: count for p, count in pieces} == lying
    area = sum(outline_area(p.outer) * count for p, count in pieces)
    assert area == pytest.approx(sum(sheet.used for sheet in sheets) * 420 * 390, rel=1e-9)
    assert area == pytest.approx(sum(sheet.pattern().area for sheet in sheets), rel=1e-9)


def test_exactly_full_sheet() -> None:
    """Four squares that leave no hair over fill one sheet, and five take a second one."""
    square = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 100.0, 0.0), (0.0, 100.0, 0.0))
    stock = Stock(225.0, 225.0, 10.0, 5.0)
    (full,) = laid_out(Lot("S355", 6.0, ((piece(square, 1), 4),)), stock)
    assert 4e4 / 225**2 == pytest.approx(full.used)
    assert (225, 225) == pytest.approx(full.corner)
    assert [4, 1] == [
        len(sheet.placed) for sheet in laid_out(Lot("S355", 6.0, ((piece(square, 1), 5),)), stock)
    ]
    with pytest.raises(TooLargeError, match=r"part-1 is 100\.0 mm × 100\.0 mm"):
        nest(Lot("S355", 6.0, ((piece(square, 1), 1),)), Stock(119.9, 500.0, 10.0, 5.0))


def test_turned_only_as_far_as_it_must() -> None:
    """A strip longer than the sheet's sides goes on it cornerwise, although its smallest box doesn't fit."""
    strip = (
        (0.0, 0.0, 0.0),
        (130.0, 0.0, 0.0),
        (130.0, 2.0, 0.0),
        (120.0, 12.0, 0.0),
        (10.0, 12.0, 0.0),
        (0.0, 2.0, 0.0),
    )
    (sheet,) = laid_out(Lot("S355", 6.0, ((piece(strip, 1), 1),)), Stock(120.0, 120.0, 5.0, 5.0))
    assert 45 == pytest.approx(math.degrees(sheet.placed[0].angle) % 90, abs=1e-6)


def test_pieces_of_a_bracket_with_gusset() -> None:
    """Each outline takes its own holes and bends along."""
    first = ((0.0, 0.0, 0.0), (80.0, 0.0, 0.0), (80.0, 50.0, 0.0), (0.0, 50.0, 0.0))
    second = ((0.0, 60.0, 0.0), (40.0, 60.0, 0.0), (0.0, 100.0, 0.0))
    pattern = FlatPattern(
        6.0,
        (first, second),
        (circle_outline(20, 25, 10), circle_outline(10, 70, 8)),
        (((50.0, 0.0), (50.0, 50.0)),),
    )
    one, other = pieces_of(pattern, "bracket", "B")
    assert ((circle_outline(20, 25, 10),), 1) == (one.inner, len(one.bends))
    assert ((circle_outline(10, 70, 8),), 0) == (other.inner, len(other.bends))
    assert "bracket, revision B, piece 2 of 2" == other.title


def test_marks_go_with_their_piece() -> None:
    """A line that is engraved lies on the sheet where it lies on the piece: 10 mm of it, 3 mm off the long edge."""
    plate: Outline = ((0, 0, 0), (300, 0, 0), (300, 40, 0), (0, 40, 0))
    pattern = FlatPattern(6.0, (plate,), marks=(((20.0, 3.0), (30.0, 3.0)),))
    (found,) = pieces_of(pattern, "base", "A")
    (sheet,) = laid_out(Lot("S235JR", 6.0, ((found, 2),)), Stock(100.0, 500.0, 5.0, 4.0))
    laid = sheet.pattern()
    assert (2, 2) == (len(laid.outer), len(laid.marks))
    for start, end in laid.marks:
        assert 10.0 == pytest.approx(math.dist(start, end))
        near = min(math.dist(start, corner[:2]) for outline in laid.outer for corner in outline)
        assert math.hypot(20, 3) == pytest.approx(near)
