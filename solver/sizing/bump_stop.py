"""Sizes the bump-stop bracket: its pad meets the knuckle at the first limit, over all suspension travel."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.car import StopMount
from solver.clearance import arm_angle_of
from solver.corner import Pose, pose_corner
from solver.families.bump_stop import BumpStopDimensions
from solver.front_end import Assembly, FrontEnd, link_points, points_of
from solver.limits import rack_sign
from solver.loads import CaseLoads
from solver.measures import steer_angle
from solver.part import Check, Part, Refusal
from solver.search import usable_stop
from solver.sizing.context import SizingContext, accepted
from solver.solution import TurnState
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
from solver.vectors import Array, rotate, unit

PAD_DIAMETER, PAD_THICKNESS = 30.0, 6.0
SIDEWAYS = 30.0
"""How far, mm, the bracket may be moved along the arm from the measured place to face the contact squarely."""
SCAN_BEFORE = 20.0
"""Rack travel before the limit, mm, from which on the meeting of pad and boss is looked for."""
LOST_LOCK = math.radians(0.5)
"""How much of the wanted lock the stop may take at ride height because it must hold at bump and droop as well."""
STOP_BOLT, STOP_BOLT_PITCH = 10.0, 1.5
"""M10 bolts; diameter and pitch of the thread, mm."""
K_FACTOR = 0.44
"""Neutral layer of an air-bent plate at an inside radius of one to two thicknesses. Common practice, no source."""


@dataclass(frozen=True)
class _Contact:
    """Where the knuckle meets the pad, in the arm's frame; mm and radians.

    reach, height: of the pad's face and middle from the mounting reference; sideways: move along the arm
    height_spread: how much the contact wanders up and down over the travel
    locks: steer angle at which the pad is met, for each travel; at_ride: the one at ride height
    lever: of the pad's force about the steering axis
    """

    reach: float
    height: float
    height_spread: float
    sideways: float
    locks: Array
    at_ride: float
    lever: float
    direction: Array


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One bracket for each side on which a place for it was measured."""
    return [_side(context, mount) for mount in context.solution.job.car.stop_mounts]


def _side(context: SizingContext, mount: StopMount) -> Part | Refusal:
    solution = context.solution
    front_end = solution.as_modified.front_end
    assembly = front_end.left if mount.side == "left" else front_end.right
    name = f"{BumpStopDimensions.family}-{mount.side}"
    turn = solution.as_modified.turn(mount.side)
    contact = _contact(front_end, assembly, mount, turn)
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
    results = [_part(context, mount, contact, steel, t) for t in thick]
    made = [result for result in results if isinstance(result, Part)]
    return made[0] if made else results[-1]


def _contact(front_end: FrontEnd, assembly: Assembly, mount: StopMount, turn: TurnState) -> _Contact | str:
    travel, safe = np.array(turn.travel), np.array(turn.safe_rack)
    ride = len(travel) // 2
    sign = rack_sign(front_end, assembly.side)
    angles = front_end.arm_angles(assembly, travel)
    # At each travel the pad must be met before that travel's own limit, at ride height before the rack's stop too.
    last = np.where(np.isfinite(safe), safe, turn.rack)
    last[ride] = min(last[ride], usable_stop(front_end))
    limit_pose = pose_corner(assembly.corner, angles, sign * last)
    if not limit_pose.reachable.all():
        return "the stop would be met only after over-centre"
    place, normal = _mount_on_arm(front_end, assembly, mount), unit(np.array(mount.normal))
    grid = np.linspace(max(0.0, turn.rack - SCAN_BEFORE), last.max(), 161)
    pose = pose_corner(assembly.corner, angles, sign * grid[:, None])
    boss = np.array(mount.contact)
    met, at_limit = (_in_arm_frame(p, p.point(boss)) for p in (pose, limit_pose))
    slightly_before = pose_corner(assembly.corner, angles[ride], np.array(sign * (last[ride] - 0.1)))
    motion = at_limit[ride] - _in_arm_frame(slightly_before, slightly_before.point(boss))
    direction = -unit(motion - normal * (motion @ normal))
    reaches = (at_limit - place) @ direction
    due = np.isfinite(safe)
    due[ride] = True
    reach = float(reaches[due].max())
    sideways = float((at_limit[ride] - place) @ np.cross(normal, direction))
    if abs(sideways) > SIDEWAYS:
        return (
            f"the contact point passes {abs(sideways):.0f} mm beside the measured place, more than the "
            f"{SIDEWAYS:.0f} mm that a bracket can be moved along the arm"
        )
    clear = (met - place) @ direction > reach
    if not clear[0].all():
        return f"at some suspension travel the pad would be met over {SCAN_BEFORE:.0f} mm of rack before the limit"
    # The grid point at which the pad is just met; where it is not met within the grid, its last one.
    first = np.minimum(np.argmin(clear & pose.reachable, axis=0), len(grid) - 1)
    first = np.where((clear & pose.reachable).all(axis=0), len(grid) - 1, first)
    columns = np.arange(len(travel))
    locks = np.abs(steer_angle(pose))[first, columns]
    heights = ((met - place) @ normal)[first, columns]
    ball = _in_arm_frame(limit_pose, limit_pose.ball_joint)[ride]
    axis = _in_arm_frame(limit_pose, limit_pose.ball_joint + limit_pose.steering_axis)[ride] - ball
    lever = abs(float(np.cross(axis, at_limit[ride] - ball) @ direction))
    low, high = float(heights.min()), float(heights.max())
    return _Contact(
        reach, (low + high) / 2, high - low, sideways, locks, float(locks[ride]), lever, direction
    )


