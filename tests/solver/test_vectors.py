"""Vector helpers against NumPy's own and SciPy's rotations."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from solver.vectors import apply, cross, distinct, dot, length, rotate, rotation_about, rotation_between, unit

numbers = st.floats(-1000, 1000).filter(lambda x: x == 0 or abs(x) > 1e-6)
vectors = st.tuples(numbers, numbers, numbers).map(np.array).filter(lambda v: np.linalg.norm(v) > 1e-3)


@given(a=vectors, b=vectors)
def test_products(a: np.ndarray, b: np.ndarray) -> None:
    """Scalar and vector product, length and unit vector are what NumPy's are, also for arrays of vectors."""
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    assert float(np.dot(a, b)) == pytest.approx(float(dot(a, b)), abs=1e-14 * size)
    assert np.cross(a, b) == pytest.approx(cross(a, b), abs=1e-14 * size)
    assert float(np.linalg.norm(a)) == pytest.approx(float(length(a)), rel=1e-14)
    assert 1.0 == pytest.approx(float(np.linalg.norm(unit(a))), rel=1e-14)
    many = np.stack([[a, b], [b, a]])
    assert np.cross(many, a) == pytest.approx(cross(many, a), abs=1e-13 * (size + float(dot(a, a))))


@given(a=vectors, axis=vectors, angle=st.floats(-3.0, 3.0))
def test_rotation(a: np.ndarray, axis: np.ndarray, angle: float) -> None:
    """Both ways of turning agree with SciPy's rotation vector; 1/(1 + cos) at 3 rad costs two digits."""
    expected = Rotation.from_rotvec(angle * axis / np.linalg.norm(axis)).apply(a)
    tolerance = 1e-13 * float(np.linalg.norm(a))
    assert expected == pytest.approx(rotate(a, unit(axis), np.array(angle)), abs=tolerance)
    assert expected == pytest.approx(
        apply(rotation_about(unit(axis), np.array(angle)), a), abs=10 * tolerance
    )


@given(start=vectors, end=vectors)
def test_least_rotation(start: np.ndarray, end: np.ndarray) -> None:
    """It takes one direction to the other, is a rotation, and leaves what is square to both alone."""
    start, end = unit(start), unit(end)
    if float(dot(start, end)) < -0.99:
        return
    turned = rotation_between(start, end)
    # 1/(1 + cos) is at most a hundred here.
    assert end == pytest.approx(apply(turned, start), abs=1e-13)
    assert np.eye(3) == pytest.approx(turned @ turned.T, abs=1e-12)
    square = np.cross(start, end)
    assert square == pytest.approx(apply(turned, square), abs=1e-13)


@given(st.lists(st.integers(-5, 5), max_size=12))
def test_distinct(values: list[int]) -> None:
    """As numpy.unique has it, whole numbers and none at all included."""
    given_values = np.array(values, dtype=int)
    assert np.unique(given_values).tolist() == distinct(given_values).tolist()
    assert np.unique(given_values / 3).tolist() == distinct(given_values / 3).tolist()
