"""Sections of bars and plates against hand formulas, and the stress that they make."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.strength.sections import box, plate, ribbed_plate, tube

sizes = st.floats(10.0, 120.0)
walls = st.floats(1.0, 20.0)
forces = st.floats(-1e5, 1e5)
moments = st.floats(-5e6, 5e6)


def test_tube() -> None:
    """Ø40/30: 549.8 mm², 85 903 mm⁴; 1 kN m of torsion makes 116.4 MPa, T r / J with J = 2 I."""
    section = tube(40.0, 30.0)
    assert math.pi / 4 * 700 == pytest.approx(section.area)
    assert math.pi / 64 * (40**4 - 30**4) == pytest.approx(section.second_moment)
    shear = 1e6 * 20.0 / (2 * section.second_moment)
    assert 116.4 == pytest.approx(shear, abs=0.05)
    assert math.sqrt(3) * shear == pytest.approx(float(section.stress(0.0, 0.0, 1e6)))


def test_box_bends_about_its_weaker_axis() -> None:
    """60 x 40 x 4: 736 mm², and 182 485 mm⁴ over the 40 mm whichever side is named first."""
    for section in (box(60.0, 40.0, 4.0), box(40.0, 60.0, 4.0)):
        assert 60 * 40 - 52 * 32 == pytest.approx(section.area)
        assert (60 * 40**3 - 52 * 32**3) / 12 == pytest.approx(section.second_moment)
        assert 20.0 == section.fibre
        # Bredt: T = 2 t A τ with the area inside of the wall's middle line, 56 x 36.
        assert 2 * 4.0 * 56 * 36 == pytest.approx(section.twist)


@given(width=sizes, height=sizes)
def test_solid_bar(width: float, height: float) -> None:
    """A wall of half the width is a solid bar, no stronger in torsion than 0.208 b² h."""
    narrow = min(width, height)
    section = box(width, height, narrow / 2)
    assert width * height == pytest.approx(section.area)
    assert 0.208 * narrow**2 * max(width, height) == pytest.approx(section.twist)


def test_ribbed_plate_by_hand() -> None:
    """Plate 50 x 6 with a rib 6 x 24: middle at 8.86 mm, 35 104 mm⁴, far fibre 21.14 mm."""
    section = ribbed_plate(50.0, 6.0, 6.0, 24.0)
    area, web = 300.0, 144.0
    middle = (area * 3 + web * 18) / (area + web)
    second = 50 * 6**3 / 12 + area * (middle - 3) ** 2 + 6 * 24**3 / 12 + web * (18 - middle) ** 2
    assert 444.0 == pytest.approx(section.area)
    assert second == pytest.approx(section.second_moment)
    assert 30.0 - middle == pytest.approx(section.fibre)


@given(width=sizes, thickness=walls, rib=walls, depth=st.floats(0.0, 80.0))
def test_rib_never_weakens(width: float, thickness: float, rib: float, depth: float) -> None:
    """A plate with a rib bears no less bending than the plate alone."""
    bare = plate(width, thickness)
    found = ribbed_plate(width, thickness, rib, depth)
    assert float(found.stress(0.0, 1e5)) <= float(bare.stress(0.0, 1e5)) * (1 + 1e-9)


@given(width=sizes, wall=st.floats(0.5, 5.0), force=forces, moment=moments, torque=moments)
def test_stress_by_distortion_energy(
    width: float, wall: float, force: float, moment: float, torque: float
) -> None:
    """√(σ² + 3 τ²) of the largest normal and the largest shear stress, whatever their signs."""
    section = tube(width, width - 2 * wall)
    normal = abs(force) / section.area + abs(moment) * width / 2 / section.second_moment
    shear = abs(torque) * width / 2 / (2 * section.second_moment)
    assert math.hypot(normal, math.sqrt(3) * shear) == pytest.approx(
        float(section.stress(force, moment, torque)), rel=1e-9
    )
    assert normal >= abs(float(section.edge_stress(force, moment))) * (1 - 1e-9)
