"""Sizes the rack spacer: thickness by the wanted lock, diameters by rack end, housing bore and stud."""

from __future__ import annotations

import numpy as np

from solver.families.rack_spacer import RackSpacerDimensions
from solver.part import Check, Inspection, Part, Refusal, Where
from solver.search import thickest_spacer
from solver.sizing.context import SizingContext, accepted
from solver.stock import clearance_hole, plate_label
from solver.strength.materials import Material, material
from solver.strength.threads import (
    PRELOAD_SHARE,
    engagement_needed,
    joint,
    proof_strength,
    strip_strength,
    thread_stress_area,
)
from solver.strength.welds import SHEAR_SHARE

BORE_PLAY = 1.0
"""Of the ring in the housing bore, on the diameter; common practice, no source."""
RACK_STEEL = "C45+N"
"""What a rack whose steel nobody knows is taken to be of: the weakest of the candidates."""
STUD_CLASS = "8.8"
"""The weakest that a steering joint's stud is made in; common practice, no source."""


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
                checks=ring_checks(context, dimensions, steel),
                loads=context.part_loads("tie_rod_pull", "tie_rod_push", "rack"),
                assumptions=(
                    f"stud of class {STUD_CLASS}, tightened to {PRELOAD_SHARE:.2f} of its proof load",
                    f"the rack's own thread of {RACK_STEEL}, the weakest that a rack is made of, since nobody knows",
                    "the ring clamps over its whole face: faces parallel, no paint, no burr",
                    "the whole hit at the rack's stop goes through one ring and one stud",
                ),
                not_assessed=(
                    "bending of the stud by the tie rod's angle at lock: the joint's length is not measured",
                    "wear and play of the inner joint, the rack's teeth and its housing",
                ),
                inspection=Inspection(
                    after_first_run=(
                        "torque of both inner joints against the paint mark, and their lock plates",
                        "play at the tie rods with the wheels off the ground",
                        "boots: none torn, none stretched at either lock",
                    ),
                    again=("paint marks on both inner joints", "play at the tie rods", "boots"),
                ),
                notes=(
                    "the stud's preload runs through this ring: a ring that crushes lets the joint work loose",
                    f"outside {outside:.2f} mm (0 / -0.2 mm), bore {bore:.2f} mm (0 / +0.2 mm), "
                    "others to ISO 2768-m; deburr",
                    "secure the joint as the maker of the car does, with a new lock plate or pin; mark it with paint",
                ),
            ),
            solution.job.part_choices.override,
        )
    ]


def ring_checks(context: SizingContext, ring: RackSpacerDimensions, steel: Material) -> tuple[Check, ...]:
    """All checks of one ring and the stud through it."""
    rack = context.solution.job.car.rack
    area = thread_stress_area(rack.stud_diameter, rack.stud_pitch)
    held = joint(area, ring.face_area, proof_strength(STUD_CLASS))
    hit, hit_where = context.rack_stop
    pull, pull_where = context.worst(lambda t: np.abs(t.tie_rod))
    # The joint may be what meets the stop, which then pulls at the stud, or the ring, which then is pressed.
    force, where = max((hit, hit_where), (pull, pull_where), key=lambda pair: pair[0])
    left = rack.stud_engaged - ring.thickness
    needed = max(rack.stud_diameter, engagement_needed(rack.stud_diameter, rack.stud_pitch))
    rack_steel = material(RACK_STEEL)
    forces = f"F = {force / 1000:.1f} kN"
    said = f"preload {held.preload / 1000:.1f} kN, stud {area:.1f} mm²"
    return (
        Check(
            "bearing pressure under preload and a hit at the rack's stop",
            (held.preload + force) / ring.face_area,
            steel.yield_strength,
            "MPa",
            "(preload + F) over the ring's face, against yield",
            "any text on strength of materials",
            f"{forces}, {said}, face {ring.face_area:.0f} mm², {steel.said}",
            where,
        ),
        Check(
            "pull in the stud beside its preload",
            held.in_bolt(force),
            held.bolt_reserve,
            "N",
            "C F against proof load less preload, C = stud area over stud and ring area",
            "Shigley, 9th ed., equations 8-28 and 8-31; proof load of ISO 898-1",
            f"{forces}, C = {held.share:.2f}, {said}, class {STUD_CLASS} assumed",
            where,
        ),
        Check(
            "separation of the joint",
            held.off_clamp(force),
            held.preload,
            "N",
            "(1 − C) F against preload: beyond it the ring is loose",
            "Shigley, 9th ed., equation 8-29",
            f"{forces}, C = {held.share:.2f}, {said}",
            where,
        ),
        Check(
            "stripping of the thread in the rack",
            held.preload + held.in_bolt(force),
            strip_strength(
                rack.stud_diameter, rack.stud_pitch, left, SHEAR_SHARE * rack_steel.yield_strength
            ),
            "N",
            "preload + C F against shear area of the thread left × 0.577 yield",
            "Machinery's Handbook, shear areas of screw threads",
            f"{forces}, {left:.1f} mm engaged, rack of {RACK_STEEL}, the weakest of the candidates",
            where,
        ),
        Check(
            "thread left engaged",
            needed,
            left,
            "mm",
            "thread engaged less the ring, against the larger of one diameter and the length at which a stud breaks "
            "before it strips",
            "one diameter: common practice; length: Machinery's Handbook, length of engagement",
            f"{rack.stud_engaged:.1f} mm engaged as measured, ring {ring.thickness:.2f} mm",
            Where("any"),
            required=1.0,
        ),
    )
