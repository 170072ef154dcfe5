"""Sizes the bump-stop bracket: its pad meets the knuckle at the first limit, over all suspension travel."""

from __future__ import annotations

import math

import numpy as np

from solver.car import StopMount
from solver.families.bump_stop import BumpStopDimensions
from solver.front_end import Assembly, link_of
from solver.loads import CaseLoads
from solver.part import Check, Part, Refusal
from solver.sizing.arm_sleeve import sleeve_cover
from solver.sizing.context import SizingContext, accepted
from solver.sizing.stop_contact import StopContact, stop_contact
from solver.stock import clearance_hole, plate_label, plate_thicknesses
from solver.strength import (
    BOLT_PROOF,
    SUDDEN_LOAD,
    Material,
    Section,
    material,
    rectangle_weld_stress,
    ribbed_plate,
    thread_stress_area,
    weld_yield,
)
from solver.vectors import Array

PAD_DIAMETER, PAD_THICKNESS = 30.0, 6.0
ROD_RADIUS, ROD_GAP = 10.0, 5.0
"""Half of a usual tie rod's diameter, and the gap that is kept to it; mm. Common practice, no source."""
LOST_LOCK = math.radians(0.05)
"""How much of the wanted lock the stop may take at ride height because it must hold at bump and droop as well."""
STOP_BOLT, STOP_BOLT_PITCH = 10.0, 1.5
"""M10 bolts; diameter and pitch of the thread, mm."""
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
    turn = solution.as_modified.turn(mount.side)
    contact = stop_contact(front_end, assembly, mount, turn)
    if isinstance(contact, str):
        return Refusal(name, "pad out of reach", contact, "measure another place for the bracket")
    if contact.at_ride < solution.job.goal.lock - LOST_LOCK:
        return Refusal(
            name,
            "lock left",
            f"a pad that holds at bump and droop stops the wheel at {math.degrees(contact.at_ride):.1f}° at ride "
            f"height, {math.degrees(solution.job.goal.lock - contact.at_ride):.1f}° short of the wanted lock",
            "a contact boss closer to the height of the ball joint, so that suspension travel moves it less",
        )
    steel = material(solution.job.part_choices.bracket_material)
    thick = [t for t in plate_thicknesses(solution.job.stock_units) if 4.5 <= t <= 12.8]
    # Of the refusals the thinnest plate's tells most: a thicker one is only further out of reach.
    refused: Refusal | None = None
    for thickness in thick:
        result = _part(context, mount, contact, steel, thickness, assembly)
        if isinstance(result, Part):
            return result
        refused = refused or result
    return refused or Refusal(
        name, "plate", "no plate of a fitting thickness is on the shelf", "another plate"
    )


