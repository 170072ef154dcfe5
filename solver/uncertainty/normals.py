"""Numbers of a normal distribution, spread evenly: the same ones on every run."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np

from solver.vectors import Array

SEED = 8855
"""Any number would do; it is fixed so that the same job gives the same answer."""


def even_normals(count: int, dimensions: int, seed: int = SEED) -> Array:
    """Independent standard normal numbers, (count, dimensions): a Latin hypercube of equally likely slices.

    In each dimension there is one number from the middle of each of ``count`` slices of equal probability, in an
    order of its own (McKay, Beckman and Conover 1979, from memory). What depends on the numbers one by one is then
    averaged far better than by as many independent draws, and nothing is worse.
    """
    normal = NormalDist()
    slices = np.array([normal.inv_cdf((i + 0.5) / count) for i in range(count)])
    # The last bits of the slices' variance, so that a standard deviation is what was stated.
    if count > 1:
        slices /= np.sqrt(np.mean(slices**2))
    drawn = np.random.default_rng(seed).permuted(np.broadcast_to(slices, (dimensions, count)), axis=1)
    return np.ascontiguousarray(drawn.T)
