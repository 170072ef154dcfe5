"""What an adjustment is worth: covariance, redundancy, and directions in which a point is not held at all.

Sources: covariance of a weighted least-squares estimate, (JᵀWJ)⁻¹; redundancy numbers and the test of single
residuals after Baarda, as in textbooks on adjustment and network quality (from memory). The bound of the
chi-square distribution is Wilson's and Hilferty's cube-root approximation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.survey.measurement import Network
from solver.vectors import Array

LOOSEST = 50.0
"""mm; a direction known no better than this (one standard deviation) counts as not known at all."""

CRITICAL = 3.29
"""A normalised residual beyond this is taken for a slip: one sound reading in a thousand is, two-sided."""

POWER = 4.13
"""In normalised residuals: the slip that the test at 3.29 finds four times out of five (Baarda's customary pair)."""

LEAST_CHECKED = 0.02
"""Redundancy number from which on a residual tells anything about its reading."""


@dataclass(frozen=True)
class Precision:
    """m measurements, n points.

    covariance: of the coordinates, (3 n, 3 n), mm²; without what is not determined
    free: orthonormal directions that nothing holds, (k, 3 n)
    redundancy: share of each measurement that the others check, (m,), 0 to 1
    normalised: residual over its own standard deviation, (m,); 0 where nothing checks it
    alike: correlation of the normalised residuals, (m, m), absolute
    freedom: measurements more than needed
    """

    covariance: Array
    free: Array
    redundancy: Array
    normalised: Array
    alike: Array
    freedom: int


def precision(network: Network, positions: Array) -> Precision:
    """Covariance and checks at adjusted positions (n, 3)."""
    J = network.jacobian(positions) / network.sigma[:, None]
    left, values, axes = np.linalg.svd(J, full_matrices=True)
    largest = float(values.max(initial=0.0))
    rank = int((values > 1e-9 * max(largest, 1e-12)).sum())
    held = int((values > 1 / LOOSEST).sum())
    scaled = axes[:held] / values[:held, None]
    hat = left[:, :rank] @ left[:, :rank].T
    share = np.eye(len(J)) - hat
    redundancy = np.clip(share.diagonal(), 0.0, 1.0)
    checked = redundancy > LEAST_CHECKED
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    residual = network.misclosures(positions) / network.sigma
    return Precision(
        covariance=scaled.T @ scaled,
        free=axes[held:],
        redundancy=redundancy,
        normalised=np.where(checked, residual / root, 0.0),
        alike=np.where(checked[:, None] & checked, abs(share) / np.outer(root, root), 0.0),
        freedom=len(J) - rank,
    )


def chi_square_bound(freedom: int, normal: float = 3.09) -> float:
    """Bound that a chi-square of so many degrees of freedom stays below, but once in a thousand.

    normal: the same bound of the standard normal distribution; 3.09 is one in a thousand, one-sided
    """
    part = 2 / (9 * freedom)
    return freedom * (1 - part + normal * math.sqrt(part)) ** 3


AXIS_WORDS = ("fore and aft", "across the car", "up and down")


def free_words(free: Array, point: int) -> str:
    """In which direction a point is not held, in words; "" if it is held."""
    block = free[:, 3 * point : 3 * point + 3]
    if not len(block):
        return ""
    _, sizes, axes = np.linalg.svd(block, full_matrices=True)
    count = int((sizes > 0.01).sum())
    if count == 0:
        return ""
    if count == 3:
        return "in every direction"
    if count == 1:
        return _along(axes[0])
    kept = int(np.argmax(abs(axes[2])))
    if abs(axes[2][kept]) > 0.95:
        return " and ".join(word for axis, word in enumerate(AXIS_WORDS) if axis != kept)
    return f"in both directions square to the one {_along(axes[2])}"


def _along(axis: Array) -> str:
    largest = int(np.argmax(abs(axis)))
    if abs(axis[largest]) > 0.95:
        return AXIS_WORDS[largest]
    axis = axis * np.sign(axis[largest])
    ways = (("forward", "back"), ("left", "right"), ("up", "down"))
    parts = [
        f"{abs(share):.2f} {way[0] if share > 0 else way[1]}"
        for share, way in zip(axis, ways, strict=True)
        if abs(share) > 0.1
    ]
    return f"along the line that goes {', '.join(parts)}"
