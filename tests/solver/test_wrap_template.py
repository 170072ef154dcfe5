"""The developed cut of a wrap-round template against hand formulas and against the arm cut by a plane."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.errors import DimensionError
from solver.families.base import outline_area
from solver.families.wrap_template import WrapTemplateDimensions
from tests.parts.examples import FOLDED, WRAP
from tests.parts.strategies import wrap_templates


def test_girth_by_hand() -> None:
    """π (40 + 0.1) round a tube; 2 (32 + 22) and a circle of 4.05 round a rectangular arm; mm."""
    assert 40.1 * math.pi == pytest.approx(WRAP.girth, rel=1e-12)
    assert 108 + 8.1 * math.pi == pytest.approx(FOLDED.girth, rel=1e-12)


@given(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
@settings(max_examples=100)
def test_round_arm_gives_a_sine(share: float, tilt: float) -> None:
    """y = R tan α cos(x / r) round a tube, r in the middle of the paper."""
    rise = 40.0 * tilt
    dimensions = replace(WRAP, cut_rise=rise)
    x = share * dimensions.girth / 2
    assert dimensions.cut_at(x) == pytest.approx(20 * (rise / 40) * math.cos(x / 20.05), abs=1e-9)


@given(wrap_templates(), st.floats(-1.0, 1.0))
@settings(max_examples=100)
def test_a_wrapped_edge_lies_in_one_plane(dimensions: WrapTemplateDimensions, share: float) -> None:
    """Laid round the arm the edge's points are those of a flat cut: y follows the height, on the section's outline."""
    x = share * dimensions.girth / 2
    level, upright = dimensions.section_at(x)
    slope = dimensions.cut_rise / dimensions.arm_height
    assert upright * slope == pytest.approx(dimensions.cut_at(x), abs=1e-9)
    # On the outline: beyond the flats it is a corner's radius from the corner's middle.
    flat, tall = (side / 2 for side in dimensions.flats)
    off = math.hypot(max(abs(level) - flat, 0.0), max(abs(upright) - tall, 0.0))
    assert dimensions.radius == pytest.approx(off, abs=1e-9)


@given(wrap_templates())
@settings(max_examples=100)
def test_ends_meet_and_area_is_closed_form(dimensions: WrapTemplateDimensions) -> None:
    """Both ends are at the underside and of one height; the outline holds the closed form's area."""
    half = dimensions.girth / 2
    assert dimensions.cut_at(half) == pytest.approx(dimensions.cut_at(-half), abs=1e-9)
    (level, upright) = dimensions.section_at(half)
    assert (0.0, -dimensions.arm_height / 2) == pytest.approx((level, upright), abs=1e-9)
    (outline,) = dimensions.flat_pattern().outer
    # Chords over and under the curve are each other's mirror, so they take nothing; rounding is left.
    assert dimensions.volume / dimensions.paper == pytest.approx(outline_area(outline), rel=1e-5)
    xs, ys = [x for x, _, _ in outline], [y for _, y, _ in outline]
    wide, tall, _ = dimensions.envelope
    assert wide == pytest.approx(max(xs) - min(xs), abs=1e-9)
    assert tall == pytest.approx(max(ys) - min(ys), abs=1e-9)


def test_volume_by_hand() -> None:
    """(40.1 π × 90 + 15 × 81) × 0.1: the flap stays 5 mm under a cut that goes 4 mm down."""
    assert 0.1 * (40.1 * math.pi * 90 + 15 * 81) == pytest.approx(WRAP.volume, rel=1e-12)


def test_sleeve_end_by_hand() -> None:
    """75 at the tongues, on top and below; 20/25 of the tongue less at a 40 mm tube's sides under a 50 mm sleeve."""
    half = WRAP.girth / 2
    places = [0.0, half / 2, half]
    assert [-75.0, -55.0, -75.0] == pytest.approx([WRAP.sleeve_at(x) for x in places], abs=1e-9)


def test_folds_are_the_corners() -> None:
    """Four folds, each half way round a corner: 16 and half of a quarter circle of 4.05 from the top."""
    quarter = math.pi / 2 * 4.05
    near, far = 16 + quarter / 2, 16 + quarter * 1.5 + 22
    assert (-far, -near, near, far) == pytest.approx(FOLDED.folds(), rel=1e-12)
    assert () == WRAP.folds()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"cut_rise": 70.0}, r"cut rise 70\.00 mm is above 69\.28 mm \(60° off square"),
        ({"strip": 28.0}, r"strip 28\.00 mm is below 29\.00 mm"),
        ({"arm_height": 41.0}, "a round arm is as wide as high"),
        ({"lap": 4.0}, r"lap 4\.00 mm is below 5\.00 mm"),
        ({"sleeve_width": 39.0}, r"sleeve width 39\.00 mm is below 40\.00 mm"),
        ({"sleeve_valley": 64.0}, r"strip 90\.00 mm is below 94\.00 mm \(the sleeve's end is drawn on it\)"),
        ({"paper": 1.1}, r"paper 1\.10 mm is above 1\.00 mm"),
    ],
)
def test_refusals(change: dict[str, float], message: str) -> None:
    """Out of a limit, the message names dimension, value and limit."""
    with pytest.raises(DimensionError, match=message):
        replace(WRAP, **change).check()
