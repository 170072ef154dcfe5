"""DXF files as a cutter's program reads them, and that faults in them are seen."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from parts.dxf import check_dxf, write_dxf
from solver.errors import WriteError
from solver.families.base import FlatPattern, PartDimensions, circle_outline
from tests.parts import strategies
from tests.parts.examples import BOLTED_STOP, EXAMPLES, PAN, RING, WELDED_STOP

FLAT = {name: d for name, d in EXAMPLES.items() if d.flat_pattern() is not None}


def _read(pattern: FlatPattern, path: Path, *, single_layer: bool = False) -> Drawing:
    write_dxf(pattern, path, name="test-part", revision="C", single_layer=single_layer)
    return ezdxf.readfile(path)


def _polygons(document: Drawing, layer: str, sagitta: float) -> list[Polygon]:
    """Outlines by way of their lines and arcs, chords at most a sagitta off."""
    found = []
    for loop in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        points: list[tuple[float, float]] = []
        # All arcs of ours run counter-clockwise, as the library's do.
        for edge in loop.virtual_entities():
            ends = (edge.dxf.start, edge.dxf.end) if edge.dxftype() == "LINE" else edge.flattening(sagitta)
            # Where an arc runs into a line, the two ends differ by rounding, which would fold the outline.
            points += [(round(p.x, 9), round(p.y, 9)) for p in ends]
        found.append(Polygon(points))
    return found


@pytest.mark.parametrize("name", FLAT)
def test_layers_and_units(name: str, tmp_path: Path) -> None:
    """R2010 in millimetres, a closed polyline per outline on its layer, a line per bend and mark, nothing else."""
    pattern = FLAT[name].flat_pattern()
    document = _read(pattern, tmp_path / "part.dxf")
    assert "AC1024" == document.dxfversion
    assert (4, 1) == (document.header["$INSUNITS"], document.header["$MEASUREMENT"])
    assert [] == document.audit().errors
    found = [(entity.dxftype(), entity.dxf.layer) for entity in document.modelspace()]
    expected = [("LWPOLYLINE", "CUT_INNER")] * len(pattern.inner) + [("LWPOLYLINE", "CUT_OUTER")] * len(
        pattern.outer
    )
    bends = [f"BEND_UP_{round(math.degrees(angle))}" for angle in pattern.angles] or ["BEND_UP_90"] * len(
        pattern.bends
    )
    lines = [*bends, *["MARK"] * len(pattern.marks)]
    assert expected + [("LINE", layer) for layer in lines] == found
    assert all(loop.closed and loop.dxf.elevation == 0 for loop in document.modelspace().query("LWPOLYLINE"))
    colours = {"CUT_OUTER": 7, "CUT_INNER": 1, "BEND_UP_90": 5, "MARK": 3}
    assert colours | dict.fromkeys(bends, 5) == {
        layer.dxf.name: layer.color for layer in document.layers if layer.dxf.name not in ("0", "Defpoints")
    }
    for line, (start, end) in zip(
        document.modelspace().query("LINE"), (*pattern.bends, *pattern.marks), strict=True
    ):
        assert (*start, 0.0, *end, 0.0) == (*line.dxf.start, *line.dxf.end)


@pytest.mark.parametrize("name", FLAT)
def test_single_layer(name: str, tmp_path: Path) -> None:
    """All outlines on layer 0 and nothing that must not be cut through."""
    pattern = FLAT[name].flat_pattern()
    document = _read(pattern, tmp_path / "part.dxf", single_layer=True)
    found = [(entity.dxftype(), entity.dxf.layer) for entity in document.modelspace()]
    assert [("LWPOLYLINE", "0")] * len(pattern.inner + pattern.outer) == found


def test_properties(tmp_path: Path) -> None:
    """Name, revision, thickness and that the outline is net are in the drawing's own properties."""
    document = _read(RING.flat_pattern(), tmp_path / "ring.dxf")
    assert [
        ("Part", "test-part"),
        ("Revision", "C"),
        ("Thickness", "6 mm"),
        ("Kerf", "none: outlines are the finished size, kerf and lead-in are left to the shop"),
    ] == document.header.custom_vars.properties


def test_marks(tmp_path: Path) -> None:
    """Lines to engrave go on their own layer, and are left out where everything is cut."""
    marks = [((1.0, 2.0), (3.0, 4.0))]
    for single_layer, expected in ((False, ["MARK"]), (True, [])):
        path = tmp_path / "ring.dxf"
        write_dxf(RING.flat_pattern(), path, name="r", revision="A", single_layer=single_layer, marks=marks)
        assert expected == [line.dxf.layer for line in ezdxf.readfile(path).modelspace().query("LINE")]


