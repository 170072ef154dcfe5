"""Margins of the parts that carry the car: by hand, and never rising when the load rises or metal goes."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import PartChoices
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.bump_stop import BumpStopDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from solver.loading.inputs import LoadCase, LoadInputs
from solver.part import Check, Part
from solver.sizing import arm_sleeve, bump_stop, rack_spacer
from solver.sizing.bracket_checks import BOLTS, bracket_checks
from solver.sizing.context import SizingContext
from solver.sizing.sleeve_checks import sleeve_checks
from solver.strength.materials import UNKNOWN, material
from tests.solver.sizing.setting import ARM, context, only_part, only_refusal

ROUNDING = 1 + 1e-9
STEEL = material("S355")
less = st.floats(0.75, 1.0)


@cache
def usual() -> SizingContext:
    """The car as it is."""
    return context()


@cache
def sleeve() -> Part:
    """Its sleeve."""
    return only_part(arm_sleeve.parts(usual()))


@cache
def bracket() -> Part:
    """Its left stop bracket."""
    return only_part(bump_stop.parts(usual()))


def sleeve_of(part: Part) -> ArmSleeveDimensions:
    """Dimensions of a sleeve."""
    assert isinstance(part.dimensions, ArmSleeveDimensions)
    return part.dimensions


def bracket_of(part: Part) -> BumpStopDimensions:
    """Dimensions of a bracket."""
    assert isinstance(part.dimensions, BumpStopDimensions)
    return part.dimensions


def margins(checks: tuple[Check, ...]) -> dict[str, float]:
    """Margins by the check's name; a check has a name of its own."""
    found = {check.name: check.margin for check in checks}
    assert len(found) == len(checks)
    return found


def no_better(worse: dict[str, float], than: dict[str, float], but: tuple[str, ...] = ()) -> None:
    """No margin has risen."""
    assert worse.keys() == than.keys()
    risen = {name for name in worse if worse[name] > than[name] * ROUNDING} - set(but)
    assert set() == risen


def test_sleeve_by_hand() -> None:
    """Stress of the bare sleeve over the gap is the worst N/A + M c/I there, in all cases, poses and sides."""
    found, loads = sleeve_of(sleeve()), usual().loads.link
    outside, inside = found.outside_width, found.inside_width
    area = math.pi / 4 * (outside**2 - inside**2)
    second = math.pi / 64 * (outside**4 - inside**4)
    worst = 0.0
    for place in np.linspace(240.0, 240.0 + 22.0, 23):
        normal = np.abs(loads.axial(place)) / area + loads.moment(place) * outside / 2 / second
        shear = np.abs(loads.torque(place)) * outside / 2 / (2 * second)
        worst = max(worst, float(np.hypot(normal, math.sqrt(3) * shear).max()))
    check = next(c for c in sleeve().checks if c.name == "stress in the sleeve over the gap")
    assert worst == pytest.approx(check.demand, rel=1e-9)
    assert STEEL.welded_yield == check.capacity


def test_sleeve_takes_the_thinnest_wall_that_will_do() -> None:
    """The next thinner wall falls short somewhere; the one taken nowhere."""
    found = sleeve_of(sleeve())
    walls = [wall for wall in arm_sleeve.WALLS["mm"] if ARM.section.wall <= wall < found.wall]
    for wall in walls:
        thinner = sleeve_checks(usual(), replace(found, wall=wall), STEEL, ARM.section)
        assert any(check.reserve < 1 for check in thinner)
    assert all(check.reserve >= 1 for check in sleeve().checks)


@settings(max_examples=25)
@given(share=less)
def test_sleeve_with_less_metal(share: float) -> None:
    """A thinner wall of the sleeve raises no margin."""
    found = sleeve_of(sleeve())
    thin = sleeve_checks(usual(), replace(found, wall=found.wall * share), STEEL, ARM.section)
    no_better(margins(thin), margins(sleeve().checks))


@settings(max_examples=25)
@given(share=less)
def test_arm_with_less_metal(share: float) -> None:
    """A thinner wall of the arm raises no margin, but of the fillet's leg: thin plate chills a weld less."""
    section = replace(ARM.section, wall=ARM.section.wall * share)
    thin = sleeve_checks(usual(), sleeve_of(sleeve()), STEEL, section)
    no_better(margins(thin), margins(sleeve().checks), but=("leg of the fillet",))