def _part(
    context: SizingContext,
    mount: StopMount,
    contact: StopContact,
    steel: Material,
    thickness: float,
    assembly: Assembly,
) -> Part | Refusal:
    solution = context.solution
    turn = solution.as_modified.turn(mount.side)
    name = f"{BumpStopDimensions.family}-{mount.side}"
    dimensions = _dimensions(contact, thickness, mount.attachment == "bolt")
    if isinstance(dimensions, str):
        return Refusal(name, "pad out of reach", dimensions, "measure another place for the bracket")
    crowded = _in_the_way(context, contact, dimensions, assembly)
    if crowded:
        return Refusal(
            name, "room on the arm", crowded, "another place for the bracket, or for the cut in the arm"
        )
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
    reach = dimensions.reach
    return accepted(
        Part(
            name=name,
            dimensions=dimensions,
            quantity=1,
            fits=f"on the {mount.side} lower arm, pad facing the knuckle's contact boss",
            material=steel.name,
            process=f"cut from {plate_label(thickness)} plate, bent, gusset and steel pad welded in; "
            + ("two M10 bolts of class 8.8" if dimensions.bolted else "fillet weld all round the base"),
            reasons=(
                f"pad position: {why}",
                f"stops the wheel at {spread.min():.1f}° to {spread.max():.1f}° over the whole suspension travel, "
                f"{math.degrees(contact.at_ride):.1f}° at ride height",
                f"reach {reach:.1f} mm and height {dimensions.pad_height:.1f} mm: where the contact boss is then, "
                "seen from the arm",
                f"thickness {thickness:.2f} mm: the thinnest plate that passes the strength checks",
            ),
            role="limits steering",
            if_it_fails="the wheel can steer past its limit: into the body, or over centre, where it stays turned",
            qualified=(
                "whether the arm may be drilled or welded at this place",
                "the weld or the bolts, and the knuckle's boss that takes the hit",
            ),
            checks=_checks(context, contact, dimensions, steel, mount),
            notes=(
                _place_words(contact, dimensions, assembly),
                f"it needs a flat place of {dimensions.base_flat:.0f} mm by {dimensions.width:.0f} mm on the arm, or a "
                "saddle plate that makes one",
                _fixing_words(dimensions),
                "sizes to ISO 2768-m; gusset and pad with 4 mm fillets all round, filler of the E70 class "
                "(ISO 14341 G 42) or better; deburr, no paint within 30 mm of a weld",
                "try it with the printed mock-up at bump, ride height and droop before it is fixed for good",
                f"it stops the {mount.side} turn only: fit both brackets",
            ),
            placement=contact.placement(dimensions.mount_x),
        )
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


def _fixing_words(bracket: BumpStopDimensions) -> str:
    if bracket.bolted:
        return "two M10 bolts of class 8.8; through a hollow arm they need crush tubes welded in"
    return f"fillet all round the base with a leg of {min(bracket.thickness, 6.0):.1f} mm"


def _in_the_way(
    context: SizingContext, contact: StopContact, bracket: BumpStopDimensions, assembly: Assembly
) -> str | None:
    """Why the bracket would meet the sleeve or the tie rod; None when both stay clear of it."""
    body = _outline_points(contact, bracket)
    sleeve = _covered_by_sleeve(context, assembly)
    if sleeve is not None:
        link = link_of(context.solution.job.car, assembly.side)
        from_ball = (assembly.corner.arm_ball - body[:4]) @ link.along
        if from_ball.max() > sleeve[0] and from_ball.min() < sleeve[1]:
            return (
                f"the bracket's base covers the arm from {from_ball.min():.0f} mm to {from_ball.max():.0f} mm inboard "
                f"of the ball joint, the sleeve from {sleeve[0]:.0f} mm to {sleeve[1]:.0f} mm"
            )
    # Every third place on the way: the rod moves by less than a millimetre between two of them.
    rods = contact.tie_rod[::3]
    along = rods[:, 1] - rods[:, 0]
    offset = body[None, :, :] - rods[:, None, 0]
    share = np.clip(np.sum(offset * along[:, None], axis=-1) / np.sum(along**2, axis=-1)[:, None], 0, 1)
    gap = float(np.linalg.norm(offset - share[..., None] * along[:, None], axis=-1).min()) - ROD_RADIUS
    if gap < ROD_GAP:
        return (
            f"the bracket comes within {gap:.1f} mm of a tie rod of {2 * ROD_RADIUS:.0f} mm diameter on its way to the "
            f"stop; {ROD_GAP:.0f} mm are the least"
        )
    return None


def _outline_points(contact: StopContact, bracket: BumpStopDimensions) -> Array:
    """Points on the bracket, seen from the arm, (n, 3): the base's corners first, then the leg and the pad."""
    half, pad = bracket.width / 2, bracket.pad_diameter / 2
    face = bracket.leg_outer_x + bracket.pad_thickness
    local = [(x, y, 0.0) for x in (0.0, bracket.leg_outer_x) for y in (-half, half)]
    rise = np.linspace(0.0, bracket.height, 7)
    local += [(bracket.leg_outer_x, y, z) for y in np.linspace(-half, half, 7) for z in rise]
    local += [
        (face, pad * math.cos(turn), bracket.pad_height + pad * math.sin(turn))
        for turn in np.linspace(0, 2 * math.pi, 13)
    ]
    place = contact.placement(bracket.mount_x)
    x_axis, z_axis = np.array(place.x_axis), np.array(place.z_axis)
    axes = np.stack([x_axis, np.cross(z_axis, x_axis), z_axis])
    return np.asarray(np.array(place.origin) + np.array(local) @ axes)


def _covered_by_sleeve(context: SizingContext, assembly: Assembly) -> tuple[float, float] | None:
    """From where to where the sleeve covers the arm, mm from the ball joint; None without a sleeve."""
    extension = context.solution.changes.arm_extension
    if extension <= 0:
        return None
    link = link_of(context.solution.job.car, assembly.side)
    covered = sleeve_cover(context.solution.job)
    return link.cut - covered, link.cut + extension + covered


def _dimensions(contact: StopContact, t: float, bolted: bool) -> BumpStopDimensions | str:
    bend = t
    hole = clearance_hole(STOP_BOLT) if bolted else 0.0
    bolt_pitch = 2 * (hole + t / 2) + 2.0 if bolted else 0.0
    width = max(45.0, 4 * t, bolt_pitch + 3 * hole)
    ahead = contact.reach - (bend + t + PAD_THICKNESS)
    least_ahead = 2 * t + hole / 2 if bolted else 0.0
    if ahead < least_ahead:
        return (
            f"the contact boss comes within {contact.reach:.1f} mm of the mounting reference; a bracket of "
            f"{t:.1f} mm plate needs {least_ahead + bend + t + PAD_THICKNESS:.1f} mm"
        )
    behind = max(1.5 * hole, 20.0)
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
    return BumpStopDimensions(
        width=width,
        thickness=t,
        bend_radius=bend,
        base_flat=float(base),
        leg_flat=float(max(leg, math.ceil(4 * t))),
        corner_radius=5.0,
        gusset_base=float(math.floor(max(min(base * 0.7, 35.0), snipe + t + 1))),
        gusset_height=float(math.floor(max(min(contact.height - t, bend + leg), snipe + t + 1))),
        gusset_snipe=snipe,
        pad_diameter=PAD_DIAMETER,
        pad_thickness=PAD_THICKNESS,
        pad_height=round(contact.height, 1),
        mount_x=round(base - ahead, 2),
        bolt_hole_diameter=hole,
        bolt_pitch=bolt_pitch,
        k_factor=K_FACTOR,
    )


def _checks(
    context: SizingContext,
    contact: StopContact,
    bracket: BumpStopDimensions,
    steel: Material,
    mount: StopMount,
) -> tuple[Check, ...]:
    hits = [c for c in context.cases if c.side == mount.side and "lock" in c.case]
    hit: CaseLoads = max(hits, key=lambda c: abs(c.about_axis))
    force = SUDDEN_LOAD * abs(hit.about_axis) / contact.lever
    t = bracket.thickness
    root = bracket.pad_height - t - bracket.gusset_snipe
    depth = bracket.gusset_base * (1 - bracket.gusset_snipe / bracket.gusset_height)
    above = max(bracket.pad_height - t - bracket.gusset_height, 0.0)
    plain = Section(bracket.width * t, bracket.width * t**3 / 12, t / 2)
    stress = max(
        ribbed_plate(bracket.width, t, t, depth).stress(0.0, force * root), plain.stress(0.0, force * above)
    )
    bending = Check(
        "bending of the leg",
        stress,
        steel.welded_yield,
        "MPa",
        "2 × moment about the steering axis over the pad's lever, M c/I of leg with gusset, against yield; no driver's "
        "or assistance force",
        hit.case,
    )
    pressure = Check(
        "bearing of the pad",
        force / (math.pi / 4 * bracket.pad_diameter**2),
        steel.yield_strength,
        "MPa",
        "the same force over the pad's face, against yield",
        hit.case,
    )
    overturning = force * bracket.pad_height
    if bracket.bolted:
        tension = overturning / (2 * bracket.mount_x)
        hold = Check(
            "tension in each bolt with shear",
            math.hypot(tension, math.sqrt(3) * force / 2),
            BOLT_PROOF * thread_stress_area(STOP_BOLT, STOP_BOLT_PITCH),
            "N",
            "overturning about the base's free end and shear as an equivalent tension, against proof load (ISO 898-1)",
            hit.case,
        )
    else:
        hold = Check(
            "stress in the weld round the base",
            rectangle_weld_stress(min(t, 6.0), bracket.width, bracket.base_flat, force, overturning),
            weld_yield(),
            "MPa",
            "throat of a fillet all round under shear and overturning (Shigley, table 9-2), against yield of the weld "
            "metal in shear",
            hit.case,
        )
    return (bending, pressure, hold)
