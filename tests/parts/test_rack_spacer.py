"""The rack spacer's solid against its dimensions."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings

from parts.catalogue import build
from parts.kernel import cq
from solver.errors import DimensionError
from solver.families.rack_spacer import RackSpacerDimensions
from tests.parts.examples import RING
from tests.parts.promises import assert_balanced, assert_keeps_promises
from tests.parts.strategies import rack_spacers


@given(rack_spacers())
@settings(max_examples=200)
def test_any_ring(dimensions: RackSpacerDimensions) -> None:
    """Any ring within its limits is one valid solid of closed-form volume and envelope."""
    assert_balanced(assert_keeps_promises(dimensions), x=0.0, z=dimensions.thickness / 2)


@given(rack_spacers())
@settings(max_examples=50)
def test_flat_pattern_is_the_section(dimensions: RackSpacerDimensions) -> None:
    """The blank's area is that of a cut through the solid at half of its thickness."""
    pattern = dimensions.flat_pattern()
    sheet = cq.Face.makePlane(200, 200, (0, 0, dimensions.thickness / 2), (0, 0, 1))
    section = sheet.intersect(build(dimensions))
    # Plane faces bounded by circles: the kernel's integration is exact to rounding.
    assert pattern.area == pytest.approx(section.Area(), rel=1e-9)


def test_volume_by_hand() -> None:
    """π/4 (30² − 10²) 6 = 1200 π, less two outer chamfers of 44/3 π and two inner ones of 16/3 π."""
    assert 1160 * math.pi == pytest.approx(RING.volume, rel=1e-12)
    assert 1160 * math.pi == pytest.approx(build(RING).Volume(), rel=1e-9)


def test_faces_inside_the_chamfers() -> None:
    """The flat faces that carry the stop load have the area that the load check uses."""
    flat = [face for face in build(RING).Faces() if face.geomType() == "PLANE"]
    # π/4 (28² − 12²) = 160 π
    assert [160 * math.pi] * 2 == pytest.approx([face.Area() for face in flat], rel=1e-9)
    assert 160 * math.pi == pytest.approx(RING.face_area, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"bore_diameter": 31.0}, r"wall -0\.50 mm is below 2\.00 mm"),
        ({"bore_diameter": 30.0}, r"wall 0\.00 mm is below 2\.00 mm"),
        ({"outside_diameter": 81.0}, r"outside diameter 81\.00 mm is above 80\.00 mm"),
        ({"thickness": 0.9}, r"thickness 0\.90 mm is below 1\.00 mm"),
        ({"thickness": 25.1}, r"thickness 25\.10 mm is above 25\.00 mm"),
        ({"chamfer": 2.1}, r"chamfer 2\.10 mm is above 2\.00 mm \(a third of the thickness\)"),
    ],
)
def test_refusals(change: dict[str, float], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        build(replace(RING, **change))
