"""A scan put on the car by named points: found again whatever its place and unit, refused where it can't be right."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from solver.body.placement import UNITS, Placement, fit_placement
from solver.errors import GeometryError
from solver.vectors import Array, length

CAR = np.array([[-380, 500, 420], [380, 520, 350], [10, 480, 690], [-300, 690, 520], [200, 700, 610.0]])
NAMES = ("seam", "bolt", "strut top", "lip", "clip")


def scanned(car: Array, seed: int, unit: float = 1.0) -> tuple[Array, Rotation, Array]:
    """Points of the car as some scanner has them, in a unit of so many mm."""
    rng = np.random.default_rng(seed)
    turn = Rotation.random(random_state=seed % 2**32)
    shift = rng.uniform(-3000, 3000, 3)
    points: Array = turn.inv().apply(car - shift) / unit
    return points, turn, shift


@given(
    seed=st.integers(0, 2**31),
    unit=st.sampled_from(sorted(UNITS)),
    count=st.integers(3, 5),
    told=st.booleans(),
)
def test_found_again(seed: int, unit: str, count: int, told: bool) -> None:
    """Without errors the placement is exact, and its unit is recognised or agrees with the one given."""
    scan, turn, shift = scanned(CAR[:count], seed, UNITS[unit])
    found = fit_placement(NAMES[:count], scan, CAR[:count], unit if told else None)
    assert unit == found.unit
    assert UNITS[unit] == pytest.approx(found.scale_found, rel=1e-9)
    assert turn.as_matrix() == pytest.approx(found.rotation, abs=1e-9)
    assert CAR[:count] == pytest.approx(found.place(scan), abs=1e-6)
    others = np.random.default_rng(seed).uniform(-900, 900, (5, 3))
    assert others == pytest.approx(found.place(turn.inv().apply(others - shift) / UNITS[unit]), abs=1e-5)
    assert length(found.residuals).max() < 1e-6
    assert 1.0 == pytest.approx(float(np.linalg.det(found.rotation)), abs=1e-12)


@given(seed=st.integers(0, 2**31), error=st.floats(0.1, 4.0))
def test_residuals_are_reported(seed: int, error: float) -> None:
    """With tape errors every point's residual is what the placed scan is off by, and their sum has no mean."""
    rng = np.random.default_rng(seed)
    scan, _, _ = scanned(CAR, seed, 25.4)
    car = CAR + error * rng.uniform(-1, 1, CAR.shape)
    found = fit_placement(NAMES, scan, car)
    assert found.place(scan) - car == pytest.approx(found.residuals, abs=1e-6)
    assert found.residuals.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-6)
    # Least squares: no other rigid placement is nearer, SciPy's included.
    best = Rotation.align_vectors(car - car.mean(axis=0), 25.4 * (scan - scan.mean(axis=0)))[1]
    assert best == pytest.approx(float(np.sqrt((found.residuals**2).sum())), abs=1e-4)


@pytest.mark.parametrize(("is_in", "told"), [("in", "mm"), ("m", "mm"), ("mm", "in"), ("cm", "in")])
def test_a_wrong_unit_is_named(is_in: str, told: str) -> None:
    """A file said to be in one unit and being in another is refused, and the right one is told."""
    scan, _, _ = scanned(CAR, 3, UNITS[is_in])
    with pytest.raises(GeometryError, match=rf"said to be in {told}, but .* it is in {is_in}\. Write units"):
        fit_placement(NAMES, scan, CAR, told)


def test_no_unit_at_all() -> None:
    """A scale that is no unit's is refused with the number and the nearest unit."""
    scan, _, _ = scanned(CAR, 4, 14.0)
    with pytest.raises(
        GeometryError, match=r"one unit of the scan is 14 mm on the car, which is no unit .* cm, is 40 %"
    ):
        fit_placement(NAMES, scan, CAR)


