"""Sizes the bump-stop bracket: its pad meets the knuckle at the first limit, over all suspension travel."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np

from solver.car import StopMount
from solver.families.bump_stop import BumpStopDimensions
from solver.front_end import Assembly
from solver.part import Inspection, Part, Refusal
from solver.sizing.bracket_checks import BOLTS, Bolt, bracket_checks
from solver.sizing.bracket_room import in_the_way
from solver.sizing.context import DIMENSION_LIMIT, NO_ROOM, SizingContext, accepted, not_weldable
from solver.sizing.stop_contact import StopContact
from solver.stock import clearance_hole, plate_label, plate_thicknesses
from solver.strength.materials import Material, material

PAD_DIAMETER, PAD_THICKNESS = 30.0, 6.0
CORNER = 5.0
"""Radius of base and leg, and what the gusset keeps below the leg's end, mm."""
K_FACTOR = 0.44
"""Neutral layer of an air-bent plate at an inside radius of one to two thicknesses. Common practice, no source."""


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One bracket for each side on which a place for it was measured."""
    return [_side(context, mount) for mount in context.solution.job.car.stop_mounts]


def _side(context: SizingContext, mount: StopMount) -> Part | Refusal:
    solution = context.solution
    front_end = solution.as_modified.front_end
    assembly = front_end.left if mount.side == "left" else front_end.right
    name = f"{BumpStopDimensions.family}-{mount.side}"
    contact = context.contacts[mount.side]
    if isinstance(contact, str):
        return Refusal(name, "pad out of reach", contact, "measure another place for the bracket")
    if not context.leaves_lock(contact):
        return Refusal(
            name,
            "lock left",
            f"a pad that holds at bump and droop stops the wheel at {math.degrees(contact.at_ride):.1f}° at ride "
            f"height, {math.degrees(solution.job.goal.lock - contact.at_ride):.1f}° short of the wanted lock",
            "a contact boss closer to the height of the ball joint, so that suspension travel moves it less",
        )
    steel = material(solution.job.part_choices.bracket_material)
    unfit = not_weldable(name, steel, "bracket_material")
    if unfit:
        return unfit
    thick = [t for t in plate_thicknesses(solution.job.shelf) if 4.5 <= t <= 12.8]
    ways = list(itertools.product(thick, BOLTS if mount.attachment == "bolt" else (None,)))
    # Of the refusals for room the thinnest plate's tells most: a thicker one is only further out of reach.
    refused: list[Refusal] = []
    for thickness, bolt in ways:
        result = _part(context, mount, contact, steel, thickness, bolt, assembly, ())
        if isinstance(result, Part):
            return result
        refused.append(result)
    override = solution.job.part_choices.override
    for thickness, bolt in ways[::-1] if override else ():
        result = _part(context, mount, contact, steel, thickness, bolt, assembly, override)
        if isinstance(result, Part):
            return result
    return _telling(refused) or Refusal(
        name, "plate", "no plate of a fitting thickness is on the shelf", "another plate"
    )


def _telling(refused: list[Refusal]) -> Refusal | None:
    """The refusal that a builder can do something about: strength by the thickest plate, else room by the thinnest."""
    if not refused:
        return None
    room = ("pad out of reach", NO_ROOM, DIMENSION_LIMIT)
    strong = [item for item in refused if item.limit not in room]
    if not strong:
        return refused[0]
    better = "a boss nearer to the arm's face, more room to it for a thicker plate, a welded bracket for a bolted one"
    return replace(strong[-1], nearest=f"{better}; {strong[-1].nearest}")


def _part(
    context: SizingContext,
    mount: StopMount,
    contact: StopContact,
    steel: Material,
    thickness: float,
    bolt: Bolt | None,
    assembly: Assembly,
    override: tuple[str, ...],
) -> Part | Refusal:
    solution = context.solution
    turn = solution.as_modified.turn(mount.side)
    name = f"{BumpStopDimensions.family}-{mount.side}"
    dimensions = _dimensions(contact, thickness, bolt)
    if isinstance(dimensions, str):
        return Refusal(name, "pad out of reach", dimensions, "measure another place for the bracket")
    crowded = in_the_way(context, contact, dimensions, assembly)
    if crowded:
        return Refusal(name, NO_ROOM, crowded, "another place for the bracket, or for the cut in the arm")
    first = turn.first_limit
    by_rack = turn.rack < first.rack
    why = (
        f"at ride height met {first.rack - turn.rack:.1f} mm of rack before the {first.name}, which comes first at "
        f"{math.degrees(first.lock):.1f}°"
        if by_rack
        else f"met where the first limit is: {first.name} at {math.degrees(first.lock):.1f}° of lock, its margin "
        "or clearance included"
    )
    if contact.rack_stop_first:
        low, high = min(contact.rack_stop_first), max(contact.rack_stop_first)
        where = f"at {low:+.0f} mm" if low == high else f"from {low:+.0f} mm to {high:+.0f} mm"
        why += f"; {where} of wheel travel the rack's own stop is still met before the pad"
    spread = np.degrees(contact.locks)
    vehicle = context.vehicle
    fixing = f"two M{bolt.diameter:.0f} bolts of class 8.8" if bolt else "fillet weld all round the base"
    return accepted(
        Part(
            name=name,
            dimensions=dimensions,
            quantity=1,
            fits=f"on the {mount.side} lower arm, pad facing the knuckle's contact boss",
            material=steel.name,
            process=f"cut from {plate_label(thickness)} plate, bent, gusset and steel pad welded in; {fixing}",
            reasons=(
                f"pad position: {why}",
                f"stops the wheel at {spread.min():.1f}° to {spread.max():.1f}° over the whole suspension travel, "
                f"{math.degrees(contact.at_ride):.1f}° at ride height",
                f"reach {dimensions.reach:.1f} mm and height {dimensions.pad_height:.1f} mm: where the contact boss is "
                "then, seen from the arm",
                f"thickness {thickness:.2f} mm: the thinnest plate that passes the strength checks",
            ),
            role="limits steering",
            if_it_fails="the wheel can steer past its limit: into the body, or over centre, where it stays turned",
            qualified=(
                "whether the arm may be drilled or welded at this place",
                "the weld or the bolts, and the knuckle's boss that takes the hit",
            ),
            checks=bracket_checks(context, dimensions, steel, mount.side, bolt),
            loads=context.part_loads("pad", of=context.hits[mount.side]),
            assumptions=(
                f"driver and assistance push the rack with {vehicle.rack_push / 1000:.1f} kN while the stop is hit",
                f"wheels and steering wheel swing to lock at {vehicle.values['swing_rate']:.0f}°/s, and all that gives "
                f"together has {vehicle.values['stop_stiffness'] / 1000:.0f} kN/mm",
                "boss and pad meet over half of the pad's face, without friction",
                f"welds sound and full, filler of the E70 class; plate of {steel.said}",
            ),
            not_assessed=(
                "the arm's wall under bracket or bolts: a hollow arm may dent before the bracket bends",
                "the knuckle's boss and its root",
            ),
            inspection=_inspection(bolt),
            notes=(
                _place_words(contact, dimensions, assembly),
                f"it needs a flat place of {dimensions.base_flat:.0f} mm by {dimensions.width:.0f} mm on the arm, or a "
                "saddle plate that makes one",
                _fixing_words(dimensions, bolt),
                f"sizes to ISO 2768-m; gusset and pad with {dimensions.gusset_fillet:.0f} mm fillets all round, filler "
                "of the E70 class (ISO 14341 G 42) or better; deburr, no paint within 30 mm of a weld",
                "try it with the printed mock-up at bump, ride height and droop before it is fixed for good",
                f"it stops the {mount.side} turn only: fit both brackets",
            ),
            placement=contact.placement(dimensions.mount_x),
        ),
        override,
    )


def _inspection(bolt: Bolt | None) -> Inspection:
    fixed = "torque of both bolts against the paint mark" if bolt else "the weld round the base for cracks"
    return Inspection(
        before_welding=(
            "the place on the arm: flat, sound, no rust, not where the sleeve or a bush is",
            "the printed mock-up meets the boss squarely at droop, ride height and bump",
        ),
        after_welding=("gusset, pad and base by eye, then by penetrant or magnetic particles",),
        after_first_run=(fixed, "marks on the pad: in its middle, on both sides at the same lock"),
        again=(fixed, "leg and gusset straight, pad not dented, boss not cracked"),
    )


def _place_words(contact: StopContact, bracket: BumpStopDimensions, assembly: Assembly) -> str:
    """Where the bracket goes, from the ball joint's centre, and where it points."""
    side = assembly.corner.side
    offset = contact.reference - assembly.corner.arm_ball
    ahead, inboard = float(offset[0]), -side * float(offset[1])
    angle = math.degrees(math.atan2(side * contact.direction[1], contact.direction[0]))
    return (
        f"its mounting reference, {bracket.mount_x:.0f} mm from the base's free end, lies {abs(ahead):.0f} mm "
        f"{'ahead of' if ahead > 0 else 'behind'} and {inboard:.0f} mm inboard of the ball joint's centre, measured "
        f"square to the car with the arm at ride height; its base points {abs(angle):.0f}° "
        f"{'outwards' if angle > 0 else 'inwards'} from straight ahead, seen from above"
    )


