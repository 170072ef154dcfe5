"""Closure plates are held against the swept tyre before anything else of a build is written."""

from __future__ import annotations

from locksweep.building.part_files import PartFiles
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part, Refusal


def is_plate(part: Part) -> bool:
    """Whether a part closes up cut metal beside the tyre."""
    return isinstance(part.dimensions, ClosurePlateDimensions)


def held_against_the_tyre(files: PartFiles, parts: tuple[Part, ...]) -> dict[str, Refusal]:
    """Build the closure plates among ``parts``, and say why one is refused whose solid is not what was meant.

    Before anything else is written, so that the rest of the set goes its way without it.
    """
    refusals: dict[str, Refusal] = {}
    plates = [part for part in parts if is_plate(part)]
    if not plates:
        return refusals
    from locksweep.building.plate_check import refused, swept_tyres

    tyres = swept_tyres(files.solved.solution.as_modified.front_end)
    for part in plates:
        files.progress(f"holding {part.name} against the swept tyre")
        found = refused(part, files.solid(part), tyres, files.solved.job.goal.clearance)
        if found:
            refusals[part.name] = found
    return refusals
