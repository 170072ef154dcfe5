"""Solids of the marking aids against their dimensions, and the distances that matter read back from what is cut."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.catalogue import build
from parts.dxf import write_dxf
from solver.errors import DimensionError, SolidError
from solver.families.base import PartDimensions
from solver.families.drilling_gauge import DrillingGaugeDimensions
from solver.families.weld_fixture import FixtureBaseDimensions, FixtureVeeDimensions
from tests.parts.examples import BASE, GAUGE, NOTCH, SLOTS, STOP_PLATE, VEE, WRAP
from tests.parts.promises import assert_keeps_promises
from tests.parts.strategies import (
    drilling_gauges,
    fixture_bases,
    fixture_stops,
    fixture_vees,
    slot_templates,
)


@given(st.one_of(drilling_gauges(), slot_templates(), fixture_bases(), fixture_vees(), fixture_stops()))
@settings(max_examples=60)
def test_any_flat_aid(dimensions: PartDimensions) -> None:
    """Any plate within its limits is one valid solid of closed-form volume and envelope, of its pattern's area."""
    assert_keeps_promises(dimensions)
    pattern = dimensions.flat_pattern()
    assert pattern is not None
    # Outlines by the shoelace formula and their arcs' segments; the volume does not use them.
    assert dimensions.volume == pytest.approx(pattern.area * pattern.thickness, rel=1e-9)


@pytest.mark.parametrize(
    ("dimensions", "volume"),
    [
        # 70 × 30 less (4 − π) 25 of corners and two circles of 25 π, 8 thick.
        (GAUGE, 8 * (2000 - 25 * math.pi)),
        # 106 × 118 less corners, three slots of 10 × 10 and a circle of 25 π, one of 10 × 30 and 225 π; 3 thick.
        (SLOTS, 3 * (12508 - 100 + 25 * math.pi - 3 * (100 + 25 * math.pi) - (300 + 225 * math.pi))),
        # 500 × 120 less corners and ten slots of 6.2 × 20.2, 6 thick.
        (BASE, 6 * (60000 - 100 + 25 * math.pi - 1252.4)),
        # 90 × 70, a triangle 56.57 wide and half as high less one 4 wide, two tabs of 20 × 6 less two corners each.
        (VEE, 6 * (6300 - (800 - 4) + 2 * (120 - 1))),
        (NOTCH, 6 * (5600 - 40.5 * 15 + 2 * (120 - 1))),
        (STOP_PLATE, 6 * (90 * 92 + 2 * (120 - 1) - 30.25 * math.pi)),
    ],
)
def test_volume_by_hand(dimensions: PartDimensions, volume: float) -> None:
    """Each example's volume, worked out by hand."""
    assert volume == pytest.approx(dimensions.volume, rel=1e-12)
    assert volume == pytest.approx(build(dimensions).Volume(), rel=1e-9)


@given(drilling_gauges())
@settings(max_examples=10)
def test_distance_of_the_gauge_in_its_file(
    tmp_path_factory: pytest.TempPathFactory, dimensions: DrillingGaugeDimensions
) -> None:
    """The two circles that are cut lie at the gauge's distance, each as large as a bush outside."""
    circles = holes_of(tmp_path_factory.mktemp("gauge") / "gauge.dxf", dimensions)
    (first, one), (second, other) = circles
    # Coordinates are written with all their digits.
    assert dimensions.distance == pytest.approx(math.dist(first, second), abs=1e-9)
    assert [dimensions.hole_diameter] * 2 == pytest.approx([one, other], abs=1e-9)


def holes_of(path: Path, dimensions: PartDimensions) -> list[tuple[tuple[float, float], float]]:
    """Middle and diameter of each closed polyline of two half circles, as an independent reader finds them."""
    pattern = dimensions.flat_pattern()
    assert pattern is not None
    write_dxf(pattern, path, name="aid", revision="A")
    found = []
    for loop in ezdxf.readfile(path).modelspace().query('LWPOLYLINE[layer=="CUT_INNER"]'):
        points = loop.get_points("xyb")
        assert [1.0, 1.0] == [bulge for _, _, bulge in points]
        (x0, y0, _), (x1, y1, _) = points
        found.append((((x0 + x1) / 2, (y0 + y1) / 2), math.dist((x0, y0), (x1, y1))))
    return found


def test_sight_line_runs_through_both_middles(tmp_path: Path) -> None:
    """What is engraved on the gauge lies on the line through both holes and stays out of them."""
    path = tmp_path / "gauge.dxf"
    holes_of(path, GAUGE)
    lines = list(ezdxf.readfile(path).modelspace().query('LINE[layer=="MARK"]'))
    ends = sorted((line.dxf.start.x, line.dxf.end.x) for line in lines)
    assert [(-20.0, -5.0), (5.0, 25.0), (35.0, 50.0)] == ends
    assert {0.0} == {point.y for line in lines for point in (line.dxf.start, line.dxf.end)}


