"""The sizing of a job: the least change that meets its goal, in sizes that can be had."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from solver.car import Changes, Job
from solver.front_end import FrontEnd, assemble
from solver.search.design import Space, space_of
from solver.search.optimise import KEPT, Found, least_effort
from solver.search.reasons import Binding, Broken, bindings, broken_limits, reason
from solver.search.rounding import rounded
from solver.vectors import Array

COARSE = ("rack_spacer",)
"""Variables whose sizes are so far apart that the others are searched for anew once these are settled."""


@dataclass(frozen=True, eq=False)
class Sized:
    """A job's changes with every variable filled in.

    changes: the builder's changes with all that was sized; front_end: assembled with them
    reasons: for each variable by its name, what set it
    short: degrees of lock that no design within the bounds reaches
    bindings: the limits that hold the design, the one first that costs most
    broken: what the job asks for that can't be had with it
    """

    changes: Changes
    front_end: FrontEnd
    reasons: dict[str, str] = field(default_factory=dict)
    short: float = 0.0
    bindings: tuple[Binding, ...] = ()
    broken: tuple[Broken, ...] = ()

    @property
    def spacer_reason(self) -> str:
        """Why the rack spacer has its thickness."""
        return self.reasons["rack_spacer"]

    @property
    def extension_reason(self) -> str:
        """Why the arm extension is as long as it is."""
        return self.reasons["arm_extension"]


def sizings(job: Job, spare: float = 0.0) -> Iterator[Sized]:
    """Sizings of a job, least effort first; the first one usually is the answer.

    The search looks at few poses, so the full sweep may find a nearer contact; then the next one is due, or others
    with some clearance in mm to ``spare``.

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled with its fixed changes.
    """
    space = space_of(job, spare=spare)
    if not space.variables:
        yield Sized(job.fixed, space.base, _given(job))
        return
    found = least_effort(space, first_guess(space))
    held = bindings(space, found) if found.short > 0 else ()
    reasons = _given(job)
    for name in COARSE:
        if any(v.name == name for v in space.variables):
            space, found = _settled(space, found, name, reasons)
    for one in rounded(space, found):
        changes = space.changes(one.design)
        reasons |= {
            v.name: reason(space, v, float(size), found, one.racks)
            for v, size in zip(space.variables, one.design, strict=True)
        }
        yield Sized(
            changes,
            assemble(job.car, changes),
            dict(reasons),
            found.short,
            held,
            broken_limits(found) if one.broken else (),
        )


def _settled(space: Space, found: Found, name: str, reasons: dict[str, str]) -> tuple[Space, Found]:
    """One variable rounded to a size on the shelf, and the least effort of the others with it.

    The next size up first: less of a change rarely does what the least effort was just enough for.
    """
    i, variable = next((i, v) for i, v in enumerate(space.variables) if v.name == name)
    tried = []
    for size in space.steps(variable, float(found.design[i]), 1)[::-1]:
        rest = space.settled(name, float(size))
        start = np.concatenate([np.delete(found.design, i), found.racks])
        again = least_effort(rest, start)
        tried.append((again.short, again.effort, float(size), rest, again))
        if again.short <= found.short + KEPT and not again.broken:
            break
    _, _, size, rest, again = min(tried, key=lambda t: (round(t[0], 2), t[1]))
    reasons[name] = reason(space, variable, size, found, again.racks)
    return rest, again


def first_guess(space: Space) -> Array:
    """Nothing changed, and the rack used to its stop."""
    nearest = np.clip(0.0, space.low, space.high)
    return np.concatenate([nearest, np.full(2, space.base.rack_stop)])


def _given(job: Job) -> dict[str, str]:
    """Reasons of what is not searched for."""
    found = {
        "rack_spacer": "thickness given in the job file",
        "arm_extension": "extension given in the job file",
    }
    if not job.extension_given:
        found["arm_extension"] = "none allowed"
    return found