@settings(max_examples=25)
@given(share=less)
def test_smaller_plugs(share: float) -> None:
    """Smaller plugs bear less, and no hole of any size makes the sleeve stronger than none would."""
    found = sleeve_of(sleeve())
    small = replace(found, plug_hole_diameter=found.plug_hole_diameter * share)
    name = "plug welds alone under the arm's pull or push"
    checks = margins(sleeve_checks(usual(), small, STEEL, ARM.section))
    assert checks[name] <= margins(sleeve().checks)[name] * ROUNDING


@settings(max_examples=8)
@given(heavier=st.floats(1.0, 2.0), push=st.floats(1.0, 4.0))
def test_more_load(heavier: float, push: float) -> None:
    """A heavier car whose driver pulls harder has no margin that is greater, in sleeve, bracket and spacer."""
    loaded = context(LoadInputs(assistance=0.0, hand_force=250.0 * push), heavier)
    section, found = ARM.section, sleeve_of(sleeve())
    no_better(margins(sleeve_checks(loaded, found, STEEL, section)), margins(sleeve().checks))
    hit = bracket_checks(loaded, bracket_of(bracket()), STEEL, "left", None)
    no_better(margins(hit), margins(bracket().checks))
    ring = RackSpacerDimensions(25.0, 14.5, 8.0, 0.5)
    before, after = (rack_spacer.ring_checks(c, ring, material("42CrMo4+QT")) for c in (usual(), loaded))
    no_better(margins(after), margins(before))


def test_twice_the_car_is_twice_the_stress() -> None:
    """Where no hit and no hand are in it, load follows weight: fatigue of a car twice as heavy has half the margin."""
    twice = context(heavier=2.0)
    once, double = (
        margins(sleeve_checks(c, sleeve_of(sleeve()), STEEL, ARM.section)) for c in (usual(), twice)
    )
    for name in once:
        if name.startswith("fatigue"):
            assert once[name] / 2 == pytest.approx(double[name], rel=1e-9)


@settings(max_examples=20)
@given(share=less, bolted=st.booleans())
def test_bracket_with_less_metal(share: float, bolted: bool) -> None:
    """Thinner plate in the same shape, or a smaller pad, raises no margin of a bracket."""
    found = bracket_of(bracket())
    if bolted:
        found = replace(found, bolt_hole_diameter=11.0, bolt_pitch=24.0, mount_x=found.mount_x + 10)
    bolt = BOLTS[0] if bolted else None
    before = margins(bracket_checks(usual(), found, STEEL, "left", bolt))
    # In the same shape: what is above the plate stays as high above it.
    t = found.thickness * (1 - share)
    thin = replace(found, thickness=found.thickness - t, pad_diameter=found.pad_diameter * share)
    after = margins(bracket_checks(usual(), thin, STEEL, "left", bolt))
    no_better(after, before, but=("weld of the gusset",))


def test_bracket_of_bolts_looks_at_bolts() -> None:
    """A bolted bracket is checked for its bolts with prying, for the base at them and for bearing, no weld round it."""
    found = replace(bracket_of(bracket()), bolt_hole_diameter=11.0, bolt_pitch=24.0)
    names = [check.name for check in bracket_checks(usual(), found, STEEL, "left", BOLTS[0])]
    assert "tension in each bolt, prying and shear included" in names
    assert "bending of the base at the bolts" in names
    assert "bearing of the bolts in the base" in names
    assert "stress in the weld round the base" not in names


def test_bracket_takes_the_hardest_hit() -> None:
    """Every check of it is at the hardest of all hits at its side's lock."""
    force = float(usual().hits["left"].pad.max())
    assert force > 0
    for check in bracket().checks:
        assert f"F = {force / 1000:.1f} kN" in check.inputs
        assert check.where.hit
        assert "left" == check.where.side


def test_knuckle_of_a_pad_is_the_weakest_steel() -> None:
    """Nobody knows the knuckle's steel: the weakest stands for it, and the check says so."""
    check = next(c for c in bracket().checks if c.name == "bearing of the pad")
    assert material(UNKNOWN).yield_strength == check.capacity
    assert "the weakest of the candidates" in check.inputs


def test_arm_of_unknown_steel() -> None:
    """An arm nobody knows the steel of is taken as the weakest, said so, and has no greater margin anywhere."""
    section = replace(ARM.section, material=UNKNOWN)
    checks = sleeve_checks(usual(), sleeve_of(sleeve()), STEEL, section)
    no_better(margins(checks), margins(sleeve().checks))
    assert "the weakest of the candidates" in next(c.inputs for c in checks if c.name.startswith("buckling"))


