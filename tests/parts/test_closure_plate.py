"""The closure plate's solid and blank against its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from parts import measure
from parts.catalogue import build
from solver.errors import DimensionError
from solver.families.closure_plate import ClosurePlateDimensions
from tests.parts.examples import PAN, TROUGH
from tests.parts.promises import VOLUME, assert_keeps_promises, bend_surplus
from tests.parts.strategies import closure_plates

FOLDED = st.one_of(*map(closure_plates, (2, 3, 4)))


@given(closure_plates(1))
@settings(max_examples=25)
def test_any_pan(dimensions: ClosurePlateDimensions) -> None:
    """Any pan within its limits is one valid solid of closed-form volume and envelope."""
    assert_keeps_promises(dimensions)


@given(FOLDED)
@settings(max_examples=15)
def test_any_folded_floor(dimensions: ClosurePlateDimensions) -> None:
    """The same with two to four facets, whichever way the folds cross the walls."""
    assert len(dimensions.pan.folds) > 0
    assert_keeps_promises(dimensions)


@given(st.one_of(closure_plates(1), FOLDED))
@settings(max_examples=60)
def test_blank_holds_the_metal(dimensions: ClosurePlateDimensions) -> None:
    """Blank times thickness is the plate's volume, but for what the K-factor takes from the bends."""
    surplus = sum(
        bend_surplus(dimensions.thickness, dimensions.k_factor, bend.angle) * bend.length
        for bend in dimensions.bend_table()
    )
    blank = dimensions.flat_pattern().area * dimensions.thickness
    assert dimensions.volume - surplus == pytest.approx(blank, rel=1e-9)  # both in closed form


@given(st.one_of(closure_plates(1), FOLDED))
@settings(max_examples=60)
def test_no_two_walls_overlap_in_the_blank(dimensions: ClosurePlateDimensions) -> None:
    """The blank's outline is simple, told by a general-purpose geometry library; all holes lie inside of it."""
    pattern = dimensions.flat_pattern()
    blank = Polygon([(x, y) for x, y, _ in pattern.outer[0]])
    assert blank.is_valid
    for hole in pattern.inner:
        (x0, y, _), (x1, _, _) = hole
        assert blank.contains(Polygon([(x0, y), ((x0 + x1) / 2, y - (x1 - x0) / 2), (x1, y)]))


def test_volume_by_hand() -> None:
    """Floor 98 · 58 − 25 π; walls 11 high and 99 or 59 long; quarter tubes 0.75 π over 94 and 54; four tabs of 100."""
    volume = 98 * 58 - 25 * math.pi + 2 * (11 * (99 + 59) + 0.75 * math.pi * (94 + 54) + 200)
    assert volume == pytest.approx(PAN.volume, rel=1e-12)
    assert volume == pytest.approx(measure.volume(build(PAN)), rel=VOLUME)


def test_blank_by_hand() -> None:
    """The same with the allowance π/2 (1 + 0.4) instead of the quarter tubes."""
    area = 98 * 58 - 25 * math.pi + 2 * (11 * (99 + 59) + 0.7 * math.pi * (94 + 54) + 200)
    assert area == pytest.approx(PAN.flat_pattern().area, rel=1e-12)


FOLD_BACK, END_BACK = math.tan(math.radians(15)), math.tan(math.radians(30))
"""Set-backs R tan(A/2), R = 1, of the fold of 30° and of the end wall's bend of 60°."""
SLOPE = 200 / math.sqrt(3)
"""Length of the facet that rises by 30° over 100."""


def trough(per_radian: float) -> float:
    """Volume of TROUGH for a thickness of 1, with what a bend has for each mm and radian."""
    flats = 98 * (100 - 1 - FOLD_BACK) + 98 * (SLOPE - FOLD_BACK - END_BACK) - 25 * math.pi
    # Over the level facet walls are 79 high; over the rising one 80 − h/√3 less the set-back 1/cos 30°.
    walls = 3 * 99 * 79 + 99 * (80 - 100 / math.sqrt(3) - END_BACK)
    walls += 2 * 99 * (80 - 50 / math.sqrt(3) - 2 / math.sqrt(3))
    right_angles = 94 + 2 * (100 - 1 - FOLD_BACK - 4) + 2 * (SLOPE - FOLD_BACK - END_BACK - 4)
    bends = math.pi / 2 * right_angles + math.pi / 3 * 94 + math.pi / 6 * 98
    return flats + walls + bends * per_radian + 6 * (100 - 9 * math.pi)