@pytest.mark.parametrize("where", ["scan", "car"])
def test_collinear_points(where: str) -> None:
    """Points on one line, on the car or on the scan, hold nothing and are refused with what to do."""
    line = np.array([[0, 500, 300], [100, 500, 301], [200, 500, 302], [390, 500, 304.0]])
    scan, car = (line, CAR[:4]) if where == "scan" else (CAR[:4], line)
    with pytest.raises(
        GeometryError, match=rf"lie on one line on the {where}: .*pick one more point well off"
    ):
        fit_placement(NAMES[:4], scan, car)


def test_one_point_that_does_not_fit_is_named() -> None:
    """With five points the one that is 60 mm off is told by name, and what the others would do without it."""
    for culprit in range(5):
        scan, _, _ = scanned(CAR, 9, 1000.0)
        car = CAR.copy()
        car[culprit] += [60.0, 0.0, 0.0]
        with pytest.raises(
            GeometryError, match=rf"without '{NAMES[culprit]}' the others fit: pick or measure"
        ):
            fit_placement(NAMES, scan, car)


def test_three_points_that_do_not_fit() -> None:
    """With three nobody can be blamed; the advice is a fourth."""
    car = CAR[:3].copy()
    car[0] += [0.0, 25.0, -10.0]
    scan, _, _ = scanned(CAR[:3], 5)
    with pytest.raises(GeometryError, match="add a fourth: with three no single one can be blamed"):
        fit_placement(NAMES[:3], scan, car, tolerance=3.0)
    assert 3.0 < length(fit_placement(NAMES[:3], scan, car, tolerance=30.0).residuals).max() < 30.0


def test_a_mirrored_scan_is_recognised() -> None:
    """A scanner's mirrored export fits nowhere, and the message says mirrored."""
    scan, _, _ = scanned(CAR, 6)
    with pytest.raises(GeometryError, match="the scan is mirrored"):
        fit_placement(NAMES, scan * [1, -1, 1], CAR)


def test_too_few_or_the_same() -> None:
    """Two points, a point twice, and a point that is no number are each refused."""
    scan, _, _ = scanned(CAR, 7)
    with pytest.raises(GeometryError, match="2 placement points"):
        fit_placement(NAMES[:2], scan[:2], CAR[:2])
    twice = scan.copy()
    twice[3] = twice[0]
    with pytest.raises(GeometryError, match="'seam' and 'lip' are one and the same on the scan"):
        fit_placement(NAMES, twice, CAR)
    scan[0, 0] = np.nan
    with pytest.raises(GeometryError, match="is no number"):
        fit_placement(NAMES, scan, CAR)


def monte_carlo(points: Array, sigma: float, count: int) -> tuple[Placement, Array]:
    """Places of points by placements with random errors of the car's points, (count, k, 3), and one without."""
    rng = np.random.default_rng(11)
    scan, turn, shift = scanned(CAR, 12)
    local = turn.inv().apply(points - shift)
    found = [fit_placement(NAMES, scan, CAR + sigma * rng.standard_normal(CAR.shape)) for _ in range(count)]
    return fit_placement(NAMES, scan, CAR), np.stack([one.place(local) for one in found])


def test_uncertainty_by_drawing() -> None:
    """How far a place may be off is what a thousand placements with 2 mm of error scatter by, near and far."""
    points = np.array([[0.0, 600, 500], [-900, 700, 100], [300, 500, 690]])
    exact, drawn = monte_carlo(points, 2.0, 1000)
    assert 2.0 == exact.sigma
    for way in np.eye(3):
        told = exact.uncertainty(points, np.tile(way, (3, 1)))
        # A thousand draws know a standard deviation to 2.2 %, three of that.
        assert (drawn @ way).std(axis=0) == pytest.approx(told, rel=0.07)


@given(st.integers(0, 2**31))
def test_any_three_points_well_apart_will_do(seed: int) -> None:
    """Three random points of a car's size place a scan exactly, unless they are near one line."""
    rng = np.random.default_rng(seed)
    car = rng.uniform(-700, 700, (3, 3))
    sizes = np.linalg.svd(car - car.mean(axis=0))[1]
    assume(sizes[1] > 80)
    scan, _, _ = scanned(car, seed, 10.0)
    assert car == pytest.approx(fit_placement(NAMES[:3], scan, car).place(scan), abs=1e-6)
