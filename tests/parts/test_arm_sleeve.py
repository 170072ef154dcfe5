"""The arm sleeve's solid against its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from scipy.integrate import quad

from parts import measure
from parts.catalogue import build
from parts.kernel import cq
from solver.errors import DimensionError
from solver.families.arm_sleeve import ArmSleeveDimensions
from tests.parts.examples import RECTANGULAR_SLEEVE, ROUND_SLEEVE
from tests.parts.promises import VOLUME, assert_balanced, assert_keeps_promises
from tests.parts.strategies import arm_sleeves


@given(arm_sleeves("round"))
@settings(max_examples=100)
def test_any_round_sleeve(dimensions: ArmSleeveDimensions) -> None:
    """Any round sleeve within its limits is one valid solid of closed-form volume and envelope."""
    assert_balanced(assert_keeps_promises(dimensions), x=0.0, z=dimensions.length / 2)


@given(arm_sleeves("rectangular"))
@settings(max_examples=150)
def test_any_rectangular_sleeve(dimensions: ArmSleeveDimensions) -> None:
    """Any rectangular sleeve within its limits is one valid solid of closed-form volume and envelope."""
    assert_balanced(assert_keeps_promises(dimensions), x=0.0, z=dimensions.length / 2)


def test_round_volume_by_hand() -> None:
    """Tube 24/20 with ends sloping 1 : 1, less eight holes through one wall each."""
    # Length 20 + 2·40 + 2·24 = 148; each end takes off ∫|x| dA = 4/3 (24³ − 20³).
    tube = math.pi * (24**2 - 20**2) * 148 - 2 * 4 / 3 * (24**3 - 20**3)
    # A hole of radius 5: chord along the tube times depth of the wall, over the hole's width.
    hole, _ = quad(
        lambda s: 2 * math.sqrt(25 - s**2) * (math.sqrt(576 - s**2) - math.sqrt(400 - s**2)), -5, 5
    )
    assert tube - 8 * hole == pytest.approx(ROUND_SLEEVE.volume, rel=1e-9)
    assert tube - 8 * hole == pytest.approx(measure.volume(build(ROUND_SLEEVE)), rel=VOLUME)


def test_rectangular_volume_by_hand() -> None:
    """Tube 48 × 38 outside, 40 × 30 inside, corners 6 and 2, ends sloping 1 : 1, four holes of 10."""

    def half_depth(width: float, height: float, radius: float, x: float) -> float:
        """Of the section at x, from its middle."""
        into_corner = max(0.0, x - (width / 2 - radius))
        return height / 2 - radius + math.sqrt(radius**2 - into_corner**2)

    # At each x the sleeve is 148 − 2 x long; integrate that over the section, piece by piece.
    outer = sum(quad(lambda x: (148 - 2 * x) * half_depth(48, 38, 6, x), *p)[0] for p in ((0, 18), (18, 24)))
    inner = sum(quad(lambda x: (148 - 2 * x) * half_depth(40, 30, 2, x), *p)[0] for p in ((0, 18), (18, 20)))
    volume = 4 * (outer - inner) - 4 * math.pi * 5**2 * 4
    assert volume == pytest.approx(RECTANGULAR_SLEEVE.volume, rel=1e-9)
    assert volume == pytest.approx(measure.volume(build(RECTANGULAR_SLEEVE)), rel=VOLUME)


@pytest.mark.parametrize("dimensions", [ROUND_SLEEVE, RECTANGULAR_SLEEVE], ids=lambda d: d.shape)
def test_fish_mouths(dimensions: ArmSleeveDimensions) -> None:
    """Each end's tongues stand at x = 0 and its valleys at the sides, on planes of the same slope."""
    solid = build(dimensions)
    ends = [
        f for f in solid.Faces() if f.geomType() == "PLANE" and abs(f.normalAt().x * f.normalAt().z) > 0.1
    ]
    # Slope 24/24: all normals at 45° to the axis. Above x = 0 a corner splits left from right.
    assert {(1, 1), (1, -1), (-1, 1), (-1, -1)} == {
        (round(n.x * math.sqrt(2)), round(n.z * math.sqrt(2))) for n in (f.normalAt() for f in ends)
    }
    for half in (1, -1):
        probe = cq.Solid.makeBox(
            0.2, 200, 300, cq.Vector(half * dimensions.outside_width / 2 - 0.1, -100, -50)
        )
        reach = measure.box(solid.intersect(probe))
        # At a side the tube runs from valley to valley; 0.1 mm inside of it the slope adds 0.1 mm.
        assert dimensions.tongue == pytest.approx(reach.low[2], abs=0.11)
        assert dimensions.tongue + dimensions.valley_length == pytest.approx(reach.high[2], abs=0.11)


@pytest.mark.parametrize(("count", "holes"), [(2, 4), (4, 8)])
def test_plug_holes_lie_where_they_are_dimensioned(count: int, holes: int) -> None:
    """Each hole goes through one wall, at its distance from the arm's cut end."""
    dimensions = replace(RECTANGULAR_SLEEVE, plug_holes_per_end=count)
    walls = [f for f in build(dimensions).Faces() if f.geomType() == "CYLINDER"]
    drilled = [f for f in walls if len(f.Edges()) == 3 and abs(f.Area() - math.pi * 10 * 4) < 1e-3]
    assert holes == len(drilled)
    cut_end = 24 + 40
    # 0.6 (40 + 24) = 38.4 in the tongue; 0.4 · 40 = 16 at the side
    heights = {round(f.Center().z, 3) for f in drilled}
    expected = {cut_end - 38.4, 148 - cut_end + 38.4} | (
        {cut_end - 16, 148 - cut_end + 16} if count == 4 else set()
    )
    assert {round(z, 3) for z in expected} == heights


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"wall": 1.9}, r"wall 1\.90 mm is below 2\.00 mm"),
        ({"wall": 10.5}, r"wall 10\.50 mm is above 10\.00 mm"),
        ({"inside_height": 41.0}, "inside width and height of a round sleeve differ"),
        ({"inside_corner_radius": 1.0}, "a round sleeve has no corner radius"),
        ({"inside_width": 11.0, "inside_height": 11.0}, r"inside width 11\.00 mm is below 12\.00 mm"),
        ({"shape": "oval"}, "shape is 'oval', it must be round or rectangular"),
        ({"overlap": 39.0}, r"overlap 39\.00 mm is below 40\.00 mm \(one width of the arm"),
        ({"tongue": 11.9}, r"tongue 11\.90 mm is below 12\.00 mm"),
        ({"tongue": 48.1}, r"tongue 48\.10 mm is above 48\.00 mm"),
        ({"plug_hole_diameter": 17.0}, r"plug hole diameter 17\.00 mm is above 16\.00 mm"),
        ({"plug_holes_per_end": 3}, "plug holes per end is 3, it must be 2 or 4"),
    ],
)
def test_refusals(change: dict[str, Any], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        build(replace(ROUND_SLEEVE, **change))