def test_folded_volume_by_hand() -> None:
    """Two facets, a fold of 30°, one wall bent by 60°, the others by 90°; six tabs and six plug-weld holes."""
    assert trough(1.5) == pytest.approx(TROUGH.volume, rel=1e-12)
    assert trough(1.5) == pytest.approx(measure.volume(build(TROUGH)), rel=VOLUME)


def test_folded_blank_by_hand() -> None:
    """The same with 1.4 mm of allowance a radian."""
    assert trough(1.4) == pytest.approx(TROUGH.flat_pattern().area, rel=1e-12)


def test_bend_table() -> None:
    """Walls counter-clockwise, then the fold; allowance A (R + K t), deduction 2 (R + t) tan(A/2) less it."""
    angles = [90, 90, 60, 90, 90, 90, 30]
    table = TROUGH.bend_table()
    assert list(range(1, 8)) == [bend.number for bend in table]
    assert angles == pytest.approx([math.degrees(bend.angle) for bend in table])
    assert len(TROUGH.flat_pattern().bends) == len(table)
    for bend, (start, end) in zip(table, TROUGH.flat_pattern().bends, strict=True):
        assert math.dist(start, end) == pytest.approx(bend.length)
        assert ("up", 1.0, 0.4) == (bend.direction, bend.radius, bend.k_factor)
        assert bend.angle * 1.4 == pytest.approx(bend.allowance)
        assert 4 * math.tan(bend.angle / 2) - 1.4 * bend.angle == pytest.approx(bend.deduction)


def test_a_wall_as_wide_as_its_tab() -> None:
    """A tab that fills its wall makes no edge without length, neither in the solid nor in the blank."""
    outline = ((0.0, 0.0), (57.0, 0.0), (57.0, 60.0), (0.0, 60.0))
    dimensions = replace(PAN, outline=outline, profile=((0, 12), (57, 12)), tab_width=51.0, drain_x=28.0)
    solid = assert_keeps_promises(dimensions)
    assert min(edge.Length() for edge in solid.Edges()) > 0.4


def test_walls_stand_outside_of_the_outline_and_up() -> None:
    """The box reaches a thickness beyond the outline and up over the tabs."""
    bounds = measure.box(build(PAN))
    assert (-1.0, -1.0, 0.0) == pytest.approx(bounds.low, abs=1e-6)
    assert (101.0, 61.0, 18.0) == pytest.approx(bounds.high, abs=1e-6)


def test_neighbouring_walls_end_a_mitre_apart() -> None:
    """At a square corner the walls' inside edges are half a gap from the corner each, 1/√2 mm apart."""
    solid = build(PAN)
    ends = [v.toTuple() for v in solid.Vertices() if v.Z == pytest.approx(13.0) and v.X < 5 and v.Y < 5]
    inside = sorted((round(x, 6), round(y, 6)) for x, y, _ in ends if x >= 0 and y >= 0)
    assert [(0.0, 0.5), (0.5, 0.0)] == inside


def test_tabs_plugs_and_drain_lie_where_they_are_dimensioned() -> None:
    """On 241 mm of wall three tabs share the length evenly, and four plug-weld holes 6 mm below the weld line."""
    outline = ((0.0, 0.0), (242.0, 0.0), (242.0, 60.0), (0.0, 60.0))
    dimensions = replace(
        PAN, outline=outline, profile=((0, 20), (242, 20)), plug_diameter=6.0, drain_x=70.0, drain_y=25.0
    )
    solid = build(dimensions)
    ends = [f.Center() for f in solid.Faces() if f.Center().z == pytest.approx(26.0) and f.Center().y < 0]
    # Half a mitre of 0.5 mm, then thirds of 80.33; the wall stands from 0 to 1 mm out.
    assert [0.5 + 241 / 6, 121.0, 241.5 - 241 / 6] == pytest.approx(sorted(p.x for p in ends), abs=1e-5)
    assert [-0.5] * 3 == pytest.approx([p.y for p in ends])
    round_faces = [f for f in solid.Faces() if f.geomType() == "CYLINDER"]
    plugs = [f.Center() for f in round_faces if f.Center().z == pytest.approx(15.0) and f.Center().y < 0]
    assert [0.5 + 241 * share / 8 for share in (1, 3, 5, 7)] == pytest.approx(sorted(p.x for p in plugs))
    (drilled,) = [f for f in round_faces if f.Center().z == pytest.approx(0.5) and f.Center().y > 5]
    assert (70.0, 25.0, 0.5) == pytest.approx(drilled.Center().toTuple(), abs=1e-6)
    pattern = dimensions.flat_pattern()
    lowest = min(y for _, y, _ in pattern.outer[0])
    # Inset 1, allowance 0.7 π, flat 19, tab 5.
    assert 1 - (0.7 * math.pi + 24) == pytest.approx(lowest)
    assert (70.0, 25.0) == (sum(x for x, _, _ in pattern.inner[0]) / 2, pattern.inner[0][0][1])


