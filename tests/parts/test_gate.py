"""The gate lets nothing pass that is not the part: each fault here is one that the kernel calls valid."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from parts.catalogue import build
from parts.gate import check_expected, check_solid, one_solid
from parts.kernel import cq
from solver.errors import SolidError
from solver.families.base import FlatPattern, PartDimensions, circle_outline
from tests.parts.examples import BOLTED_STOP, RING


@dataclass(frozen=True)
class Block(PartDimensions):
    """A block whose closed forms are whatever a test says."""

    family = "block"
    title = "block"

    size: tuple[float, float, float]
    stated_volume: float
    blank: float = 0.0

    def problems(self) -> Iterator[str]:
        return iter(())

    @property
    def volume(self) -> float:
        return self.stated_volume

    @property
    def envelope(self) -> tuple[float, float, float]:
        return self.size

    def flat_pattern(self) -> FlatPattern:
        return FlatPattern(self.size[2], (circle_outline(0, 0, self.blank),))


def test_a_good_solid_passes() -> None:
    """The gate is no wall."""
    check_solid(build(RING), RING, flat=True)
    check_solid(build(BOLTED_STOP), BOLTED_STOP)


def test_one_micrometre_is_seen() -> None:
    """A bore that is 1 µm too large is refused by volume."""
    dimensions = Block((30.0, 30.0, 6.0), math.pi * (15**2 - 5**2) * 6)
    ring = cq.Solid.makeCylinder(15, 6).cut(cq.Solid.makeCylinder(5.0005, 6)).Solids()[0]
    assert ring.isValid()
    with pytest.raises(SolidError, match=r"the volume is 3769\.816.* mm³, it must be 3769\.91.* mm³ within"):
        check_solid(ring, dimensions)


def test_bore_larger_than_its_ring() -> None:
    """What is left of a cylinder after a larger bore is nothing, which the kernel calls valid."""
    nothing = cq.Solid.makeCylinder(5, 6).cut(cq.Solid.makeCylinder(6, 6))
    assert nothing.isValid()
    with pytest.raises(SolidError, match="the result is 0 solids"):
        one_solid(nothing)


def test_inside_out() -> None:
    """A solid whose faces look inwards has a negative volume."""
    box = cq.Solid.makeBox(1, 2, 3)
    with pytest.raises(SolidError, match="the volume is -6 mm³, it must be 6 mm³"):
        check_solid(cq.Solid(box.wrapped.Reversed()), Block((1.0, 2.0, 3.0), 6.0))


@pytest.mark.parametrize(
    ("solid", "message"),
    [
        (cq.Solid.makeBox(2, 1, 3), r"the x size is 2 mm, it must be 1 mm within 1e-05 mm"),
        (cq.Solid.makeBox(1, 3, 2), r"the y size is 3 mm, it must be 2 mm"),
        (cq.Solid.makeBox(1, 2, 3, cq.Vector(0, 0, -3)), r"the height of the base is -3 mm, it must be 0 mm"),
    ],
)
def test_turned_or_shifted(solid: cq.Solid, message: str) -> None:
    """The right volume in another place or turned is refused by its box."""
    with pytest.raises(SolidError, match=message):
        check_solid(solid, Block((1.0, 2.0, 3.0), 6.0))


def test_flat_part_with_another_section() -> None:
    """Volume and box of a cone are no excuse when the blank says cylinder."""
    cone = cq.Solid.makeCone(10, 5, 6)
    # π/3 · 6 (100 + 50 + 25) = 350 π; its middle is 7.5 in radius, the blank says 10.
    with pytest.raises(SolidError, match=r"the section area is 176\.7\d* mm², it must be 314\.1\d* mm²"):
        check_solid(cone, Block((20.0, 20.0, 6.0), 350 * math.pi, blank=20.0), flat=True)


@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, -1.0])
def test_senseless_expectations(value: float) -> None:
    """NaN, infinity, zero and less are refused before anything is compared with them."""
    with pytest.raises(SolidError, match=f"the expected volume in mm³ is {value}"):
        check_expected(Block((1.0, 2.0, 3.0), value))
    with pytest.raises(SolidError, match=f"the expected y size in mm is {value}"):
        check_expected(Block((1.0, value, 3.0), 6.0))
