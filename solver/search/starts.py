"""Where the search begins: a search goes to the best design near its start, so where that won't do it begins anew."""

from __future__ import annotations

import math

import numpy as np

from solver.search.design import Space
from solver.search.goals import reserves_of
from solver.search.linear import BROKEN_PRICE, LOCK_PRICE
from solver.search.optimise import Found, least_effort
from solver.vectors import Array

PLAIN = {"rack_spacer", "arm_extension"}
"""Variables whose figures are so nearly straight that one start will do."""
MOST_DESIGNS = 36
"""Points of the coarse lattice that are looked at."""
MOST_ANEW = 4
"""Further starts where the first ones end with something missed."""
SAME = 1e-4
"""Share of a design's cost within which two searches count as having ended alike."""


def search(space: Space) -> Found:
    """The least effort from every start: from where nothing is changed, and where more than spacer and arm may change,
    also from the best point of a coarse lattice. Where the goal is missed even so, from some more of its points."""
    found = least_effort(space, begin(space))
    plain = {v.name for v in space.variables} <= PLAIN
    if not space.variables or (plain and not _missed(found)):
        return found
    if plain:
        found = min(found, least_effort(space, start_of(space, space.high)), key=_cost)
        if not found.broken:
            return found
    designs, costs = _lattice(space)
    first = int(costs.argmin())
    found = min(found, least_effort(space, start_of(space, designs[first])), key=_cost)
    costs_met = [found.cost]
    for at in _unlike(space, designs, costs, first) if _missed(found) else ():
        other = least_effort(space, start_of(space, designs[at]))
        found = min(found, other, key=_cost)
        # Where two of them end alike there is little hope of others.
        if any(abs(other.cost - cost) < SAME * (1.0 + cost) for cost in costs_met[1:]):
            break
        costs_met.append(other.cost)
    return found


def _missed(found: Found) -> bool:
    return bool(found.given_up or found.broken)


def start_of(space: Space, design: Array) -> Array:
    """A design (k,) with the rack used to its stop: unknowns of the search (k + 2)."""
    stop = space.car.rack.travel_each_side + space.column(design[None], "rack_spacer")[0]
    return np.append(design, [stop, stop])


def begin(space: Space) -> Array:
    """With nothing changed, or as little as the bounds allow."""
    return start_of(space, _unchanged(space))


def _unchanged(space: Space) -> Array:
    return np.asarray(np.clip(0.0, space.low, space.high))


def _cost(found: Found) -> float:
    return found.cost


def _lattice(space: Space) -> tuple[Array, Array]:
    """Designs (n, k) with each variable at its bounds or as it is, and how bad they are (n,).

    Of too many they are a share that has every variable at each of its sizes alike often.
    """
    unchanged = _unchanged(space)
    sizes = [
        np.unique([v.low, nothing, v.high]) for v, nothing in zip(space.variables, unchanged, strict=True)
    ]
    shape = [len(each) for each in sizes]
    whole = math.prod(shape)
    stride = max(whole // MOST_DESIGNS, 1)
    while math.gcd(stride, 6) > 1:
        stride += 1
    picked = np.unravel_index(
        np.arange(0, whole, stride)[:MOST_DESIGNS] if stride > 1 else np.arange(whole), shape
    )
    designs = np.stack([each[at] for each, at in zip(sizes, picked, strict=True)], axis=-1)
    stops = space.car.rack.travel_each_side + space.column(designs, "rack_spacer")
    asked = reserves_of(space, designs, np.stack([stops, stops], axis=-1))
    short = np.maximum(-np.stack([r.left for r in asked.lock]), 0.0).max(axis=0)
    lacking = np.maximum(-np.stack([r.left for r in asked.others]), 0.0).sum(axis=0)
    return designs, np.abs(designs) @ space.efforts + LOCK_PRICE * short + BROKEN_PRICE * lacking


def _unlike(space: Space, designs: Array, costs: Array, first: int) -> list[int]:
    """The best designs of a lattice that have some variable at another size than the first one has."""
    found: list[int] = []
    for i in range(len(space.variables)):
        for size in np.unique(designs[:, i]):
            if size != designs[first, i]:
                others = np.where(designs[:, i] == size, costs, np.inf)
                found.append(int(others.argmin()))
    return sorted(set(found), key=lambda at: costs[at])[:MOST_ANEW]
