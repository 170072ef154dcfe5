"""What every family's solid is held against, whatever its dimensions."""

from __future__ import annotations

import math

import pytest

from parts import measure
from parts.catalogue import build
from parts.kernel import cq
from solver.families.base import PartDimensions

VOLUME = 1e-8
"""Relative. The finer integration agrees to 1e-11, and to 1e-9 where two cylinders cross."""

BOX = 1e-6
"""mm. Exact to rounding on planes; the kernel's edge tolerance of 1e-7 mm shows on curved faces."""


def assert_keeps_promises(dimensions: PartDimensions) -> cq.Solid:
    """One valid solid, with closed-form volume and envelope, its base on z = 0."""
    solid = build(dimensions)
    assert type(solid) is cq.Solid
    assert solid.isValid()
    assert dimensions.volume == pytest.approx(measure.volume(solid), rel=VOLUME)
    bounds = measure.box(solid)
    assert dimensions.envelope == pytest.approx(bounds.size, abs=BOX)
    assert bounds.low[2] == pytest.approx(0.0, abs=BOX)
    return solid


def assert_balanced(
    solid: cq.Solid, *, x: float | None = None, y: float = 0.0, z: float | None = None
) -> None:
    """The centroid lies in the part's planes of symmetry, so no feature sits on one side only; mm."""
    for expected, found in zip((x, y, z), measure.volume_and_centroid(solid)[1], strict=True):
        if expected is not None:
            assert expected == pytest.approx(found, abs=1e-5)


def bend_surplus(thickness: float, k_factor: float, angle: float = math.pi / 2) -> float:
    """What a bend has in volume over its blank, mm³ per mm of bend.

    The share of a tube A/2 ((r + t)² − r²) less the blank's A (r + K t) t leaves A t² (1/2 − K).
    """
    return angle * thickness**2 * (0.5 - k_factor)
