"""Members of the front end that the changes alter or load more, and that are not made here: what they make of it."""

from __future__ import annotations

import numpy as np

from solver.front_end import link_of
from solver.part import Check, Member
from solver.sizing.context import SizingContext
from solver.sizing.joint_checks import adjustment_check, articulation_checks
from solver.sizing.pickup import pickup
from solver.sizing.sleeve_checks import arm_section
from solver.strength.columns import column_strength
from solver.strength.materials import UNKNOWN, material
from solver.strength.sections import Section, tube
from solver.strength.threads import thread_stress_area

THIN_ROD = 12.0
"""Diameter in mm of the thinnest place of a tie rod that was not measured: the thinnest that cars have. Common
practice, no source."""


def members(context: SizingContext) -> tuple[Member, ...]:
    """All of them, in the order of the load path from the wheel inwards."""
    found = (
        pickup(context),
        _tie_rods(context),
        _arm(context),
        _leg(context),
        _strut(context),
        _joints(context),
    )
    return tuple(member for member in found if member is not None)


def _tie_rods(context: SizingContext) -> Member:
    job, modified, measured = context.solution.job, context.solution.as_modified, context.solution.as_measured
    length = max(modified.left.tie_rod, modified.right.tie_rod)
    longer = max(
        modified.left.tie_rod - measured.left.tie_rod,
        modified.right.tie_rod - measured.right.tie_rod,
        key=abs,
    )
    diameter = job.loads.tie_rod or THIN_ROD
    known = "as measured" if job.loads.tie_rod else "not measured: the thinnest that cars have"
    steel, rod = material(UNKNOWN), tube(diameter, 0.0)
    push, push_where = context.worst(lambda t: -t.tie_rod)
    pull, pull_where = context.worst(lambda t: t.tie_rod)
    said = f"{diameter:.1f} mm thick, {known}; {steel.said}"
    checks: tuple[Check, ...] = (
        Check(
            "buckling of the tie rod",
            max(push, 1.0),
            column_strength(rod, length, steel.yield_strength, steel.modulus),
            "N",
            "pinned straight column between both joints, Euler or Johnson",
            "Shigley, 9th ed., equations 4-43 and 4-48",
            f"length {length:.0f} mm, {said}",
            push_where,
        ),
        Check(
            "pull in the tie rod",
            max(pull, 1.0),
            rod.area * steel.yield_strength,
            "N",
            "area times yield",
            "any text on strength of materials",
            said,
            pull_where,
        ),
    )
    bought = context.solution.sized.tie_rod
    if bought is not None and bought.rod is not None and bought.rod.thread_size is not None:
        area = thread_stress_area(*bought.rod.thread_size)
        checks = (
            *checks,
            Check(
                "pull in the thread of the rod to buy",
                max(pull, 1.0),
                area * steel.yield_strength,
                "N",
                "stress area π/4 (d − 0.9382 p)² times yield",
                "ISO 898-1",
                f"{bought.rod.name}, {bought.rod.thread}: {area:.0f} mm²; {steel.said}",
                pull_where,
            ),
        )
    unknown = ["a bent rod buckles earlier; ball ends and their studs"]
    adjustment = adjustment_check(context)
    if adjustment is None:
        unknown.insert(0, "thread engaged in the rod's ends: shortest and longest of [tie_rod] are not given")
    else:
        checks = (*checks, adjustment)
    way = (
        "as long as before"
        if abs(longer) < 0.05
        else f"{abs(longer):.1f} mm {'longer' if longer > 0 else 'shorter'}"
    )
    return Member("tie rods", f"{way}, and loaded as the new geometry wants", checks, tuple(unknown))


def _arm(context: SizingContext) -> Member:
    job = context.solution.job
    section, steel = arm_section(job.car.arm.section), material(job.car.arm.section.material)
    extension = context.solution.changes.arm_extension
    strength = steel.welded_yield if extension > 0 else steel.yield_strength

    link = context.loads.link
    # Worst at an end, where the leg joins, where a stop bracket stands.
    places = [np.where(np.isfinite(place), place, 0.0) for place in (link.whole, link.leg, link.pad_at)]
    values = np.max([section.stress(link.axial(p), link.moment(p), link.torque(p)) for p in places], axis=0)
    value, where = context.worst(lambda _: values)
    check = Check(
        "stress in the measured arm",
        value,
        strength,
        "MPa",
        "√((N/A + M c/I)² + 3 τ²) of the section as measured, at its worst place outside of the sleeve, against yield"
        + (" beside a weld" if extension > 0 else ""),
        "any text on strength of materials",
        f"A = {section.area:.0f} mm², I = {section.second_moment:.3g} mm⁴, {steel.said}",
        where,
    )
    changed = (
        f"cut and made {extension:.1f} mm longer" if extension > 0 else "as it is, loaded by the new geometry"
    )
    return Member(
        "lower arm",
        changed,
        (check,),
        ("the arm anywhere but at the measured section: bushes, ball joint, brackets, where it tapers",),
    )


def _leg(context: SizingContext) -> Member | None:
    job = context.solution.job
    link = link_of(job.car, "left")
    before, after = link.leg_length(0.0), link.leg_length(context.solution.changes.arm_extension)
    if before is None or after is None:
        return None
    push, push_where = context.worst(lambda t: -t.link.leg_force)
    pull, pull_where = context.worst(lambda t: t.link.leg_force)
    return Member(
        "lower arm's other leg",
        f"{before:.1f} mm to {after:.1f} mm long",
        (),
        (
            f"its strength: its section is not measured. It takes {pull / 1000:.1f} kN of pull (in the case "
            f"'{pull_where.case}') and {push / 1000:.1f} kN of push (in the case '{push_where.case}')",
        ),
    )


def _strut(context: SizingContext) -> Member:
    bending, where = context.worst(lambda t: t.rod_moment)
    diameter = context.solution.job.loads.strut_rod
    general = ("guide and piston, the tube's weld to the knuckle, the top mount and the body round it",)
    changed = "as it is, loaded by the new geometry"
    if diameter is None:
        return Member(
            "strut",
            changed,
            (),
            (
                f"bending of the rod, {bending / 1e6:.2f} kN m where it leaves the tube (in the case '{where.case}'): "
                "its diameter, [strut] rod_diameter, is not measured",
                *general,
            ),
        )
    steel = material(UNKNOWN)
    rod: Section = tube(diameter, 0.0)
    check = Check(
        "bending of the strut's rod",
        float(rod.stress(0.0, bending)),
        steel.yield_strength,
        "MPa",
        "side force at the top × what of the rod is out of the tube, M c/I, against yield",
        "any text on strength of materials",
        f"M = {bending / 1000:.0f} N m, rod {diameter:.1f} mm, {steel.said}",
        where,
    )
    return Member("strut", changed, (check,), general)


def _joints(context: SizingContext) -> Member:
    ball, where = context.worst(lambda t: t.ball_joint)
    limits = context.solution.job.car.joints
    known = {} if limits is None else vars(limits)
    unknown = [key for key in ("rod_inner", "rod_outer", "ball_joint") if known.get(key) is None]
    angles = (f"the angle that each joint allows: not measured are {', '.join(unknown)} of [joints]",)
    return Member(
        "ball joints and bushes",
        "turned and loaded by the new geometry",
        articulation_checks(context),
        (
            f"pull-out of the ball joint, which takes {ball / 1000:.1f} kN (in the case '{where.case}')",
            *(angles if unknown else ()),
            "wear and play",
        ),
    )