@pytest.mark.parametrize("vee", [VEE, replace(VEE, held_width=54.5, held_height=54.5, width=120.0)])
def test_a_tube_lies_on_the_axis(vee: FixtureVeeDimensions) -> None:
    """A circle about the arm's axis touches both flanks of the V, whatever its diameter."""
    (outline,) = vee.flat_pattern().outer
    flanks = [
        (a, b)
        for a, b in itertools.pairwise(outline)
        if abs(abs(a[0] - b[0]) - abs(a[1] - b[1])) < 1e-9 and abs(a[0] - b[0]) > 2.0
    ]
    assert 2 == len(flanks)
    for (x0, y0, _), (x1, y1, _) in flanks:
        x, y = 0.0 - x0, vee.axis_height - y0
        off = abs((x1 - x0) * y - (y1 - y0) * x) / math.dist((x0, y0), (x1, y1))
        assert vee.held_width / 2 == pytest.approx(off, abs=1e-9)


def test_tabs_go_into_slots() -> None:
    """Tabs of the standing plates and slots of the base that are made for each other have the fit all round."""
    base = replace(BASE, slot_offset=VEE.tab_offset)
    slots = [outline for outline in base.flat_pattern().inner if min(x for x, _, _ in outline) < 40]
    (plate,) = VEE.flat_pattern().outer
    tabs = [(x, y) for x, y, _ in plate if y < 0]
    for slot, side in zip(sorted(slots, key=lambda s: s[0][1]), (-1, 1), strict=True):
        across = [y for _, y, _ in slot]
        mine = [x for x, _ in tabs if x * side > 0]
        assert min(across) + 0.1 == pytest.approx(min(mine), abs=1e-9)
        assert max(across) - 0.1 == pytest.approx(max(mine), abs=1e-9)
        assert VEE.thickness + 0.2 == pytest.approx(slot[1][0] - slot[0][0], abs=1e-9)
    # Flush below the base.
    assert -base.thickness == min(y for _, y in tabs)


def test_slots_follow_the_shift() -> None:
    """Each slot runs from where a stud is to where it goes, as wide as its hole."""
    assert 10.0 == pytest.approx(SLOTS.shift_length)
    starts = [(start, end) for start, end, width in SLOTS.slots() if width == SLOTS.hole_diameter]
    assert list(SLOTS.studs) == [start for start, _ in starts]
    assert {(6.0, -8.0)} == {(b[0] - a[0], b[1] - a[1]) for a, b in starts}


def test_paper_has_no_solid() -> None:
    """What is only printed is refused by name where a solid is asked for."""
    with pytest.raises(SolidError, match="wrap-round template is only printed, it has no solid"):
        build(WRAP)


LIMITS: list[tuple[PartDimensions, dict[str, object], str]] = [
    (GAUGE, {"distance": 12.4}, r"web between the bushes 2\.40 mm is below 2\.50 mm"),
    (GAUGE, {"thickness": 2.9}, r"thickness 2\.90 mm is below 3\.00 mm \(a bush in thinner plate leans\)"),
    (GAUGE, {"width": 14.9}, r"width 14\.90 mm is below 15\.00 mm"),
    (GAUGE, {"corner_radius": 10.1}, r"corner radius 10\.10 mm is above 10\.00 mm"),
    (SLOTS, {"shift": (0.2, 0.3)}, r"shift 0\.36 mm is below 0\.50 mm"),
    (SLOTS, {"studs": ((40.0, 0.0),)}, "the pattern has 1 studs, 2 to 12"),
    (SLOTS, {"opening_diameter": 60.0}, r"web between slots 1 and 4 -0\.07 mm is below 3\.00 mm"),
    (BASE, {"slot_thickness": 5.9}, r"fit of a slot -0\.10 mm is below 0\.00 mm \(the plate must go in\)"),
    (BASE, {"stations": (30.0, 40.0, 320.0)}, r"metal between two slots 3\.80 mm is below 4\.00 mm"),
    (BASE, {"stations": (30.0, 320.0)}, "the base has 2 standing plates, 3 are the least"),
    (BASE, {"width": 98.0}, r"width 98\.00 mm is below 98\.20 mm"),
    (VEE, {"axis_height": 38.0}, r"plate under the notch 11\.72 mm is below 12\.00 mm"),
    (VEE, {"held_height": 41.0}, "what is round is as wide as high"),
    (VEE, {"tab_offset": 12.0}, r"tab offset 12\.00 mm is below 12\.50 mm"),
    (NOTCH, {"play": 1.1}, r"play 1\.10 mm is above 1\.00 mm"),
    (STOP_PLATE, {"hole_diameter": 21.0}, r"hole diameter 21\.00 mm is above 20\.00 mm"),
    (STOP_PLATE, {"height": 86.0}, r"plate over the hole 16\.00 mm is below 16\.50 mm"),
]


@pytest.mark.parametrize(("dimensions", "change", "message"), LIMITS)
def test_refusals(dimensions: PartDimensions, change: dict[str, object], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    refused: Callable[[], object] = lambda: build(replace(dimensions, **change))  # type: ignore[arg-type]  # noqa: E731
    with pytest.raises(DimensionError, match=message):
        refused()


def test_least_base_is_made() -> None:
    """Right at its limits a base is made."""
    least = replace(BASE, width=98.2, stations=(30.0, 40.2, 320.0))
    assert isinstance(least, FixtureBaseDimensions)
    assert_keeps_promises(least)
