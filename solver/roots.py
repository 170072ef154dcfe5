"""Roots of scalar functions, batched.

SciPy has a good solver for this, but its import alone takes longer than everything `locksweep solve` does.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from solver.vectors import Array


def bracketed_root(
    function: Callable[[Array], Array], low: Array, high: Array, steps: int = 60, tolerance: float = 1e-11
) -> Array:
    """Roots of many functions at once, each inside its own bracket.

    Illinois false position, falling back to bisection where a step does not shrink the bracket.
    ``function`` maps an array of abscissas, one per root, to as many values; its signs at ``low`` and
    ``high`` must differ or one of them be zero. The result is NaN where they don't.
    """
    a, b = np.array(low, dtype=float), np.array(high, dtype=float)
    fa, fb = function(a), function(b)
    valid = np.sign(fa) * np.sign(fb) <= 0
    root = np.where(np.abs(fa) < np.abs(fb), a, b)
    for step in range(steps):
        with np.errstate(divide="ignore", invalid="ignore"):
            c = (a * fb - b * fa) / (fb - fa)
        middle = (a + b) / 2
        c = np.where(np.isfinite(c) & (step % 3 != 2), c, middle)
        fc = function(c)
        crossed = np.sign(fc) * np.sign(fb) <= 0
        # Where the new point lies on b's side, a stays and its weight is halved (the Illinois rule).
        fa = np.where(crossed, fb, fa / 2)
        a = np.where(crossed, b, a)
        moved = np.abs(c - root)
        b, fb, root = c, fc, c
        if np.all((moved < tolerance) | (fc == 0) | ~valid):
            break
    return np.where(valid, root, np.nan)


def secant_root(
    function: Callable[[Array], Array], first: Array, second: Array, tolerance: float = 1e-12
) -> Array:
    """Roots of many smooth, nearly straight functions at once, each from two guesses near its root.

    The result is NaN where the steps don't settle within twenty.
    """
    a, b = np.array(first, dtype=float), np.array(second, dtype=float)
    fa, fb = function(a), function(b)
    settled = fb == 0
    for _ in range(20):
        with np.errstate(divide="ignore", invalid="ignore"):
            # A chord without slope gives an infinite step and so no root; a settled root stays where it is.
            move = np.where(settled, 0.0, fb * (b - a) / (fb - fa))
        a, fa, b = np.where(settled, a, b), np.where(settled, fa, fb), b - move
        settled = settled | (np.abs(move) < tolerance)
        if np.all(settled | ~np.isfinite(b)):
            break
        fb = np.where(settled, fb, function(b))
    return np.where(settled, b, np.nan)
