"""A part is made when every check reaches its margin, or when the builder overrides by name and every file says so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.families.rack_spacer import RackSpacerDimensions
from solver.part import REQUIRED_MARGIN, Check, Part, Refusal, Where
from solver.sizing.context import DIMENSION_LIMIT, accepted

RING = RackSpacerDimensions(outside_diameter=25.0, bore_diameter=14.5, thickness=6.0, chamfer=0.5)


def check(name: str, margin: float, required: float = REQUIRED_MARGIN) -> Check:
    """A check with that margin."""
    return Check(name, 100.0, 100.0 * margin, "MPa", "", "", "", Where("kerb"), required)


def part(*checks: Check) -> Part:
    """A spacer with those checks."""
    return Part("rack-spacer-left", RING, 1, "", "", "", (), "carries the car", "", (), checks)


@given(margins=st.lists(st.tuples(st.floats(0.01, 5.0), st.sampled_from((1.0, REQUIRED_MARGIN))), max_size=5))
def test_every_check_must_reach_its_own_margin(margins: list[tuple[float, float]]) -> None:
    """1.2 for a strength, 1.0 for a rule; the refusal names the check that is furthest from its own."""
    checks = [check(f"check {i}", *pair) for i, pair in enumerate(margins)]
    found = accepted(part(*checks))
    short = [pair for pair in margins if pair[0] < pair[1] * (1 - 2e-9)]
    assert isinstance(found, Refusal) == any(c.reserve < 1 - 1e-9 for c in checks)
    if short:
        assert isinstance(found, Refusal)
        least = min(checks, key=lambda c: c.margin / c.required)
        assert least.name == found.limit
        assert f"{least.margin:.2f}" in found.reason


def test_refusal_says_how_to_override() -> None:
    """The key that has the part made all the same is spelled out with the part's own name."""
    found = accepted(part(check("bending", 0.9)))
    assert isinstance(found, Refusal)
    assert '[parts] override = ["rack-spacer-left"]' in found.nearest
    assert "bending is 100 MPa in the case 'kerb', what it bears is 90 MPa" in found.reason


@pytest.mark.parametrize("name", ["rack-spacer-left", "rack-spacer"])
def test_override_by_name_or_family(name: str) -> None:
    """The part is made and carries one sentence for each check that falls short, none for the others."""
    found = accepted(part(check("bending", 0.9), check("bearing", 3.0), check("leg", 0.99, 1.0)), (name,))
    assert isinstance(found, Part)
    assert 2 == len(found.overridden)
    assert found.overridden[0].startswith("bending")
    assert found.overridden[1].startswith("leg")


@pytest.mark.parametrize("name", ["rack-spacer-right", "arm-sleeve", "rack", ""])
def test_other_names_override_nothing(name: str) -> None:
    """Neither another part's name nor a piece of this one's."""
    assert isinstance(accepted(part(check("bending", 0.9)), (name,)), Refusal)


def test_sound_part_is_not_marked() -> None:
    """An override that isn't needed leaves no mark."""
    found = accepted(part(check("bending", 2.0)), ("rack-spacer",))
    assert isinstance(found, Part)
    assert () == found.overridden


def test_dimensions_are_not_to_be_overridden() -> None:
    """What can't be made isn't, whatever the builder says."""
    thin = replace(RING, bore_diameter=24.9)
    found = accepted(replace(part(), dimensions=thin), ("rack-spacer",))
    assert isinstance(found, Refusal)
    assert DIMENSION_LIMIT == found.limit


def test_leg_of_three_sixteenths() -> None:
    """A wall of 3/16 in, worked out from the inch, is as thick as the 4.7625 mm that a rule asks for."""
    leg = Check("leg", 4.7625, 3 * 25.4 / 16, "mm", "", "", "", Where("any"), required=1.0)
    assert leg.reserve < 1.0
    assert isinstance(accepted(part(leg)), Part)


def test_no_demand() -> None:
    """A check without a load has an infinite margin."""
    assert float("inf") == Check("x", 0.0, 1.0, "N", "", "", "", Where("any")).margin
