"""The bump-stop bracket's solid and blank against its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings

from parts import measure
from parts.catalogue import build
from solver.errors import DimensionError
from solver.families.base import outline_area
from solver.families.bump_stop import BumpStopDimensions
from tests.parts.examples import BOLTED_STOP, WELDED_STOP
from tests.parts.promises import VOLUME, assert_balanced, assert_keeps_promises, bend_surplus
from tests.parts.strategies import bump_stops


@given(bump_stops())
@settings(max_examples=200)
def test_any_bracket(dimensions: BumpStopDimensions) -> None:
    """Any bracket within its limits is one valid solid of closed-form volume and envelope."""
    assert_balanced(assert_keeps_promises(dimensions))


@given(bump_stops())
@settings(max_examples=200)
def test_blank_holds_the_metal(dimensions: BumpStopDimensions) -> None:
    """Blank times thickness is the bracket without its pad, but for what the K-factor takes from the bend."""
    pad = math.pi / 4 * dimensions.pad_diameter**2 * dimensions.pad_thickness
    surplus = bend_surplus(dimensions.thickness, dimensions.k_factor) * dimensions.width
    blank = dimensions.flat_pattern().area * dimensions.thickness
    assert dimensions.volume - pad - surplus == pytest.approx(blank, rel=1e-9)  # both in closed form


def test_volume_by_hand() -> None:
    """Flats 60·5·(50 + 40), bend 1125 π, gusset 2000, pad 500 π, holes −250 π, corners −(4 − π) 500."""
    volume = 27000 + 1125 * math.pi + 2000 + 500 * math.pi - 250 * math.pi - (4 - math.pi) * 500
    assert volume == pytest.approx(BOLTED_STOP.volume, rel=1e-12)
    assert volume == pytest.approx(measure.volume(build(BOLTED_STOP)), rel=VOLUME)


def test_blank_by_hand() -> None:
    """60 (90 + 3.5 π), less corners (4 − π) 100 and holes 50 π, and the gusset's 400."""
    allowance = math.pi / 2 * (5 + 0.4 * 5)
    area = 60 * (50 + allowance + 40) - (4 - math.pi) * 100 - 50 * math.pi + 400
    assert area == pytest.approx(BOLTED_STOP.flat_pattern().area, rel=1e-12)


def test_pad_and_gusset_lie_where_they_are_dimensioned() -> None:
    """The pad's face stands at its reach and height, the gusset runs to both ends when it may."""
    solid = build(WELDED_STOP)
    pad = max(solid.Faces(), key=lambda face: face.Center().x)
    assert (55.0, 0.0, 30.0) == pytest.approx(pad.Center().toTuple(), abs=1e-9)
    assert 55.0 - 20.0 == WELDED_STOP.reach
    slope = [
        f for f in solid.Faces() if f.geomType() == "PLANE" and abs(f.normalAt().x * f.normalAt().z) > 0.4
    ]
    # The long edge runs over 45 by 45 mm, the snipe over 5 by 5 mm, both 5 mm thick.
    assert sorted(5 * side * math.sqrt(2) for side in (45, 5)) == pytest.approx(
        sorted(f.Area() for f in slope), rel=1e-9
    )
    long_edge = max(slope, key=lambda face: face.Area())
    # From (0, 5) to (45, 50), half way up.
    assert (22.5, 0.0, 27.5) == pytest.approx(long_edge.Center().toTuple(), abs=1e-9)


def test_bolt_holes_lie_where_they_are_dimensioned() -> None:
    """Two holes of 10 through the base, 20 from its free end and 30 apart, in solid and blank alike."""
    drilled = [
        face
        for face in build(BOLTED_STOP).Faces()
        if face.geomType() == "CYLINDER" and face.Area() == pytest.approx(math.pi * 10 * 5)
    ]
    places = sorted((round(f.Center().x, 6), round(f.Center().y, 6), round(f.Center().z, 6)) for f in drilled)
    assert [(20.0, -15.0, 2.5), (20.0, 15.0, 2.5)] == places
    middles = sorted(
        (sum(x for x, _, _ in hole) / 2, hole[0][1]) for hole in BOLTED_STOP.flat_pattern().inner
    )
    assert [(20.0, -15.0), (20.0, 15.0)] == middles


def test_outlines_run_counter_clockwise() -> None:
    """Plate and gusset both have a positive area, so their sum is no accident."""
    pattern = BOLTED_STOP.flat_pattern()
    assert all(outline_area(outline) > 0 for outline in pattern.outer + pattern.inner)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"width": 19.0, "pad_diameter": 10.0}, r"width 19\.00 mm is below 20\.00 mm"),
        ({"bend_radius": 4.0}, r"bend radius 4\.00 mm is below 5\.00 mm"),
        ({"corner_radius": 20.5}, r"corner radius 20\.50 mm is above 20\.00 mm"),
        ({"base_flat": 38.0, "corner_radius": 19.5}, r"corner radius 19\.50 mm is above 19\.00 mm"),
        ({"gusset_snipe": 4.0}, r"gusset snipe 4\.00 mm is below 5\.00 mm"),
        ({"gusset_base": 56.0}, r"gusset base 56\.00 mm is above 55\.00 mm"),
        ({"pad_height": 19.0}, r"lower edge of the pad 9\.00 mm is below 10\.00 mm"),
        ({"pad_height": 41.0}, r"upper edge of the pad 51\.00 mm is above 50\.00 mm"),
        ({"bolt_pitch": 31.0}, r"bolt hole to the side 14\.50 mm is below 15\.00 mm"),
        ({"bolt_hole_diameter": 0.0}, "a welded bracket has no bolt pitch"),
        ({"bolt_hole_diameter": -1.0}, r"bolt hole -1\.00 mm is below 0\.00 mm"),
        ({"k_factor": 0.6}, r"K-factor 0\.6 is outside of 0 to 0\.5"),
        (
            {"corner_radius": 20.0, "mount_x": 15.0},
            r"bolt hole to the rounded corner 12\.93 mm is below 15\.00 mm",
        ),
    ],
)
def test_refusals(change: dict[str, float], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        build(replace(BOLTED_STOP, **change))
