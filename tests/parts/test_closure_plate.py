"""The closure plate's solid and blank against its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from parts import measure
from parts.catalogue import build
from solver.errors import DimensionError
from solver.families.closure_plate import ClosurePlateDimensions
from tests.parts.examples import PAN
from tests.parts.promises import VOLUME, assert_keeps_promises, bend_surplus
from tests.parts.strategies import closure_plates


@given(closure_plates())
@settings(max_examples=150)
def test_any_pan(dimensions: ClosurePlateDimensions) -> None:
    """Any pan within its limits is one valid solid of closed-form volume and envelope."""
    assert_keeps_promises(dimensions)


@given(closure_plates())
@settings(max_examples=200)
def test_blank_holds_the_metal(dimensions: ClosurePlateDimensions) -> None:
    """Blank times thickness is the pan's volume, but for what the K-factor takes from the bends."""
    bent = sum(
        length - 2 * dimensions.relief
        for (_, _, length), has_flange in zip(dimensions.edges(), dimensions.flanged, strict=True)
        if has_flange
    )
    surplus = bend_surplus(dimensions.thickness, dimensions.k_factor) * bent
    blank = dimensions.flat_pattern().area * dimensions.thickness
    assert dimensions.volume - surplus == pytest.approx(blank, rel=1e-9)  # both in closed form


def test_volume_by_hand() -> None:
    """Floor 6000 − 25 π, and twice: a quarter tube 0.75 π · 90, a flat 10 · 90, a tab 20 · 5."""
    volume = 6000 - 25 * math.pi + 2 * (0.75 * math.pi * 90 + 900 + 100)
    assert volume == pytest.approx(PAN.volume, rel=1e-12)
    assert volume == pytest.approx(measure.volume(build(PAN)), rel=VOLUME)


def test_blank_by_hand() -> None:
    """Floor 6000 − 25 π, and twice: allowance π/2 (1 + 0.4) and flat 10, both 90 long, and a tab of 100."""
    area = 6000 - 25 * math.pi + 2 * ((0.7 * math.pi + 10) * 90 + 100)
    assert area == pytest.approx(PAN.flat_pattern().area, rel=1e-12)


def test_tab_as_wide_as_its_flange() -> None:
    """A tab that fills its flange makes no edge without length, neither in the solid nor in the blank."""
    dimensions = replace(PAN, floor=((0, 0), (70, 0), (70, 60), (0, 60)), tab_width=60.0, drain_x=35.0)
    solid = assert_keeps_promises(dimensions)
    assert min(edge.Length() for edge in solid.Edges()) > 0.9


def test_flanges_stand_outside_of_the_floor_and_up() -> None:
    """The box reaches thickness and radius beyond flanged edges, not beyond others, and up over the tabs."""
    bounds = measure.box(build(PAN))
    assert (0.0, -2.0, 0.0) == pytest.approx(bounds.low, abs=1e-6)
    assert (100.0, 62.0, 17.0) == pytest.approx(bounds.high, abs=1e-6)


def test_tabs_and_drain_lie_where_they_are_dimensioned() -> None:
    """On 240 mm of flange three tabs share the length evenly, in solid and blank alike."""
    floor = ((0.0, 0.0), (250.0, 0.0), (250.0, 60.0), (0.0, 60.0))
    dimensions = replace(PAN, floor=floor, flanged=(True, False, False, False), drain_x=70.0, drain_y=25.0)
    solid = build(dimensions)
    ends = [f.Center() for f in solid.Faces() if f.Center().z == pytest.approx(17.0)]
    # 5 mm of relief, then thirds of 80: middles at 45, 125 and 205; the flange stands 1 to 2 mm out.
    expected = [(45.0, -1.5), (125.0, -1.5), (205.0, -1.5)]
    assert expected == sorted((round(p.x, 6), round(p.y, 6)) for p in ends)
    (drilled,) = [
        f for f in solid.Faces() if f.geomType() == "CYLINDER" and f.Center().z == pytest.approx(0.5)
    ]
    assert (70.0, 25.0, 0.5) == pytest.approx(drilled.Center().toTuple(), abs=1e-6)
    pattern = dimensions.flat_pattern()
    lowest = min(y for _, y, _ in pattern.outer[0])
    # Allowance 0.7 π, flat 10, tab 5.
    assert -(0.7 * math.pi + 15) == pytest.approx(lowest)
    corners = sorted(x for x, y, _ in pattern.outer[0] if y == lowest)
    assert [35.0, 55.0, 115.0, 135.0, 195.0, 215.0] == pytest.approx(corners)
    assert (70.0, 25.0) == (sum(x for x, _, _ in pattern.inner[0]) / 2, pattern.inner[0][0][1])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"thickness": 0.7}, r"thickness 0\.70 mm is below 0\.80 mm"),
        ({"bend_radius": 0.9}, r"bend radius 0\.90 mm is below 1\.00 mm"),
        ({"flange_height": 5.9}, r"flange flat 3\.90 mm is below 4\.00 mm"),
        ({"relief": 0.5}, r"relief 0\.50 mm is below 1\.00 mm"),
        ({"flanged": (False,) * 4}, "no edge carries a flange"),
        ({"flanged": (True,) * 3}, "the floor has 4 corners and 3 edges"),
        ({"drain_x": 7.0}, r"drain hole edge to edge 4 2\.00 mm is below 4\.00 mm"),
        ({"tab_width": 61.0}, r"tab width 61\.00 mm is above 60\.00 mm"),
        ({"k_factor": 0.0}, r"K-factor 0\.0 is outside"),
        ({"floor": ((0, 0), (0, 60), (100, 60), (100, 0))}, "not convex and counter-clockwise at corner"),
        ({"floor": ((0, 0), (100, 0), (40, 30), (0, 60))}, "not convex and counter-clockwise at corner 3"),
        ({"floor": ((0, 0), (0, 0), (100, 60), (0, 60))}, r"edge 1 0\.00 mm is below"),
        ({"floor": ((0, 0), (100, 0), (100, math.nan), (0, 60))}, "floor is nan, it must be a finite number"),
    ],
)
def test_refusals(change: dict[str, Any], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        build(replace(PAN, **change))


def test_star_is_refused() -> None:
    """A five-pointed star turns left at every corner and is no outline for all that."""
    points = [(100 * math.cos(0.8 * math.pi * i), 100 * math.sin(0.8 * math.pi * i)) for i in range(5)]
    star = replace(PAN, floor=tuple(points), flanged=(True,) * 5, drain_x=0.0, drain_y=0.0)
    with pytest.raises(DimensionError, match="the floor's outline crosses itself"):
        build(star)