def _mount_on_arm(front_end: FrontEnd, assembly: Assembly, mount: StopMount) -> Array:
    """The measured place; it moves outwards with the ball joint when it lies outside of the cut."""
    car = front_end.car
    points = points_of(car, assembly.side)
    start, link = link_points(car, points)
    to_ball = float((np.array(points.ball_joint) - np.array(mount.mount)) @ link)
    whole = float((np.array(points.ball_joint) - start) @ link)
    cut = car.arm.cut_distance if car.arm.cut_distance is not None else whole / 2
    moved = front_end.changes.arm_extension if to_ball < cut else 0.0
    return np.asarray(np.array(mount.mount) + moved * link)


def _in_arm_frame(pose: Pose, points: Array) -> Array:
    """Points of the car turned back with the arm to the measured pose."""
    corner = pose.corner
    return corner.pivot + rotate(points - corner.pivot, corner.pivot_axis, -arm_angle_of(pose))


def _part(
    context: SizingContext, mount: StopMount, contact: _Contact, steel: Material, thickness: float
) -> Part | Refusal:
    solution = context.solution
    turn = solution.as_modified.turn(mount.side)
    name = f"{BumpStopDimensions.family}-{mount.side}"
    dimensions = _dimensions(contact, thickness, mount.attachment == "bolt")
    if isinstance(dimensions, str):
        return Refusal(name, "pad out of reach", dimensions, "measure another place for the bracket")
    first = turn.first_limit
    by_rack = turn.rack < first.rack
    why = (
        f"met {first.rack - turn.rack:.1f} mm of rack before the {first.name}, which comes first at "
        f"{math.degrees(first.lock):.1f}°, so that the bracket takes the hit"
        if by_rack
        else f"met where the first limit is: {first.name} at {math.degrees(first.lock):.1f}° of lock, its margin "
        "or clearance included"
    )
    spread = np.degrees(contact.locks)
    move = "outwards" if (contact.sideways > 0) == (mount.side == "left") else "inwards"
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
                f"set its reference {abs(contact.sideways):.1f} mm {move} along the arm from the measured place",
                f"its base points {_heading(contact.direction, mount)}",
                "try it with the printed mock-up at bump, ride height and droop before it is fixed for good",
                f"it stops the {mount.side} turn only: fit both brackets",
            ),
        )
    )


def _heading(direction: Array, mount: StopMount) -> str:
    """A direction in words and degrees, seen from above."""
    angle = math.degrees(math.atan2(direction[1] * (1 if mount.side == "left" else -1), direction[0]))
    side = "outwards" if angle > 0 else "inwards"
    return f"{abs(angle):.0f}° {side} of straight ahead, seen from above"


def _dimensions(contact: _Contact, t: float, bolted: bool) -> BumpStopDimensions | str:
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
    base = max(ahead + behind, 4 * t + 10.0)
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
    leg = contact.height + PAD_DIAMETER / 2 + 3.0 - t - bend
    snipe = bend + 1.0
    return BumpStopDimensions(
        width=width,
        thickness=t,
        bend_radius=bend,
        base_flat=base,
        leg_flat=max(leg, 4 * t),
        corner_radius=5.0,
        gusset_base=max(min(base * 0.7, 35.0), snipe + t),
        gusset_height=max(min(contact.height - t, bend + leg), snipe + t),
        gusset_snipe=snipe,
        pad_diameter=PAD_DIAMETER,
        pad_thickness=PAD_THICKNESS,
        pad_height=contact.height,
        mount_x=base - ahead,
        bolt_hole_diameter=hole,
        bolt_pitch=bolt_pitch,
        k_factor=K_FACTOR,
    )


def _checks(
    context: SizingContext, contact: _Contact, bracket: BumpStopDimensions, steel: Material, mount: StopMount
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
        "2 × moment about the steering axis over the pad's lever, M c/I of leg with gusset, against yield",
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
