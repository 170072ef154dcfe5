"""Why a size came out as it did, in words: which limits hold it where it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.search.design import Space, Variable
from solver.search.goals import Reserve
from solver.search.optimise import LOCK_PRICE, RACK_PRICE, Found
from solver.stock import plate_label
from solver.vectors import Array

MISSED = 0.02
"""What a limit may lack and still count as kept, mm or degrees."""
LEAST_FACTOR = 1e-2
"""Effort per unit of a limit below which it may as well not bind."""
BINDING = 0.05
"""What a binding limit may leave, mm or degrees."""


@dataclass(frozen=True)
class Binding:
    """A limit that holds a design where it is.

    name: of the limit, with the turn or side; unit: in which it is measured
    bound: whether it is how far a variable may go
    lock: degrees of lock that one unit less of it would bring, 0 where it costs effort only
    effort: effort that one unit less of it would save
    """

    name: str
    unit: str
    bound: bool
    lock: float
    effort: float


@dataclass(frozen=True)
class Broken:
    """Something that a job asks for and that no design within its bounds gives; what is lacking, in its unit."""

    name: str
    unit: str
    lacking: float


def bindings(space: Space, found: Found) -> tuple[Binding, ...]:
    """The limits and bounds that hold a design, the one first that costs most.

    At the least effort its slope is a sum of the slopes of the limits that bind, each with a factor that isn't
    negative (Karush, Kuhn and Tucker): the factor is what one unit of that limit costs.
    """
    k = len(space.variables)
    short = found.short > BINDING
    unit_rows = np.eye(k + 3)
    # Both locks always bind; they and the goal itself have factors of their own but aren't told.
    rows: list[tuple[tuple[str, str, bool] | None, Array]] = [
        (None, np.append(slope, 1.0)) for slope in found.lock_slopes
    ]
    if not short:
        rows.append((None, unit_rows[-1]))
    for reserve, slope in zip(found.reserves, found.slopes, strict=True):
        if reserve.left[0] < BINDING:
            rows.append(((_named(reserve), reserve.unit, False), np.append(slope, 0.0)))
    for i, variable in enumerate(space.variables):
        for bound, sign, word in ((variable.low, 1.0, "least"), (variable.high, -1.0, "most")):
            if abs(found.design[i] - bound) < BINDING:
                rows.append(((f"{word} {variable.label} of {bound:g} mm", "mm", True), sign * unit_rows[i]))
    signs = np.where(found.design >= 0, 1.0, -1.0)
    efforts = np.array([v.effort for v in space.variables]) * signs
    cost = np.concatenate([efforts, [RACK_PRICE, RACK_PRICE, LOCK_PRICE]])
    factors = _factors(np.array([row for _, row in rows]), cost)
    held = [
        Binding(*told, factor / LOCK_PRICE if short else 0.0, 0.0 if short else factor)
        for (told, _), factor in zip(rows, factors.tolist(), strict=True)
        if told and factor > LEAST_FACTOR
    ]
    return tuple(sorted(held, key=lambda b: -(b.lock or b.effort)))


def broken_limits(found: Found) -> tuple[Broken, ...]:
    """What a job asks for and even the best design does not give."""
    return tuple(Broken(_named(r), r.unit, -float(r.left[0])) for r in found.reserves if r.left[0] < -MISSED)


def reason(space: Space, variable: Variable, size: float, found: Found, racks: Array) -> str:
    """Why a variable has its size, after rounding, in one clause."""
    i = space.variables.index(variable)
    value, wanted = float(found.design[i]), math.degrees(space.goal.lock)
    reached = wanted - found.short
    if abs(size) < 1e-9:
        return "none needed"
    holding = [
        _named(r)
        for r, slope in zip(found.reserves, found.slopes[:, i], strict=True)
        if r.left[0] < BINDING and slope * math.copysign(1.0, value) > 1e-3
    ]
    if variable.name == "rack_spacer":
        lock = f"{reached:.1f}° of lock needs {racks.max():.1f} mm of usable rack travel"
        if found.short > BINDING and value > variable.high - BINDING:
            return (
                f"the thickest plate that leaves one stud diameter of thread; it gives {reached:.1f}° of lock"
            )
        return f"{lock}; {plate_label(size)} is the thinnest plate on the shelf that gives it"
    if found.short > BINDING and value > variable.high - BINDING:
        return f"the most that the job allows; {reached:.1f}° of lock is had with it"
    because = " and ".join(dict.fromkeys(holding)) or f"{reached:.1f}° of lock"
    return f"{abs(value):.1f} mm is the least that does for {because}, in sizes that can be had {abs(size):.1f} mm"


def _named(reserve: Reserve) -> str:
    """A limit with its place in words."""
    if not reserve.where:
        return reserve.name
    return f"{reserve.name} ({reserve.where})"


def _factors(rows: Array, cost: Array) -> Array:
    """Factors of the rows, none negative, that make up the cost, by least squares; rows that would need a negative
    one are dropped one by one."""
    kept = list(range(len(rows)))
    factors = np.zeros(len(rows))
    while kept:
        scale = np.linalg.norm(rows[kept], axis=1)
        solved = np.linalg.lstsq((rows[kept] / scale[:, None]).T, cost, rcond=None)[0] / scale
        if solved.min() >= -1e-9:
            factors[kept] = solved
            break
        kept.pop(int(solved.argmin()))
    return factors
