"""Strength of the bump-stop bracket under the hardest hit that it takes."""

from __future__ import annotations

import math
from typing import NamedTuple

from solver.car import Side
from solver.families.bump_stop import BumpStopDimensions
from solver.loading.envelope import worst
from solver.part import Check, Where
from solver.sizing.context import SizingContext
from solver.strength.materials import UNKNOWN, Material, material
from solver.strength.sections import Section, plate, ribbed_plate
from solver.strength.threads import proof_strength, thread_stress_area
from solver.strength.welds import rectangle_weld_stress, weld_yield

PRYING_SHARE = 1.25
"""Of the distance from bolt to leg: further behind the bolts the base can't press (AISC Manual, prying action)."""
BOLT_CLASS = "8.8"


class Bolt(NamedTuple):
    """How a bracket is bolted on, mm: diameter and pitch of the thread; base left behind the bolts."""

    diameter: float
    pitch: float
    behind: float


BOLTS = (Bolt(10.0, 1.5, 20.0), Bolt(10.0, 1.5, 30.0), Bolt(10.0, 1.5, 40.0), Bolt(12.0, 1.75, 40.0))
"""Tried in turn, smallest first. Common practice, no source."""


def bracket_checks(
    context: SizingContext, bracket: BumpStopDimensions, steel: Material, side: Side, bolt: Bolt | None
) -> tuple[Check, ...]:
    """All checks of one bracket."""
    force, where, said = _hit(context, side)
    gusset, leg = _leg(bracket, force)
    weakest = material(UNKNOWN)
    softer = min((steel, weakest), key=lambda m: m.yield_strength)
    face = math.pi / 8 * bracket.pad_diameter**2
    found = [
        Check(
            "bending of the leg",
            leg,
            steel.welded_yield,
            "MPa",
            "M c/I of leg with gusset at its foot, of the plate above the gusset, against yield beside a weld",
            "any text on strength of materials; strength beside a weld: Shigley, section 9-9",
            f"{said}, {bracket.thickness:.1f} mm plate {bracket.width:.0f} mm wide, {steel.said}",
            where,
        ),
        Check(
            "weld of the gusset",
            gusset,
            weld_yield(),
            "MPa",
            "M Q/I of the gusset over two fillets along the base, against yield of the weld metal in shear",
            "any text on strength of materials; filler: Shigley, table 9-3",
            f"{said}, leg {bracket.gusset_fillet:.0f} mm, filler of the E70 class",
            where,
        ),
        Check(
            "bearing of the pad",
            force / face,
            softer.yield_strength,
            "MPa",
            "F over half of the pad's face, against yield of the softer of pad and knuckle",
            "any text on strength of materials",
            f"{said}, half face {face:.0f} mm², knuckle of {weakest.said}",
            where,
        ),
    ]
    if bolt is None:
        return (*found, _weld(bracket, force, where, said))
    return (*found, *_bolted(bracket, steel, force, where, said, bolt))


def _hit(context: SizingContext, side: Side) -> tuple[float, Where, str]:
    """The hardest hit on the pad, where it is, and what it is made of."""
    hits = context.hits[side]
    if not hits.rows:
        return 0.0, Where("any", side), "F = 0"
    force, where = worst(context.sweep.cases, hits, hits.pad)
    steady = float(hits.steady[int(hits.pad.argmax())])
    said = f"F = {force / 1000:.1f} kN: {steady / 1000:.1f} kN steady, impact factor {force / steady:.2f}"
    return force, where, said


def _leg(bracket: BumpStopDimensions, force: float) -> tuple[float, float]:
    """Stress in the gusset's weld and in the leg, MPa."""
    t = bracket.thickness
    root = bracket.pad_height - t - bracket.gusset_snipe
    depth = bracket.gusset_base * (1 - bracket.gusset_snipe / bracket.gusset_height)
    above = max(bracket.pad_height - t - bracket.gusset_height, 0.0)
    foot = ribbed_plate(bracket.width, t, t, depth)
    stress = max(
        float(foot.stress(0.0, force * root)),
        float(plate(bracket.width, t).stress(0.0, force * above)),
    )
    length = bracket.gusset_base - bracket.gusset_snipe
    return _web_force(bracket, depth, force * root) / (2 * 0.707 * bracket.gusset_fillet * length), stress


def _web_force(bracket: BumpStopDimensions, depth: float, moment: float) -> float:
    """Force in N that bending puts into the gusset as a rib: M Q / I."""
    t, web = bracket.thickness, bracket.thickness * depth
    area = bracket.width * t
    section: Section = ribbed_plate(bracket.width, t, t, depth)
    middle = (area * t / 2 + web * (t + depth / 2)) / (area + web)
    return moment * web * (t + depth / 2 - middle) / section.second_moment


def _weld(bracket: BumpStopDimensions, force: float, where: Where, said: str) -> Check:
    leg = bracket.base_fillet
    stress = rectangle_weld_stress(leg, bracket.width, bracket.base_flat, force, force * bracket.pad_height)
    return Check(
        "stress in the weld round the base",
        float(stress),
        weld_yield(),
        "MPa",
        "throat of a fillet all round under shear and overturning, against yield of the weld metal in shear",
        "Shigley, tables 9-2 and 9-3",
        f"{said}, leg {leg:.1f} mm round {bracket.width:.0f} mm × {bracket.base_flat:.0f} mm, filler of the E70 class",
        where,
    )


def _bolted(
    bracket: BumpStopDimensions, steel: Material, force: float, where: Where, said: str, bolt: Bolt
) -> tuple[Check, ...]:
    t = bracket.thickness
    lever = min(bracket.mount_x, PRYING_SHARE * (bracket.leg_inner_x - bracket.mount_x))
    overturning = force * bracket.pad_height
    tension = overturning / (2 * lever)
    proof = proof_strength(BOLT_CLASS) * thread_stress_area(bolt.diameter, bolt.pitch)
    # At the bolts the base carries all of the overturning moment: pressed down behind them, lifted before them.
    start = bracket.leg_inner_x - bracket.gusset_base
    depth = bracket.gusset_height * max(bracket.mount_x - start, 0.0) / bracket.gusset_base
    base = ribbed_plate(bracket.width - 2 * bracket.bolt_hole_diameter, t, t, depth)
    bearing = force / (2 * bolt.diameter * t)
    return (
        Check(
            "tension in each bolt, prying and shear included",
            math.hypot(tension, math.sqrt(3) * force / 2),
            proof,
            "N",
            "√((F h/2a)² + 3 (F/2)²), a from the bolts to where the base presses at the most, against proof load",
            "statics; a: AISC Manual, prying action (1.25 b); proof load: ISO 898-1",
            f"{said}, h = {bracket.pad_height:.1f} mm, a = {lever:.1f} mm, two M{bolt.diameter:.0f} {BOLT_CLASS}",
            where,
        ),
        Check(
            "bending of the base at the bolts",
            float(base.stress(0.0, overturning)),
            steel.welded_yield,
            "MPa",
            "F h c/I of the base less both holes, with the gusset's height there, against yield beside a weld",
            "any text on strength of materials; strength beside a weld: Shigley, section 9-9",
            f"{said}, h = {bracket.pad_height:.1f} mm, gusset {depth:.1f} mm high there, {steel.said}",
            where,
        ),
        Check(
            "bearing of the bolts in the base",
            bearing,
            steel.yield_strength,
            "MPa",
            "F/2 over bolt diameter times thickness, against yield",
            "any text on strength of materials",
            f"{said}, {t:.1f} mm plate",
            where,
        ),
    )
