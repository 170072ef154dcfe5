"""From the least effort to sizes that can be had: the neighbours that can be bought or cut, cheapest first."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from solver.search.design import Space
from solver.search.goals import Asked, reserves_of
from solver.search.optimise import COUNTS, FARTHEST, FORGIVEN, KEPT, Found
from solver.vectors import Array

SMALL_STEP = 1.0
"""Degrees of lock that the slopes are trusted with."""
MOST_CANDIDATES = 256
"""Of neighbours tried at once."""


@dataclass(frozen=True, eq=False)
class Rounded:
    """A design (k,) in sizes that can be had, with the rack displacements (2,) that give the lock, mm.

    effort: what it takes; broken: worst of what its limits lack, mm or degrees, 0 when all are kept
    """

    design: Array
    racks: Array
    effort: float
    broken: float


def rounded(space: Space, found: Found) -> list[Rounded]:
    """Neighbours of a design in sizes that can be had: those that keep all limits, least effort first.

    Where none does, all of them, the one first that lacks least.
    """
    efforts = np.array([v.effort for v in space.variables])
    ranked: list[Rounded] = []
    for reach in (1, 2):
        table = _neighbours(space, found, reach)
        racks = _racks(space, found, table)
        racks, left = _settled(space, found, racks, reserves_of(space, table, racks))
        broken = np.where(left < -KEPT, -left, 0.0)
        effort = np.abs(table) @ efforts
        order = np.lexsort((effort, np.round(broken, 3)))
        ranked = [Rounded(table[i], racks[i], float(effort[i]), float(broken[i])) for i in order]
        kept = [one for one in ranked if not one.broken]
        if kept:
            return kept
    return ranked


def _neighbours(space: Space, found: Found, reach: int) -> Array:
    sizes = [space.steps(v, float(x), reach) for v, x in zip(space.variables, found.design, strict=True)]
    if np.prod([float(len(s)) for s in sizes]) > MOST_CANDIDATES:
        # Too many ways to combine: what matters little for its effort is rounded to the nearest size.
        order = np.argsort([v.effort for v in space.variables])
        for i in order:
            nearest = int(np.argmin(np.abs(sizes[i] - found.design[i])))
            sizes[i] = sizes[i][nearest : nearest + 1]
            if np.prod([float(len(s)) for s in sizes]) <= MOST_CANDIDATES:
                break
    return np.array(list(itertools.product(*sizes)), float)


def _racks(space: Space, found: Found, table: Array) -> Array:
    """Rack displacements (n, 2) that give each design the lock of the one found, by the slopes."""
    k = len(space.variables)
    by_rack = np.array([found.lock_slopes[0, k], found.lock_slopes[1, k + 1]])
    if not np.all(by_rack > 1e-3):
        return np.repeat(found.racks[None, :], len(table), axis=0)
    racks = found.racks - (table - found.design) @ found.lock_slopes[:, :k].T / by_rack
    moved: Array = np.clip(racks, 1.0, FARTHEST)
    return moved


def _settled(space: Space, found: Found, racks: Array, asked: Asked) -> tuple[Array, Array]:
    """The racks after another step of Newton's method for the lock, and what the worst limit leaves with it (n,).

    The step is short, so the slopes of the design found tell what it does to the limits.
    """
    k = len(space.variables)
    off = np.stack([r.left for r in asked.lock], axis=-1) + found.given_up
    by_rack = np.array([found.lock_slopes[0, k], found.lock_slopes[1, k + 1]])
    possible = (np.abs(off) < SMALL_STEP) & (by_rack > 1e-3)
    step = np.where(possible, -off / np.where(by_rack > 1e-3, by_rack, 1.0), 0.0)
    left = np.stack([r.left for r in asked.others]) + found.slopes[:, k:] @ step.T
    # What no design keeps is no fault of a rounded one, as long as it lacks no more.
    lacking = np.array([-float(r.left[0]) for r in found.reserves])
    left = left + np.where(lacking > COUNTS, lacking + FORGIVEN, 0.0)[:, None]
    short = np.where(possible, 0.0, off).min(axis=1)
    worst: Array = np.minimum(left.min(axis=0), short)
    return np.clip(racks + step, 1.0, FARTHEST), worst
