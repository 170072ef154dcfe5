"""Batched roots against functions whose roots are known."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.roots import bracketed_root, secant_root
from solver.vectors import Array

FUNCTIONS: dict[str, tuple[Callable[[Array], Array], float, float, float]] = {
    # function, bracket, root
    "line": (lambda x: 3 * x - 1, -5.0, 7.0, 1 / 3),
    "cosine": (np.cos, 0.0, 3.0, math.pi / 2),
    "steep": (lambda x: np.exp(8 * x) - 5, -3.0, 3.0, math.log(5) / 8),
    "flat": (lambda x: (x - 0.3) ** 5, -1.0, 4.0, 0.3),
    "falling": (lambda x: 2 - x**3, 0.0, 10.0, 2 ** (1 / 3)),
    "root at low": (lambda x: x, 0.0, 1.0, 0.0),
    "root at high": (lambda x: x - 1, 0.0, 1.0, 1.0),
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_bracketed(name: str) -> None:
    """The root to 1e-10, where a fivefold one is known only to the fifth root of the rounding."""
    function, low, high, root = FUNCTIONS[name]
    found = bracketed_root(function, np.array([low]), np.array([high]))
    assert root == pytest.approx(found[0], abs=1e-3 if name == "flat" else 1e-10)


@given(targets=st.lists(st.floats(-0.99, 0.99), min_size=1, max_size=8))
def test_many_at_once(targets: list[float]) -> None:
    """Each of many functions gets its own root, however many steps its neighbours take."""
    wanted = np.array(targets)
    found = bracketed_root(
        lambda x: np.sin(x) - wanted, np.full(wanted.shape, -math.pi / 2), np.full(wanted.shape, math.pi / 2)
    )
    assert np.arcsin(wanted) == pytest.approx(found, abs=1e-9)


def test_no_change_of_sign() -> None:
    """A bracket without a change of sign gives NaN, and its neighbour still gets its root."""
    found = bracketed_root(lambda x: x**2 - np.array([-1.0, 4.0]), np.zeros(2), np.full(2, 5.0))
    assert np.isnan(found[0])
    assert 2.0 == pytest.approx(found[1], abs=1e-10)


@pytest.mark.parametrize("root", [-3.0, 0.0, 1e-4, 12.5])
def test_secant(root: float) -> None:
    """A nearly straight function is solved to rounding from guesses that are off by half a unit."""
    found = secant_root(
        lambda x: (x - root) * (5 + 0.1 * np.sin(x)), np.array([root + 0.5]), np.array([root - 0.2])
    )
    assert root == pytest.approx(found[0], abs=1e-12)


def test_secant_without_a_root() -> None:
    """A function without a root gives NaN and not its last guess."""
    found = secant_root(lambda x: x**2 + 1, np.array([3.0]), np.array([2.0]))
    assert np.isnan(found[0])