@given(st.one_of(strategies.rack_spacers(), strategies.bump_stops(), strategies.closure_plates()))
@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_areas_by_an_independent_library(tmp_path: Path, dimensions: PartDimensions) -> None:
    """Rebuilt as polygons, the outlines are simple, holes lie inside, and the area is the pattern's."""
    pattern = dimensions.flat_pattern()
    document = _read(pattern, tmp_path / "part.dxf")
    distance = 1e-3
    outer = _polygons(document, "CUT_OUTER", distance)
    inner = _polygons(document, "CUT_INNER", distance)
    assert (len(pattern.outer), len(pattern.inner)) == (len(outer), len(inner))
    assert all(polygon.is_valid for polygon in outer + inner)
    assert all(any(polygon.contains(hole) for polygon in outer) for hole in inner)
    assert not any(a.intersects(b) for a in outer for b in outer if a is not b)
    assert not any(a.intersects(b) for a in inner for b in inner if a is not b)
    area = sum(polygon.area for polygon in outer) - sum(hole.area for hole in inner)
    # Chords stand off their arcs by at most the distance, so the area differs by that times the length.
    assert pattern.area == pytest.approx(area, abs=distance * pattern.cut_length)


@pytest.mark.parametrize("dimensions", [BOLTED_STOP, WELDED_STOP, PAN], ids=["bolted", "welded", "pan"])
def test_bend_lines_cross_the_blank(dimensions: PartDimensions, tmp_path: Path) -> None:
    """Both ends of each bend line lie on the edge of the blank."""
    pattern = dimensions.flat_pattern()
    (blank, *_) = _polygons(_read(pattern, tmp_path / "part.dxf"), "CUT_OUTER", 1e-3)
    for bend in pattern.bends:
        for end in bend:
            # In the middle of the bend the edge is straight, so chords do not matter.
            assert 0 == pytest.approx(blank.exterior.distance(Point(end)), abs=1e-9)


def test_edges_without_length_are_left_out(tmp_path: Path) -> None:
    """A vertex that is there twice is written once."""
    square = ((0, 0, 0.0), (10, 0, 0.0), (10, 0, 0.0), (10, 10, 0.0), (0, 10, 0.0), (0, 0, 0.0))
    document = _read(FlatPattern(1.0, (square,)), tmp_path / "square.dxf")
    (loop,) = document.modelspace()
    assert {(10, 0), (10, 10), (0, 10), (0, 0)} == {(x, y) for x, y in loop.get_points("xy")}
    assert 4 == len(loop)


def _inches(document: Drawing) -> None:
    document.header["$INSUNITS"] = 1


def _loop_missing(document: Drawing) -> None:
    document.modelspace().delete_entity(document.modelspace().query("LWPOLYLINE")[0])


def _loop_twice(document: Drawing) -> None:
    document.modelspace().add_entity(document.modelspace().query("LWPOLYLINE")[0].copy())


def _loop_open(document: Drawing) -> None:
    document.modelspace().query("LWPOLYLINE")[0].close(False)


def _wrong_layer(document: Drawing) -> None:
    document.modelspace().query("LWPOLYLINE")[0].dxf.layer = "BEND_UP_90"


def _wrong_radius(document: Drawing) -> None:
    document.modelspace().query("LWPOLYLINE")[0].set_points(circle_outline(0, 0, 10.001), format="xyb")


def _lifted(document: Drawing) -> None:
    document.modelspace().query("LWPOLYLINE")[0].dxf.elevation = 1.0


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (_inches, r"\$INSUNITS is 1, it must be 4"),
        (_loop_missing, "it has 1 outlines, 1 outer and 1 inner are meant"),
        (_loop_twice, "it has 3 outlines"),
        (_loop_open, "an outline is not closed"),
        (_lifted, "does not lie at z = 0"),
        (_wrong_layer, "1 outer and 1 inner are meant"),
        (_wrong_radius, r"its outlines hold 628\.302\d+ mm², 628\.318531 mm² are meant"),
    ],
)
def test_faults_are_seen(spoil: Callable[[Drawing], None], message: str, tmp_path: Path) -> None:
    """A file with another unit, a loop too few or too many, open, lifted or of another size does not pass."""
    path = tmp_path / "ring.dxf"
    document = _read(RING.flat_pattern(), path)
    check_dxf(path, RING.flat_pattern())
    spoil(document)
    document.saveas(path)
    with pytest.raises(WriteError, match=message):
        check_dxf(path, RING.flat_pattern())


def test_truncated_file(tmp_path: Path) -> None:
    """A file that ends too early is refused, not repaired."""
    path = tmp_path / "ring.dxf"
    _read(RING.flat_pattern(), path)
    path.write_bytes(path.read_bytes()[:-2000])
    with pytest.raises(WriteError, match=r"ring\.dxf does not read back as DXF"):
        check_dxf(path, RING.flat_pattern())


def test_global_option_is_put_back(tmp_path: Path) -> None:
    """Writing leaves the library's options as they were."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    _read(RING.flat_pattern(), tmp_path / "ring.dxf")
    assert before == ezdxf.options.write_fixed_meta_data_for_testing
