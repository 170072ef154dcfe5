"""Which marking aids a job's changes call for; each is sized by a module of its own, loaded when it is called for."""

from __future__ import annotations

from solver.part import Part, Refusal
from solver.sizing.context import SizingContext

OF_THE_SLEEVE = ("wrap-template", "fixture-base", "fixture-vee", "fixture-stop")
"""Families that are sized by the arm's sleeve, and made only with one."""


def parts(context: SizingContext, made: tuple[Part, ...]) -> list[Part | Refusal]:
    """Gauge, templates and fixture, in the order of the work; ``made``: the parts that carry the changes."""
    solution = context.solution
    changes = solution.changes
    if solution.job.marking is not None and not solution.job.marking.wanted:
        return []
    found: list[Part | Refusal] = []
    pickup = solution.job.pickup
    if (changes.pickup_move.forward or changes.pickup_move.outward) and not (pickup and pickup.way == "weld"):
        from solver.sizing import drilling_gauge

        found += drilling_gauge.parts(context)
    sleeve = next((part for part in made if part.dimensions.family == "arm-sleeve"), None)
    if sleeve is not None:
        from solver.sizing import weld_fixture, wrap_template

        found += wrap_template.parts(context, sleeve)
        found += weld_fixture.parts(context, sleeve)
    if changes.strut_top_shift.forward or changes.strut_top_shift.outward:
        from solver.sizing import slot_template

        found += slot_template.parts(context)
    return found
