"""Sizes the strut-top template: slots by the measured studs and the solved shift."""

from __future__ import annotations

import math

from solver.families.slot_template import SlotTemplateDimensions
from solver.marking import Marking
from solver.part import Part, Refusal
from solver.sizing.context import SizingContext, accepted
from solver.stock import StockUnits, plate_label
from solver.tyre import INCH

PLATE = {"mm": 3.0, "in": INCH / 8}
"""mm; stiff enough to scribe along. Common practice, no source."""
MARGIN = 15.0
"""mm"""


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One template that is turned over for the other tower; nothing where the top moves in what is there already.

    It is there already where turned or swapped top plates give the shift, and where the job tells how far the top can
    slide and no pattern is measured.
    """
    job, changes = context.solution.job, context.solution.changes
    name = SlotTemplateDimensions.family
    shift = changes.strut_top_shift
    pattern = (job.marking or Marking()).strut_top
    if job.top_places:
        return []
    if pattern is None:
        if any(freedom.variable.startswith("strut_top") for freedom in job.freedoms):
            return []
        size = math.hypot(shift.forward, shift.outward)
        return [
            Refusal(
                name,
                "stud pattern not measured",
                f"the strut top moves by {size:.1f} mm, but where its studs sit is not measured: slots can't be placed",
                "measure the stud holes from the rod's nut, forward and outward, and their diameter, "
                "[marking.strut_top] studs and hole; without slots the top stays where it is",
            )
        ]
    units: StockUnits = job.shelf
    thickness = (job.marking.plate if job.marking else None) or PLATE[units]
    dimensions = SlotTemplateDimensions(
        studs=pattern.studs,
        shift=(shift.forward, shift.outward),
        hole_diameter=pattern.hole,
        opening_diameter=pattern.opening,
        margin=max(MARGIN, thickness),
        thickness=thickness,
        corner_radius=5.0,
    )
    moved = dimensions.shift_length
    return [
        accepted(
            Part(
                name=name,
                dimensions=dimensions,
                quantity=1,
                fits="on the left strut tower from above; turned over, on the right one",
                material="S235JR",
                process=f"cut from {plate_label(thickness)} plate, edges broken",
                reasons=(
                    f"slots {moved:.2f} mm from middle to middle: the strut top's shift, {shift.forward:.2f} mm "
                    f"forward, {shift.outward:.2f} mm outward",
                    f"{len(pattern.studs)} slots {pattern.hole:.2f} mm wide: the stud holes as measured",
                    f"opening {pattern.opening:.2f} mm wide: the tower's, as measured"
                    if pattern.opening
                    else "no middle opening: none is given",
                ),
                role="marking aid",
                if_it_fails="it carries nothing; a slot in the wrong place weakens the tower for nothing",
                qualified=(
                    "the tower: slots take metal round the studs where the strut's whole force goes in",
                    "whether a reinforcing plate is welded or bolted under it, and whether slots are allowed at all",
                ),
                assumptions=("both towers alike, mirrored; the studs' pattern flat",),
                not_assessed=(
                    "the tower's strength with slots, and the clamping of the studs' nuts across them",
                ),
                notes=(
                    "lay it on the tower, the engraved ends of its slots over the old stud holes, held by two bolts "
                    "through them; the other ends point where the top goes",
                    "scribe along the slots, take it off, drill the far ends, join and file; file no wider than the "
                    "holes",
                    "the shift is level: on a tower face that slopes by 10° along it a slot becomes "
                    f"{0.015 * moved:.2f} mm "
                    "longer, by 20° " + f"{0.064 * moved:.2f} mm",
                    *(
                        [
                            f"the top also moves {abs(shift.up):.1f} mm {'up' if shift.up > 0 else 'down'}: by the "
                            "mount, not by the slots"
                        ]
                        if shift.up
                        else []
                    ),
                    "nuts over slots want plate washers that cover them; nothing else keeps the top in place",
                ),
            )
        )
    ]