def _fixing_words(bracket: BumpStopDimensions, bolt: Bolt | None) -> str:
    if bolt:
        return (
            f"two M{bolt.diameter:.0f} bolts of class 8.8, marked with paint; through a hollow arm they need crush "
            "tubes welded in"
        )
    return f"fillet all round the base with a leg of {bracket.base_fillet:.1f} mm"


def _dimensions(contact: StopContact, t: float, bolt: Bolt | None) -> BumpStopDimensions | str:
    bend = t
    hole = clearance_hole(bolt.diameter) if bolt else 0.0
    bolt_pitch = 2 * (hole + t / 2) + 2.0 if bolt else 0.0
    width = max(45.0, 4 * t, bolt_pitch + 3 * hole)
    ahead = contact.reach - (bend + t + PAD_THICKNESS)
    least_ahead = 2 * t + hole / 2 if bolt else 0.0
    if ahead < least_ahead:
        return (
            f"the contact boss comes within {contact.reach:.1f} mm of the mounting reference; a bracket of "
            f"{t:.1f} mm plate needs {least_ahead + bend + t + PAD_THICKNESS:.1f} mm"
        )
    behind = max(1.5 * hole, bolt.behind if bolt else 20.0)
    base = math.ceil(max(ahead + behind, 4 * t + 10.0))
    least_height = t + bend + PAD_DIAMETER / 2
    if contact.height < least_height:
        return (
            f"the contact boss passes {contact.height:.1f} mm above the mounting face; a bracket of {t:.1f} mm plate "
            f"needs {least_height:.1f} mm"
        )
    if contact.height_spread > PAD_DIAMETER * 0.8:
        return (
            f"the contact boss wanders {contact.height_spread:.1f} mm up and down over the suspension travel, the "
            f"pad's diameter is {PAD_DIAMETER:.0f} mm"
        )
    # Whole millimetres where the fit doesn't depend on them.
    leg = math.ceil(contact.height + PAD_DIAMETER / 2 + 3.0 - t - bend)
    snipe = bend + 1.0
    # Between bolts and leg the base would bend like a strip without a gusset over all of it.
    gusset_base = base + bend - 2.0 if bolt else min(base * 0.7, 35.0)
    return BumpStopDimensions(
        width=width,
        thickness=t,
        bend_radius=bend,
        base_flat=float(base),
        leg_flat=float(max(leg, math.ceil(4 * t))),
        corner_radius=CORNER,
        gusset_base=float(math.floor(max(gusset_base, snipe + t + 1))),
        gusset_height=float(math.floor(max(bend + leg - CORNER, snipe + t + 1))),
        gusset_snipe=snipe,
        pad_diameter=PAD_DIAMETER,
        pad_thickness=PAD_THICKNESS,
        pad_height=round(contact.height, 1),
        mount_x=round(base - ahead, 2),
        bolt_hole_diameter=hole,
        bolt_pitch=bolt_pitch,
        k_factor=K_FACTOR,
    )