def test_low_walls_have_no_plug_holes() -> None:
    """A hole of 6 mm, 6 mm below the edge, needs 9 mm and 3 t + R over the bend: 12.9 mm are too little, 13 enough."""
    for depth, holes in ((13.9, 0), (14.0, 4)):
        dimensions = replace(PAN, profile=((0.0, depth), (100.0, depth)), plug_diameter=6.0)
        count = sum(len(dimensions.plugs(wall)) for wall in dimensions.pan.walls)
        assert holes == count


def test_mirrored() -> None:
    """The other side's plate has the same volume and box; twice mirrored it is itself."""
    other = TROUGH.mirrored()
    assert TROUGH == other.mirrored()
    assert TROUGH.volume == pytest.approx(other.volume, rel=1e-12)
    low, high = measure.box(build(other)).low, measure.box(build(TROUGH)).high
    assert -high[0] == pytest.approx(low[0], abs=1e-6)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"thickness": 0.7}, r"thickness 0\.70 mm is below 0\.80 mm"),
        ({"bend_radius": 0.9}, r"bend radius 0\.90 mm is below 1\.00 mm"),
        ({"profile": ((0, 4.9), (100, 4.9))}, r"flat of the wall on edge 1 3\.90 mm is below 4\.00 mm"),
        ({"relief": 0.5}, r"relief 0\.50 mm is below 1\.00 mm"),
        ({"mitre_gap": 0.4}, r"mitre gap 0\.40 mm is below 0\.50 mm"),
        ({"plug_diameter": 3.0}, r"plug-weld hole 3\.00 mm is below 4\.00 mm"),
        ({"drain_x": 9.9}, r"drain hole to bend 4 of its facet 3\.90 mm is below 4\.00 mm"),
        ({"tab_width": 61.0}, r"tab width 61\.00 mm is above 60\.00 mm"),
        ({"tab_width": 59.0}, r"the wall on edge 2 54\.00 mm is below 59\.00 mm"),
        ({"k_factor": 0.0}, r"K-factor 0\.0 is outside"),
        ({"outline": ((0, 0), (0, 60), (100, 60), (100, 0))}, "not convex and counter-clockwise at corner"),
        ({"outline": ((0, 0), (100, 0), (40, 30), (0, 60))}, "not convex and counter-clockwise at corner 3"),
        ({"outline": ((0, 0), (0, 0), (100, 60), (0, 60))}, r"edge 1 0\.00 mm is below"),
        ({"outline": ((0, 0), (100, 0), (100, math.nan), (0, 60))}, "outline is nan, it must be a finite"),
        ({"profile": ((0, 12),)}, "the profile has 1 points"),
        ({"profile": ((0, 12), (90, 12))}, r"the profile reaches from 0\.00 to 90\.00 mm"),
        ({"profile": ((0, 30), (50, 10), (100, 30))}, "the fold before facet 2 is below 1° or bends away"),
        ({"profile": ((0, 12), (50, 130), (100, 12))}, "facet 1 rises by -67.0°"),
        ({"profile": ((0, 12), (10.5, 14), (100, 12))}, r"facet 1 9\.\d\d mm is below 20\.00 mm"),
    ],
)
def test_refusals(change: dict[str, Any], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        build(replace(PAN, **change))


def test_star_is_refused() -> None:
    """A five-pointed star turns left at every corner and is no outline for all that."""
    points = [(100 * math.cos(0.8 * math.pi * i), 100 * math.sin(0.8 * math.pi * i)) for i in range(5)]
    low = min(x for x, _ in points)
    star = replace(PAN, outline=tuple(points), profile=((low, 12.0), (100.0, 12.0)), drain_x=0.0, drain_y=0.0)
    with pytest.raises(DimensionError, match="the outline crosses itself"):
        build(star)
