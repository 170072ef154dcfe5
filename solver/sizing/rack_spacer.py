"""Sizes the rack spacer: thickness by the wanted lock, diameters by rack end, housing bore and stud."""

from __future__ import annotations

from solver.families.rack_spacer import RackSpacerDimensions
from solver.loads import worst
from solver.part import Check, Part, Refusal
from solver.search import thickest_spacer
from solver.sizing.context import SizingContext, accepted
from solver.stock import clearance_hole, plate_label
from solver.strength import BOLT_PROOF, SUDDEN_LOAD, material, thread_stress_area

PRELOAD_SHARE = 0.75
"""Of the proof load, for a joint that is taken apart again (Shigley, eq. 8-31)."""
BORE_PLAY = 1.0
"""Of the ring in the housing bore, on the diameter; common practice, no source."""


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One ring for each end of the rack, or none when no spacer is needed."""
    solution = context.solution
    thickness = solution.changes.rack_spacer
    if thickness <= 0:
        return []
    rack = solution.job.car.rack
    name = RackSpacerDimensions.family
    limit = thickest_spacer(solution.job.car)
    if thickness > limit + 1e-9:
        left = rack.stud_engaged - thickness
        return [
            Refusal(
                name,
                "stud thread left",
                f"a {thickness:.1f} mm spacer leaves {left:.1f} mm of the stud's thread engaged; one diameter, "
                f"{rack.stud_diameter:.1f} mm, is the least",
                f"a spacer of {max(limit, 0):.1f} mm, or an inner joint with a longer stud",
            )
        ]
    outside = min(rack.end_diameter, rack.housing_bore - BORE_PLAY)
    bore = clearance_hole(rack.stud_diameter)
    suits = "the rack's end" if outside == rack.end_diameter else "the housing bore less 1 mm of play"
    dimensions = RackSpacerDimensions(
        outside_diameter=outside,
        bore_diameter=bore,
        thickness=thickness,
        chamfer=round(max(0.2, min(0.5, thickness / 6, (outside - bore) / 2 / 8)), 1),
    )
    steel = material(solution.job.part_choices.rack_spacer_material)
    push = worst(context.cases, "tie_rod")
    force = SUDDEN_LOAD * abs(push.tie_rod)
    stress_area = thread_stress_area(rack.stud_diameter, rack.stud_pitch)
    preload = PRELOAD_SHARE * BOLT_PROOF * stress_area
    checks = (
        Check(
            "bearing pressure under preload and a hit at the rack's stop",
            (preload + force) / dimensions.face_area,
            steel.yield_strength,
            "MPa",
            "0.75 of the stud's proof load (Shigley, eq. 8-31) and 2 × largest tie-rod force over the ring's face, "
            "against yield",
            push.case,
        ),
        Check(
            "tension in the stud",
            abs(push.tie_rod),
            BOLT_PROOF * stress_area,
            "N",
            "largest tie-rod force against proof load of the thread, class 8.8 assumed (ISO 898-1)",
            push.case,
        ),
    )
    return [
        accepted(
            Part(
                name=name,
                dimensions=dimensions,
                quantity=2,
                fits="between rack end and inner tie-rod joint, one each side",
                material=steel.name,
                process=f"turned, or cut from {plate_label(thickness)} plate, faces parallel within 0.05 mm, chamfered",
                reasons=(
                    f"thickness {thickness:.2f} mm: {solution.sized.spacer_reason}",
                    f"outside diameter {outside:.2f} mm: to suit {suits} (rack end {rack.end_diameter:.2f} mm, "
                    f"housing bore {rack.housing_bore:.2f} mm)",
                    f"bore {bore:.2f} mm: medium clearance for the {rack.stud_diameter:.2f} mm stud (ISO 273)",
                    f"stud thread left engaged: {rack.stud_engaged - thickness:.1f} mm, at least one diameter "
                    f"({rack.stud_diameter:.1f} mm) is kept",
                ),
                role="carries the car",
                if_it_fails="the tie rod works loose at the rack and that wheel steers by itself",
                qualified=(
                    "the joint's torque and locking, and whether the thread left is enough for this rack",
                    "whether the rack's teeth, seals and boots bear the extra travel",
                ),
                checks=checks,
                notes=(
                    "the stud's preload runs through this ring: a ring that crushes lets the joint work loose",
                    f"outside {outside:.2f} mm (0 / -0.2 mm), bore {bore:.2f} mm (0 / +0.2 mm), "
                    "others to ISO 2768-m; deburr",
                    "secure the joint as the maker of the car does, with a new lock plate or pin",
                ),
            )
        )
    ]
