"""Strength of the arm extension sleeve, each check at its own place along the arm, in the worst case and pose there."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np

from solver.car import ArmSection
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.front_end import link_of
from solver.loading.envelope import where
from solver.part import Check, Where
from solver.sizing.context import SizingContext
from solver.sizing.fatigue_checks import Stress, fatigue_checks
from solver.strength.columns import column_strength
from solver.strength.materials import Material, material
from solver.strength.sections import Section, box, tube
from solver.strength.welds import (
    least_leg,
    plug_stress,
    rectangle_weld_stress,
    round_weld_stress,
    weld_yield,
)
from solver.vectors import Array


def sleeve_checks(
    context: SizingContext, sleeve: ArmSleeveDimensions, steel: Material, section: ArmSection
) -> tuple[Check, ...]:
    """All checks of a sleeve on a measured arm."""
    # Places along the arm, mm from the ball joint: its cut ends, the sleeve's ends, the rows of plug holes.
    outer = link_of(context.solution.job.car, "left").cut
    inner = outer + sleeve.extension
    tips = (outer - sleeve.covered, inner + sleeve.covered)
    in_tongue, at_side = sleeve.plug_heights
    rows = (outer - in_tongue, outer - at_side, inner + at_side, inner + in_tongue)

    ring, arm = sections(sleeve, section)
    arm_steel = material(section.material)
    span = link_of(context.solution.job.car, "left").length + sleeve.extension
    net = _net(ring, sleeve)

    def throat(force: Array, moment: Array, torque: Array) -> Array:
        if sleeve.shape == "round":
            return round_weld_stress(sleeve.wall, sleeve.outside_width / 2, force, moment, torque)
        narrow, wide = sorted((sleeve.outside_width, sleeve.outside_height))
        return rectangle_weld_stress(sleeve.wall, wide, narrow, force, moment, torque)

    def plugs(force: Array, moment: Array, torque: Array) -> Array:
        return plug_stress(sleeve.plug_hole_diameter, sleeve.plug_holes_per_end, force)

    link = context.loads.link

    @cache
    def at(place: float) -> tuple[Array, Array, Array]:
        return link.axial(place), link.moment(place), link.torque(place)

    def worst(stress: Stress, places: Iterable[float]) -> tuple[float, str, Where]:
        """Largest stress over places, cases and poses; the forces that make it, and where."""
        value, row, place = max(_largest(stress(*at(place)), place) for place in places)
        force, moment, torque = (float(column[row]) for column in at(place))
        said = f"{place:.0f} mm from the ball joint: N = {force / 1000:.1f} kN, M = {moment / 1000:.0f} N m"
        said += f", T = {torque / 1000:.0f} N m" if abs(torque) > 500 else ""
        return value, said, where(context.sweep.cases, context.loads, row)

    gap, gap_inputs, gap_where = worst(ring.stress, (outer, inner))
    hole, hole_inputs, hole_where = worst(net.stress, rows)
    weld, weld_inputs, weld_where = worst(throat, tips)
    plug, plug_inputs, plug_where = worst(plugs, tips)
    beyond, beyond_inputs, beyond_where = worst(arm.stress, tips)
    push, push_where = context.worst(lambda t: -np.minimum(t.link.axial(outer), t.link.axial(t.link.whole)))
    shape = f"A = {ring.area:.0f} mm², I = {ring.second_moment:.3g} mm⁴, c = {ring.fibre:.1f} mm"
    beside = f"{steel.said}, {steel.welded_yield:.0f} MPa beside a weld"
    return (
        Check(
            "stress in the sleeve over the gap",
            gap,
            steel.welded_yield,
            "MPa",
            "√((N/A + M c/I)² + 3 τ²) of the sleeve alone, against yield beside a weld",
            "any text on strength of materials; strength beside a weld: Shigley, section 9-9",
            f"{gap_inputs}, {shape}, {beside}",
            gap_where,
        ),
        Check(
            "stress in the net section at the plug holes",
            hole,
            steel.welded_yield,
            "MPa",
            "the same less one pair of holes at the outer fibres, at the worst row; the arm inside is left aside",
            "any text on strength of materials; strength beside a weld: Shigley, section 9-9",
            f"{hole_inputs}, A = {net.area:.0f} mm², I = {net.second_moment:.3g} mm⁴, {beside}",
            hole_where,
        ),
        Check(
            "stress in the weld at the sleeve's end",
            weld,
            weld_yield(),
            "MPa",
            "throat of a fillet round the sleeve at its tip, against yield of the weld metal in shear; fish-mouth and "
            "plugs left aside",
            "Shigley, tables 9-1, 9-2 and 9-3",
            f"{weld_inputs}, leg {sleeve.wall:.2f} mm, filler of the E70 class",
            weld_where,
        ),
        Check(
            "stress in the arm beside the sleeve's weld",
            beyond,
            arm_steel.welded_yield,
            "MPa",
            "√((N/A + M c/I)² + 3 τ²) of the measured arm at the sleeve's tips, against its yield beside a weld",
            "any text on strength of materials; strength beside a weld: Shigley, section 9-9",
            f"{beyond_inputs}, A = {arm.area:.0f} mm², I = {arm.second_moment:.3g} mm⁴, {arm_steel.said}, "
            f"{arm_steel.welded_yield:.0f} MPa beside a weld",
            beyond_where,
        ),
        Check(
            "plug welds alone under the arm's pull or push",
            plug,
            weld_yield(),
            "MPa",
            "N over the plugs of one end, against yield of the weld metal in shear: what holds when the fillet cracks",
            "any text on welds; filler: Shigley, table 9-3",
            f"{plug_inputs}, {sleeve.plug_holes_per_end} plugs of {sleeve.plug_hole_diameter:.1f} mm",
            plug_where,
        ),
        Check(
            "leg of the fillet",
            least_leg(section.wall),
            sleeve.wall,
            "mm",
            "leg, one wall of the sleeve, against the least one for the arm's wall under loads that come and go",
            "AWS D1.1, minimum fillet sizes",
            f"arm's wall {section.wall:.2f} mm",
            Where("any"),
            required=1.0,
        ),
        Check(
            "buckling of the lengthened arm",
            max(push, 1.0),
            column_strength(arm, span, arm_steel.welded_yield, arm_steel.modulus),
            "N",
            "pinned column of the measured section, Euler or Johnson",
            "Shigley, 9th ed., equations 4-43 and 4-48",
            f"length {span:.0f} mm, A = {arm.area:.0f} mm², I = {arm.second_moment:.3g} mm⁴, {arm_steel.said}",
            push_where,
        ),
        *fatigue_checks(context, tips, rows, arm, net, throat),
    )


def sections(sleeve: ArmSleeveDimensions, section: ArmSection) -> tuple[Section, Section]:
    """Sections of the sleeve and of the measured arm."""
    if sleeve.shape == "round":
        return tube(sleeve.outside_width, sleeve.inside_width), arm_section(section)
    return box(sleeve.outside_width, sleeve.outside_height, sleeve.wall), arm_section(section)


def arm_section(section: ArmSection) -> Section:
    """The measured arm's section."""
    if section.shape == "round":
        return tube(section.width, max(section.width - 2 * section.wall, 0.0))
    return box(section.width, section.height, section.wall)


def _largest(values: Array, place: float) -> tuple[float, int, float]:
    row = int(np.argmax(values))
    return float(values[row]), row, place


def _net(ring: Section, sleeve: ArmSleeveDimensions) -> Section:
    """The sleeve's section less one pair of plug holes at its outer fibres."""
    lost = 2 * sleeve.plug_hole_diameter * sleeve.wall
    arm = min(sleeve.inside_width, sleeve.inside_height) / 2 + sleeve.wall / 2
    return Section(ring.area - lost, ring.second_moment - lost * arm**2, ring.fibre, ring.twist)
