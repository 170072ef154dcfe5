"""Why a size came out as it did, in words: which limits hold it where it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.search.design import Space
from solver.search.goals import Reserve
from solver.search.linear import LOCK_PRICE
from solver.search.optimise import COUNTS, Found, prices
from solver.search.variables import Variable
from solver.stock import plate_label
from solver.vectors import Array

LEAST_PRICE = 1e-2
"""Effort per unit of a limit below which it may as well not bind."""
NOT_NEEDED = "none needed"
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
    """The limits and bounds that hold a design, the one first that costs most (`solver.search.optimise.prices`)."""
    limits, low, high = prices(space, found)
    short = found.given_up > 0
    told = [
        (named(r), r.unit, False, float(p))
        for r, p in zip(found.reserves, limits, strict=True)
        # What is broken all the same has no price but that of breaking it.
        if r.left[0] >= -COUNTS
    ]
    for variable, least, most in zip(space.variables, low, high, strict=True):
        told.append((f"least {variable.label} of {variable.low:g} mm", "mm", True, float(least)))
        told.append((f"most {variable.label} of {variable.high:g} mm", "mm", True, float(most)))
    held = [
        Binding(name, unit, bound, price / LOCK_PRICE if short else 0.0, 0.0 if short else price)
        for name, unit, bound, price in told
        if price > LEAST_PRICE
    ]
    return tuple(sorted(held, key=lambda b: -(b.lock or b.effort)))


def missed_wishes(reserves: list[Reserve]) -> tuple[Broken, ...]:
    """What a job asks for beside the lock and a design does not give."""
    return tuple(
        Broken(named(r), r.unit, -float(r.left[0])) for r in reserves if r.wish and r.left[0] < -COUNTS
    )


def reason(space: Space, variable: Variable, size: float, found: Found, racks: Array) -> str:
    """Why a variable has its size, after rounding, in one clause."""
    i = space.variables.index(variable)
    value, wanted = float(found.design[i]), math.degrees(space.goal.lock)
    reached = wanted - found.given_up
    if variable.name == "rack_spacer" and variable.high <= 0:
        return "no plate leaves one stud diameter of thread engaged"
    if abs(size) < 1e-9:
        return NOT_NEEDED
    holding = [
        named(r)
        for r, slope in zip(found.reserves, found.slopes[:, i], strict=True)
        if r.left[0] < BINDING and slope * math.copysign(1.0, value) > 1e-3
    ]
    if variable.name == "rack_spacer":
        lock = f"{reached:.1f}° of lock needs {racks.max():.1f} mm of usable rack travel"
        if found.given_up > 0 and value > variable.high - BINDING:
            return (
                f"the thickest plate that leaves one stud diameter of thread; it gives {reached:.1f}° of lock"
            )
        return f"{lock}; {plate_label(size)} is the thinnest plate on the shelf that gives it"
    if found.given_up > 0 and value > variable.high - BINDING:
        return f"the most that the job allows; {reached:.1f}° of lock is had with it"
    because = " and ".join(dict.fromkeys(holding)) or f"{reached:.1f}° of lock"
    return f"{abs(value):.1f} mm is the least that does for {because}, in sizes that can be had {abs(size):.1f} mm"


def named(reserve: Reserve) -> str:
    """A limit with its place in words."""
    if not reserve.where:
        return reserve.name
    return f"{reserve.name} ({reserve.where})"
