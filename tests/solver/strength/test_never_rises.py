"""Strength never rises when the load rises or metal goes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from solver.strength.columns import column_strength
from solver.strength.fatigue import allowed_range, life, weld_detail
from solver.strength.impact import impact_force
from solver.strength.materials import UNKNOWN, UnknownMaterialError, material
from solver.strength.plates import plate_frequency
from solver.strength.sections import Section, box, tube
from solver.strength.threads import engagement_needed, joint, strip_strength
from solver.strength.welds import plug_stress, rectangle_weld_stress, round_weld_stress
from solver.tables import rows

sizes = st.floats(15.0, 120.0)
walls = st.floats(1.0, 7.0)
forces = st.floats(0.0, 1e5)
moments = st.floats(0.0, 5e6)
more = st.floats(1.0, 5.0)
less = st.floats(0.3, 1.0)
ROUNDING = 1 + 1e-9


def section_of(shape: str, width: float, height: float, wall: float) -> Section:
    """A tube, round or not."""
    return tube(width, width - 2 * wall) if shape == "round" else box(width, height, wall)


shapes = st.sampled_from(("round", "box"))


@given(
    shape=shapes, width=sizes, height=sizes, wall=walls, n=forces, m=moments, t=moments, more=more, less=less
)
def test_section(
    shape: str,
    width: float,
    height: float,
    wall: float,
    n: float,
    m: float,
    t: float,
    more: float,
    less: float,
) -> None:
    """A thinner wall or more of any load makes no less stress."""
    now = float(section_of(shape, width, height, wall).stress(n, m, t))
    thinner = float(section_of(shape, width, height, wall * less).stress(n, m, t))
    assert now <= thinner * ROUNDING
    for loads in ((n * more, m, t), (n, m * more, t), (n, m, t * more)):
        assert now <= float(section_of(shape, width, height, wall).stress(*loads)) * ROUNDING


@given(shape=shapes, width=sizes, height=sizes, wall=walls, length=st.floats(50, 2000), more=more, less=less)
def test_column(
    shape: str, width: float, height: float, wall: float, length: float, more: float, less: float
) -> None:
    """A longer or softer column, or one of weaker steel, bears no more."""
    section = section_of(shape, width, height, wall)
    now = column_strength(section, length, 355.0, 207.0)
    assert now * ROUNDING >= column_strength(section, length * more, 355.0, 207.0)
    assert now * ROUNDING >= column_strength(section, length, 355.0 * less, 207.0)
    assert now * ROUNDING >= column_strength(section, length, 355.0, 207.0 * less)
    assert now <= section.area * 355.0 * ROUNDING


@given(width=sizes, height=sizes, length=st.floats(50, 2000), less=less)
def test_thinner_solid_column(width: float, height: float, length: float, less: float) -> None:
    """A column with less of everything bears no more."""
    now = column_strength(box(width, height, min(width, height) / 2), length, 355.0, 207.0)
    shrunk = box(width * less, height * less, min(width, height) * less / 2)
    assert now * ROUNDING >= column_strength(shrunk, length, 355.0, 207.0)


@given(leg=st.floats(2, 12), width=sizes, height=sizes, n=forces, m=moments, t=moments, more=more, less=less)
def test_welds(
    leg: float, width: float, height: float, n: float, m: float, t: float, more: float, less: float
) -> None:
    """A smaller leg, a smaller group or more of any load makes no less stress in the throat."""

    def stress(leg: float, width: float, height: float, n: float, m: float, t: float) -> tuple[float, ...]:
        ring = round_weld_stress(leg, width / 2, n, m, t)
        return float(ring), float(rectangle_weld_stress(leg, width, height, n, m, t))

    now = np.array(stress(leg, width, height, n, m, t))
    for worse in (
        (leg * less, width, height, n, m, t),
        (leg, width * less, height * less, n, m, t),
        (leg, width, height, n * more, m, t),
        (leg, width, height, n, m * more, t),
        (leg, width, height, n, m, t * more),
    ):
        assert (now <= np.array(stress(*worse)) * ROUNDING).all()


@given(diameter=st.floats(4, 16), count=st.integers(2, 8), n=forces, more=more, less=less)
def test_plugs(diameter: float, count: int, n: float, more: float, less: float) -> None:
    """Fewer or smaller plugs, or more force, make no less stress."""
    now = float(plug_stress(diameter, count, n))
    assert now <= float(plug_stress(diameter * less, count, n)) * ROUNDING
    assert now <= float(plug_stress(diameter, count - 1, n)) * ROUNDING
    assert now <= float(plug_stress(diameter, count, n * more)) * ROUNDING


@given(
    name=st.sampled_from([row["name"] for row in rows("fatigue_details")]),
    cycles=st.floats(1, 1e8),
    spread=st.floats(1, 500),
    more=more,
)
def test_fatigue(name: str, cycles: float, spread: float, more: float) -> None:
    """More cycles allow no greater range, a greater range no longer life."""
    detail = weld_detail(name)
    assert allowed_range(detail, cycles) >= allowed_range(detail, cycles * more)
    assert life(detail, spread) >= life(detail, spread * more)


@given(
    steady=st.just(0.0) | st.floats(1e-3, 1e5),
    energy=st.floats(0, 1e6),
    stiffness=st.floats(100, 1e5),
    more=more,
)
def test_impact(steady: float, energy: float, stiffness: float, more: float) -> None:
    """More push, more energy or less give makes no softer hit, and none is softer than twice the push."""
    now = float(impact_force(steady, energy, stiffness))
    assert 2 * steady <= now * ROUNDING
    for worse in (
        (steady * more, energy, stiffness),
        (steady, energy * more, stiffness),
        (steady, energy, stiffness * more),
    ):
        assert now <= float(impact_force(*worse)) * ROUNDING


@given(diameter=st.floats(8, 20), pitch=st.floats(1.0, 2.5), engaged=st.floats(2, 40), less=less)
def test_threads(diameter: float, pitch: float, engaged: float, less: float) -> None:
    """Less thread or weaker steel strips no later."""
    now = strip_strength(diameter, pitch, engaged, 200.0)
    assert now * ROUNDING >= strip_strength(diameter, pitch, engaged * less, 200.0)
    assert now * ROUNDING >= strip_strength(diameter, pitch, engaged, 200.0 * less)
    assert 0 < engagement_needed(diameter, pitch) < 2 * diameter


@given(area=st.floats(30, 200), ring=st.floats(30, 800), pull=forces, more=more, less=less)
def test_preloaded_joint(area: float, ring: float, pull: float, more: float, less: float) -> None:
    """More pull is no less in the bolt and takes no less off the clamp; a thinner ring leaves the bolt more of it."""
    held, softer = joint(area, ring, 580.0), joint(area, ring * less, 580.0)
    assert held.in_bolt(pull) <= held.in_bolt(pull * more) * ROUNDING
    assert held.off_clamp(pull) <= held.off_clamp(pull * more) * ROUNDING
    assert held.in_bolt(pull) <= softer.in_bolt(pull) * ROUNDING
    assert pull == pytest.approx(held.in_bolt(pull) + held.off_clamp(pull))


@given(length=st.floats(40, 600), width=st.floats(40, 600), thickness=st.floats(0.5, 4), more=more, less=less)
def test_plates(length: float, width: float, thickness: float, more: float, less: float) -> None:
    """A thinner or larger plate hums no higher."""
    steel = material("S235JR")
    now = plate_frequency(length, width, thickness, steel)
    assert now * ROUNDING >= plate_frequency(length, width, thickness * less, steel)
    assert now * ROUNDING >= plate_frequency(length * more, width, thickness, steel)
    assert now * ROUNDING >= plate_frequency(length, width * more, thickness, steel)


def test_unknown_steel_is_the_weakest() -> None:
    """No steel of the table is weaker than the unknown one, which says of itself what it is."""
    unknown = material(UNKNOWN)
    for row in rows("materials"):
        found = material(row["name"])
        if found.modulus > 150:
            assert unknown.yield_strength <= found.yield_strength
            # Nothing beside a weld: a steel that is not to be welded at all.
            assert unknown.welded_yield <= found.welded_yield or found.welded_yield == 0
            assert unknown.ultimate <= found.ultimate
    assert "the weakest of the candidates" in unknown.said
    assert "S355" == material("S355").said


@given(name=st.text(max_size=20))
def test_other_materials_are_refused(name: str) -> None:
    """A name that the table lacks is an error that lists what it has."""
    known = {row["name"].replace(" ", "").lower() for row in rows("materials")}
    assume(name.replace(" ", "").lower() not in known)
    with pytest.raises(UnknownMaterialError, match=UNKNOWN):
        material(name)
