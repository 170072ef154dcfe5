"""Wheel loads and load transfer against sums by hand, and what an unmeasured car is taken to be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from solver.errors import GeometryError
from solver.loading.cases import table_cases
from solver.loading.inputs import LoadCase, LoadInputs
from solver.loading.vehicle import GRAVITY, vehicle_of
from solver.tables import rows
from tests.solver.cars import REAR, job
from tests.solver.loading.setting import state, vehicle

MEASURED = LoadInputs(
    cog_height=520.0, total_mass=1150.0, roll_share=0.55, grip=1.0, hand_force=200.0, steering_wheel=350.0,
    assistance=1000.0,
)  # fmt: skip


def test_load_transfer_by_hand() -> None:
    """1150 kg, 305 kg a wheel, height 520, wheelbase 2510: m g h / 2 L and a share of m g h / track."""
    car = vehicle(state("rear rack"), MEASURED)
    weight = 1150 * GRAVITY
    assert (305 * GRAVITY, 305 * GRAVITY) == pytest.approx(car.weights)
    assert weight == pytest.approx(car.weight)
    assert weight * 520 / 2510 / 2 == pytest.approx(car.braking_transfer)
    track = state("rear rack").track
    assert 0.55 * weight * 520 / track == pytest.approx(car.cornering_transfer)
    assert 610 * GRAVITY * track / 2 / 520 == pytest.approx(car.tipping_force)


def test_wheel_loads_of_both_wheels_add_up() -> None:
    """In a bend one front wheel gains what the other loses; in braking both gain alike."""
    car = vehicle(state("rear rack"), MEASURED)
    bend, brake = LoadCase("bend", "test", cornering=0.5), LoadCase("brake", "test", braking=0.5)
    inner, outer = car.wheel_load(bend._replace(cornering=-0.5), 0), car.wheel_load(bend, 1)
    assert car.axle_weight == pytest.approx(inner + outer)
    assert car.weights[0] + 0.5 * car.braking_transfer == pytest.approx(car.wheel_load(brake, 0))


def test_lifted_wheel_carries_nothing() -> None:
    """A wheel that would be pulled down by the transfer has lifted."""
    car = vehicle(state("rear rack"), MEASURED._replace(grip=3.0, cog_height=1200.0))
    assert 0.0 == car.wheel_load(LoadCase("bend", "test", cornering=-1.0), 0)


def test_push_along_the_rack() -> None:
    """200 N on a wheel of 350 mm is 35 N m; over 45 mm of rack per turn that is 2π 35 000/45, and 1000 N assistance."""
    car = vehicle(state("rear rack"), MEASURED)
    assert 2 * math.pi * 35_000 / 45 + 1000 == pytest.approx(car.rack_push)


def test_energy_of_a_swing() -> None:
    """Two wheels of 1 kg m² and a steering wheel of 0.04 kg m² at ratio 10, at 90°/s: 7.40 J, in N mm."""
    car = vehicle(state("rear rack"), MEASURED)
    assert 0.5 * (2 + 0.04 * 100) * (math.pi / 2) ** 2 * 1000 == pytest.approx(float(car.swing_energy(10.0)))


def test_what_is_not_measured_is_named() -> None:
    """Every input of the table is there; those given say so, the others carry the table's source."""
    given = vehicle(state("rear rack"), MEASURED).inputs
    usual = vehicle(state("rear rack")).inputs
    assert [row["key"] for row in rows("load_inputs")] == [item.key for item in given]
    assert not any(item.measured for item in usual)
    measured = {item.key for item in given if item.measured}
    assert {"cog_height", "roll_share", "grip", "hand_force", "steering_wheel", "assistance"} <= measured
    assert "front_share" in measured
    for item, row in zip(usual, rows("load_inputs"), strict=True):
        assert (row["source"], float(row["value"])) == (item.source, item.value)


def test_car_lighter_than_its_front_axle() -> None:
    """A total mass below that on the front wheels is refused, with both."""
    heavy = replace(job(REAR), loads=LoadInputs(total_mass=600.0))
    with pytest.raises(GeometryError, match="total_mass is 600 kg, but the front wheels alone carry 610 kg"):
        vehicle_of(heavy, 1500.0, 2500.0, 205.0)


def test_cases_of_the_table() -> None:
    """Each kind of case that builders and inspectors ask for is in the table, with a source and a range of poses."""
    cases = {case.name: case for case in table_cases()}
    for words in (
        "both-wheel bump", "one-wheel bump", "braking", "cornering", "kerb strike at lock", "pothole while braking",
        "parking on dry ground", "slide caught at lock",
    ):  # fmt: skip
        assert any(words in name for name in cases), words
    for case in cases.values():
        assert case.source
        assert -1 <= case.steer[0] <= case.steer[1] <= 1
        assert -1 <= case.travel[0] <= case.travel[1] <= 1
    assert {"at rest", "braking", "cornering, outer wheel", "cornering, inner wheel"} == {
        name for name, case in cases.items() if case.everyday
    }