def test_spacer_by_hand() -> None:
    """Preload and the hit at the rack's stop over the ring's face, against yield."""
    part = only_part(rack_spacer.parts(usual()))
    ring = part.dimensions
    assert isinstance(ring, RackSpacerDimensions)
    stud = math.pi / 4 * (14.0 - 0.9382 * 1.5) ** 2
    flat = ring.outside_diameter - 2 * ring.chamfer, ring.bore_diameter + 2 * ring.chamfer
    face = math.pi / 4 * (flat[0] ** 2 - flat[1] ** 2)
    hit = usual().rack_stop[0]
    check = part.checks[0]
    assert (0.75 * 580.0 * stud + hit) / face == pytest.approx(check.demand, rel=1e-9)
    assert 750.0 == check.capacity


@settings(max_examples=25)
@given(share=less)
def test_spacer_with_less_metal(share: float) -> None:
    """A smaller ring raises no margin, but that against separation: what is softer is unloaded less by a pull."""
    ring = RackSpacerDimensions(25.0, 14.5, 8.0, 0.5)
    small = replace(ring, outside_diameter=14.5 + share * 10.5)
    steel = material("42CrMo4+QT")
    before, after = (margins(rack_spacer.ring_checks(usual(), r, steel)) for r in (ring, small))
    no_better(after, before, but=("separation of the joint",))


def test_own_case_counts() -> None:
    """A case of the builder's that is worse than all others is what a check names."""
    own = LoadCase("jump", "given in the job file", vertical=9.0, strike_rearward=9.0)
    loaded = context(LoadInputs(assistance=0.0, cases=(own,)))
    checks = sleeve_checks(loaded, sleeve_of(sleeve()), STEEL, ARM.section)
    assert "jump" == next(c.case for c in checks if c.name == "stress in the sleeve over the gap")
    assert any(check.margin < 1 for check in checks)


def test_override_makes_the_strongest() -> None:
    """Where no wall will do, an override has the thickest made, with what falls short in its own words."""
    own = LoadCase("jump", "given in the job file", vertical=9.0, strike_rearward=9.0)
    loads = LoadInputs(assistance=0.0, cases=(own,))
    refused = only_refusal(arm_sleeve.parts(context(loads)))
    assert "override" in refused.nearest
    made = only_part(arm_sleeve.parts(context(loads, choices=PartChoices(override=("arm-sleeve",)))))
    assert max(arm_sleeve.WALLS["mm"]) == sleeve_of(made).wall
    assert made.overridden
    assert all("jump" in sentence or "what it bears" in sentence for sentence in made.overridden)


@pytest.mark.parametrize("name", ["42CrMo4+QT", "C45+N", "6061-T6"])
def test_what_is_not_to_be_welded(name: str) -> None:
    """A sleeve or bracket of hardened steel or light metal is refused, overridden or not."""
    choices = PartChoices(sleeve_material=name, bracket_material=name, override=("arm-sleeve", "bump-stop"))
    for refused in (only_refusal(rule.parts(context(choices=choices))) for rule in (arm_sleeve, bump_stop)):
        assert f"{name} is not to be welded" in refused.reason
        assert "S355" in refused.nearest


def test_every_check_shows_its_working() -> None:
    """Formula, source, inputs and case stand with every check of every part."""
    for part in (sleeve(), bracket(), only_part(rack_spacer.parts(usual()))):
        assert part.loads
        assert part.assumptions
        assert part.not_assessed
        assert part.inspection.after_first_run
        for check in part.checks:
            assert all((check.formula, check.source, check.inputs, check.case)), check.name
        assert 0 == len({f.name for f in fields(Part)} & {"safe"})


def test_refused_bracket_says_what_would_help() -> None:
    """Of all plates the thickest that has room is told, with what a builder can do about it."""
    refused = only_refusal(bump_stop.parts(context(attachment="bolt")))
    assert "bending of the base at the bolts" == refused.limit
    assert "a welded bracket for a bolted one" in refused.nearest
    assert 'override = ["bump-stop-left"]' in refused.nearest
    made = bump_stop.parts(context(attachment="bolt", choices=PartChoices(override=("bump-stop",))))
    assert all(isinstance(part, Part) and part.overridden for part in made)
