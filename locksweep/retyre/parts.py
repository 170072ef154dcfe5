"""Parts of the old job against those of the job on its new tyre, by name: which stay, which change and by how much."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from locksweep.solved import Solved
from solver.part import Part, Refusal

Status = Literal["unchanged", "changed", "new", "no longer needed", "refused", "not told"]

MAKEABLE = 0.05
"""mm; a smaller difference is none: a tenth is what ISO 2768-m leaves the smallest size."""
SHARES = ("k_factor",)
"""Dimensions that are no lengths."""


@dataclass(frozen=True)
class PartChange:
    """One part then and now.

    changes: names of dimensions, or "material" and "quantity", with their values before and after
    reason: of a refusal, or why nothing can be told; "" else
    """

    name: str
    family: str
    status: Status
    before: Part | None
    after: Part | None
    changes: tuple[tuple[str, Any, Any], ...] = ()
    reason: str = ""


def compare_parts(old: Solved, new: Solved) -> list[PartChange]:
    """Every part that either job has or refuses, in the order of the old job."""
    before, after = ({part.name: part for part in one.parts} for one in (old, new))
    refused = {item.name: item for item in new.refusals}
    names = dict.fromkeys([*before, *after, *refused])
    return [_compared(name, before.get(name), after.get(name), refused.get(name), new) for name in names]


def _compared(
    name: str, old: Part | None, new: Part | None, refused: Refusal | None, solved: Solved
) -> PartChange:
    family = (old or new).dimensions.family if old or new else name  # type: ignore[union-attr]
    if new is None:
        if refused is not None:
            reason = f"{refused.limit}: {refused.reason}. Instead: {refused.nearest}"
            return PartChange(name, family, "refused", old, None, reason=reason)
        if not solved.solution.goal_met:
            reason = "parts are sized only for what is in reach"
            return PartChange(name, family, "not told", old, None, reason=reason)
        return PartChange(name, family, "no longer needed", old, None)
    if old is None:
        return PartChange(name, family, "new", None, new)
    changes = tuple(_differences(old, new))
    return PartChange(name, family, "changed" if changes else "unchanged", old, new, changes)


def _differences(old: Part, new: Part) -> Iterator[tuple[str, Any, Any]]:
    """Values that differ by more than a shop could make."""
    for field in dataclasses.fields(old.dimensions):
        was, now = (getattr(part.dimensions, field.name) for part in (old, new))
        if not _alike(was, now, 1e-6 if field.name in SHARES else MAKEABLE):
            yield field.name, was, now
    for key in ("material", "quantity"):
        was, now = (getattr(part, key) for part in (old, new))
        if was != now:
            yield key, was, now


def _alike(one: Any, other: Any, within: float) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= within
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(_alike(a, b, within) for a, b in zip(one, other, strict=True))
    return bool(one == other)
