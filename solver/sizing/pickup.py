"""The knuckle's steering arm where the tie-rod pickup is drilled anew, as far as it was measured."""

from __future__ import annotations

import math

import numpy as np

from solver.loading.inputs import SteeringArm
from solver.part import Check, Member, Where
from solver.sizing.context import SizingContext
from solver.strength.materials import material

LEAST_HOLE = 12.0
"""Of a tie-rod taper at its large end, mm: no car has a smaller one. Common practice, no source."""
EDGE_SHARE = 1.5
"""Of the hole's diameter from its middle to an edge, for a part that steers. Common practice, no source."""


def pickup(context: SizingContext) -> Member | None:
    """What the new hole makes of the steering arm; None where the pickup stays."""
    move = context.solution.changes.pickup_move
    size = math.hypot(move.forward, move.outward, move.up)
    if not size:
        return None
    name, changed = "steering arm of the knuckle", f"tie-rod pickup moved by {size:.1f} mm"
    arm, metal = context.solution.job.loads.steering_arm, context.solution.job.pickup
    common = ("the taper's fit and depth, cracks, and the knuckle's own strength",)
    if arm is not None:
        return Member(
            name,
            changed,
            (*_place(arm.hole, arm.edge, size), *_section(context, arm, size)),
            common,
        )
    if metal is not None and metal.way == "drill" and metal.hole:
        ways = ((move.forward, metal.forward), (move.outward, metal.outward))
        edge = min(min(shift - low, high - shift) for shift, (low, high) in ways)
        unknown = "section left and bearing: [steering_arm] is not measured"
        return Member(name, changed, _place(metal.hole, max(edge, 0.0), size), (unknown, *common))
    if metal is not None and metal.way == "weld":
        weld = "the weld of the pickup cut off and welded on: no rule of thumb decides about it, an engineer does"
        return Member(name, changed, (), (weld, *common))
    overlap: tuple[str, ...] = ()
    level = math.hypot(move.forward, move.outward)
    if level < 1.25 * LEAST_HOLE and not move.up:
        overlap = (
            f"old and new hole run into each other: they are {level:.1f} mm apart, no taper is under "
            f"{LEAST_HOLE:.0f} mm wide",
        )
    unknown = "edge distance, section left and bearing: [steering_arm] is not measured"
    return Member(name, changed, (), (*overlap, unknown, *common))


def _place(hole: float, edge: float, move: float) -> tuple[Check, ...]:
    """Of a hole of some diameter: from its middle to the nearest edge, and from the old one."""
    return (
        Check(
            "edge distance of the new hole",
            EDGE_SHARE * hole,
            edge,
            "mm",
            "hole's middle to the nearest edge, against 1.5 diameters",
            "common practice, no source; EN 1993-1-8, table 3.3, asks for 1.2",
            f"hole {hole:.1f} mm, {edge:.1f} mm to the edge as measured",
            Where("any"),
            required=1.0,
        ),
        Check(
            "metal between old and new hole",
            hole / 4,
            max(move - hole, 0.0),
            "mm",
            "distance of both holes less one diameter, against a quarter of a diameter",
            "common practice, no source",
            f"holes {move:.1f} mm apart, {hole:.1f} mm each",
            Where("any"),
            required=1.0,
        ),
    )


def _section(context: SizingContext, arm: SteeringArm, move: float) -> tuple[Check, ...]:
    steel = material(arm.material)
    force, where = context.worst(lambda t: np.abs(t.tie_rod))
    left = arm.thickness * (arm.width**3 - arm.hole**3) / (6 * arm.width)
    said = (
        f"F = {force / 1000:.1f} kN, arm {arm.width:.1f} mm × {arm.thickness:.1f} mm, hole {arm.hole:.1f} mm"
    )
    return (
        Check(
            "bearing of the stud in the hole",
            force / (arm.hole * arm.thickness),
            steel.yield_strength,
            "MPa",
            "F over diameter times thickness, against yield",
            "any text on strength of materials",
            f"{said}, {steel.said}",
            where,
        ),
        Check(
            "bending of the arm at the old hole",
            force * move / left,
            steel.yield_strength,
            "MPa",
            "F times the move over the section left beside the old hole, h (b³ − d³)/6 b, against yield",
            "any text on strength of materials",
            f"{said}, {steel.said}",
            where,
        ),
    )
