"""Parts then and now, by name: which stay, which change and by how much."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from locksweep.solved import Solved
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.base import MAKEABLE, alike
from solver.part import Part, Refusal
from solver.sizing.marking_aids import OF_THE_SLEEVE

Status = Literal["unchanged", "changed", "new", "no longer needed", "refused", "not told"]


ASIDE = ("material", "quantity")
"""What a part has beside its dimensions and is compared by."""


@dataclass(frozen=True)
class PartChange:
    """One part then and now.

    changes: names of dimensions, or of `ASIDE`, with their values before and after
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
    """Every part that either job has or refuses, in the order of the old job, as far as a shop could tell."""
    return compare_lists(old.parts, new.parts, new.refusals, sized=new.solution.goal_met)


def compare_lists(
    old: Iterable[Part],
    new: Iterable[Part],
    refusals: Sequence[Refusal] = (),
    *,
    sized: bool = True,
    within: float = MAKEABLE,
) -> list[PartChange]:
    """Every part of two lists, or refused of the new one, in the order of the old list.

    sized: whether the new job came as far as its parts; within: mm by which dimensions may differ and be alike
    """
    before, after = ({part.name: part for part in parts} for parts in (old, new))
    refused = {item.name: item for item in refusals}
    names = dict.fromkeys([*before, *after, *refused])
    return [_compared(name, before.get(name), after.get(name), refused, sized, within) for name in names]


def _compared(
    name: str,
    old: Part | None,
    new: Part | None,
    refusals: Mapping[str, Refusal],
    sized: bool,
    within: float,
) -> PartChange:
    family = (old or new).dimensions.family if old or new else name  # type: ignore[union-attr]
    if new is None:
        refused = refusals.get(name)
        if refused is not None:
            reason = f"{refused.limit}: {refused.reason}. Instead: {refused.nearest}"
            return PartChange(name, family, "refused", old, None, reason=reason)
        if not sized:
            reason = "parts are sized only for what is in reach"
            return PartChange(name, family, "not told", old, None, reason=reason)
        if family in OF_THE_SLEEVE and ArmSleeveDimensions.family in refusals:
            reason = f"it goes with {ArmSleeveDimensions.family}, which was refused"
            return PartChange(name, family, "not told", old, None, reason=reason)
        return PartChange(name, family, "no longer needed", old, None)
    if old is None:
        return PartChange(name, family, "new", None, new)
    changes = tuple(differences(old, new, within))
    return PartChange(name, family, "changed" if changes else "unchanged", old, new, changes)


def differences(old: Part, new: Part, within: float = MAKEABLE) -> Iterator[tuple[str, Any, Any]]:
    """Values of two parts of one name that differ: name, before, after."""
    if type(old.dimensions) is not type(new.dimensions):
        yield "family", old.dimensions.family, new.dimensions.family
        return
    for field in dataclasses.fields(old.dimensions):
        was, now = (getattr(part.dimensions, field.name) for part in (old, new))
        if not alike(field.name, was, now, within):
            yield field.name, was, now
    for key in ASIDE:
        was, now = (getattr(part, key) for part in (old, new))
        if was != now:
            yield key, was, now
