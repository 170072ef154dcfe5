"""From a job's parts to the pictures that are wanted of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from locksweep.pictures.seen import Asked
from parts.catalogue import family_of
from solver.part import Part


def asked_of(parts: Iterable[Part], revisions: Mapping[str, str] | None = None) -> tuple[Asked, ...]:
    """A picture of each part that has a solid, its file named by the part and, where it has one, its revision."""
    letters = revisions or {}
    return tuple(
        Asked(
            part.name,
            f"{part.name}-{letters[part.name]}.png" if part.name in letters else f"{part.name}.png",
            part.dimensions,
            part.quantity,
        )
        for part in parts
        if not family_of(part.dimensions).paper
    )
