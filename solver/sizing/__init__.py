"""From the solved front end to the dimensions of each part; one module per part family.

Each module has ``parts(context)``, which returns the parts of its family and, for those that can't be made, a refusal
with its reason. `solver.sizing.all_parts` asks them all. Marking aids come last: what they mark follows from the parts.
"""

from __future__ import annotations

from solver.part import Part, Refusal
from solver.sizing import arm_sleeve, bump_stop, closure_plate, marking_aids, rack_spacer
from solver.sizing.context import SizingContext

RULES = (rack_spacer, arm_sleeve, closure_plate, bump_stop)


def all_parts(context: SizingContext, *, aids: bool = True) -> tuple[tuple[Part, ...], tuple[Refusal, ...]]:
    """Parts and refusals of every family, of marking aids where they are asked for.

    Raises:
        UnknownMaterialError: the job names a material that the table doesn't have.
    """
    results = [result for rule in RULES for result in rule.parts(context)]
    made = tuple(result for result in results if isinstance(result, Part))
    if aids:
        results += marking_aids.parts(context, made)
    parts = tuple(result for result in results if isinstance(result, Part))
    return parts, tuple(result for result in results if isinstance(result, Refusal))
