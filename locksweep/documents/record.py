"""The record: every number of a job as plain data, which the JSON file holds and the other documents are made from.

Lengths in mm, angles in degrees, forces in N, stresses in MPa, masses in kg; each key ends in its unit.
`locksweep/schemas/summary.schema.json` is its JSON Schema.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

from locksweep import __version__
from locksweep.documents.cutting import cutting_record
from locksweep.documents.load_record import loads_record, members_record, part_record
from locksweep.documents.numbers import degrees as _degrees
from locksweep.documents.numbers import length as _length
from locksweep.documents.numbers import rounded as _rounded
from locksweep.units import INCH_UNITS, Units
from solver.car import Move, Side, Wheel
from solver.front_end import link_of
from solver.joints import thread_left
from solver.limits import Gain, Limit
from solver.margins import Unit
from solver.part import Part, Placement, Refusal
from solver.search.reasons import NOT_NEEDED
from solver.sheet_metal import Bend
from solver.sizing.context import SizingContext
from solver.solution import Solution
from solver.state import CornerState, State, TurnState
from solver.stock import StockUnits, blank
from solver.strength.materials import material
from solver.sweep_summary import lock_summary, overall_ratio, wheel_summary

FORMAT = "locksweep summary 1"

SEARCHED = {
    "ball_joint_drop": ("ball_joint_drop",),
    "pickup_move": ("pickup_forward", "pickup_outward", "pickup_up"),
    "rack_shift": ("rack_forward", "rack_up"),
    "strut_top_shift": ("strut_top_forward", "strut_top_outward"),
}
"""Changes that the search may have made, with its variables of each."""

CAUTION = (
    "Screening numbers, no approval. Steering and suspension parts can kill when they fail. Some authorities forbid "
    "welding or heating them at all; local codes and licensed practice decide. Do not drive on an unchecked part."
)

DEFINITIONS = {
    "lock": "steer angle of the inner wheel at ride height, at the first limit met, the rack's stop included",
    "steer": "angle between the x axis and the wheel plane's trace on the ground (ISO 8855)",
    "percent Ackermann": "100 (inner - outer) / (inner - ideal outer); other definitions exist and disagree by a lot",
    "ideal outer": "cot(outer) = cot(inner) + distance between the steering axes at the ground / wheelbase",
    "over-centre margin": "angle between steering arm and tie rod short of a line, square to the steering axis",
    "scrub radius": "contact centre outside of the steering axis, at the ground, in the wheel's frame",
    "mechanical trail": "contact centre behind the steering axis, at the ground, in the wheel's frame",
    "turning circle": "between kerbs: twice the radius of the outer front tyre's outer edge, rolling without slip",
    "turning circle, wall to wall": "twice the radius of the outer front tyre's outermost point; a body that reaches "
    "further out in front needs more",
    "slip of the outer wheel": "outer - ideal outer; positive when it is steered further than the ideal",
    "bump steer": "change of one wheel's toe, positive in, with wheel travel upwards, rack held: slope at ride height; "
    "over the travel it is greatest less least toe",
    "camber gain": "change of camber with wheel travel upwards, rack held: slope at ride height",
    "wheel travel": "height of the contact centre over the ground at ride height, rack centred",
    "roll centre": "height over the ground at which the normal to the contact centre's path in front view meets the "
    "centre plane",
    "jacking": "how far the contact centres move down against the body from straight ahead to lock, arms held: lift is "
    "the mean of both wheels, roll the inner wheel's less the outer's",
    "steering ratio": "angle of the steering wheel to the mean angle of the road wheels, slope",
    "tie-rod joint angle": "inner: rod against its measured direction; outer: rod out of the plane square to its stud, "
    "against as measured; largest over steering and travel",
    "clearance": "least distance from an obstacle to the grown tyre's solid over steering and suspension travel",
}


def record_of(
    context: SizingContext,
    parts: tuple[Part, ...],
    refusals: tuple[Refusal, ...],
    revisions: Mapping[str, str] | None = None,
    files: Mapping[str, tuple[str, ...]] | None = None,
    mock_ups: Mapping[str, dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """The record of a job; without the last three that of a job that has not been built."""
    solution = context.solution
    job = solution.job
    goal = job.goal
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "caution": CAUTION,
        "job": {"name": job.name, "car": job.car.name, "units": job.stock_units},
        "goal": {
            "lock_deg": _degrees(goal.lock),
            "clearance_mm": _length(goal.clearance),
            "over_centre_margin_deg": _degrees(goal.over_centre_margin),
            "track_mm": None if goal.track is None else _length(goal.track),
            "max_arm_extension_mm": _length(goal.max_arm_extension),
            "met": solution.goal_met,
            "answer": solution.answer,
        },
        "changes": _changes(solution),
        "tyre": _tyre(solution.as_modified),
        "tie_rods": _tie_rods(solution),
        "arm_leg": _arm_leg(solution),
        "as_measured": _state(solution.as_measured),
        "as_modified": _state(solution.as_modified),
        "parts": [
            _part(p, (revisions or {}).get(p.name), job.shelf)
            | {
                "cutting": cutting_record(p, job.part_choices.cutting),
                "mock_up": (mock_ups or {}).get(p.name),
                "files": list((files or {}).get(p.name, ())),
            }
            for p in parts
        ],
        "refused": [dataclasses.asdict(refusal) for refusal in refusals],
        "members": members_record(context),
        "loads": loads_record(context),
        "definitions": DEFINITIONS,
    }


def units_of(record: Mapping[str, Any]) -> Units:
    """The units that people who read this record measured in."""
    return INCH_UNITS if record["job"]["units"] == "in" else "mm"


def _per_10_mm(slope: float) -> float:
    return _degrees(10 * slope)


def _changes(solution: Solution) -> dict[str, Any]:
    changes = solution.changes
    found: dict[str, Any] = {}
    for field in dataclasses.fields(changes):
        value = getattr(changes, field.name)
        if isinstance(value, Move):
            found[f"{field.name}_mm"] = {k: _length(v) for k, v in dataclasses.asdict(value).items()}
        elif isinstance(value, Wheel):
            found[field.name] = {
                "tyre": value.tyre,
                "rim_width_mm": _length(value.rim_width),
                "offset_mm": _length(value.offset),
            }
        else:
            name = field.name if field.name == "wheel" else f"{field.name}_mm"
            found[name] = None if value is None else _length(value)
    found["rack_spacer_reason"] = solution.sized.spacer_reason
    found["arm_extension_reason"] = solution.sized.extension_reason
    for key, variables in SEARCHED.items():
        reasons = {name: solution.sized.reasons[name] for name in variables if name in solution.sized.reasons}
        moved = [f"{name.rpartition('_')[2]}: {why}" for name, why in reasons.items() if why != NOT_NEEDED]
        found[f"{key}_reason"] = "; ".join(moved) or (NOT_NEEDED if reasons else None)
    return found


def _tyre(state: State) -> dict[str, Any]:
    tyre = state.front_end.tyre
    grown = tyre.grown()
    return {
        "size": tyre.size,
        "outside_diameter_mm": _length(tyre.outside_diameter),
        "section_width_mm": _length(tyre.section_width),
        "grown_outside_diameter_mm": _length(grown.outside_diameter),
        "grown_section_width_mm": _length(grown.section_width),
        "loaded_radius_mm": _length(state.front_end.loaded_radius),
    }


def _tie_rods(solution: Solution) -> dict[str, Any]:
    needed = [solution.as_modified.left.tie_rod, solution.as_modified.right.tie_rod]
    measured = [solution.as_measured.left.tie_rod, solution.as_measured.right.tie_rod]
    span = solution.job.car.tie_rod_range
    choice = solution.sized.tie_rod
    fits = None if span is None else all(span[0] <= rod <= span[1] for rod in needed)
    front_end = solution.as_modified.front_end
    left = [thread_left(front_end.car, side) for side in front_end.sides]
    return {
        "measured_mm": [_length(rod) for rod in measured],
        "needed_mm": [_length(rod) for rod in needed],
        "at_hand_mm": None if span is None else [_length(span[0]), _length(span[1])],
        "at_hand_fit": fits,
        "thread_left_mm": [None if each is None else [_length(each[0]), _length(each[1])] for each in left],
        "chosen": None if choice is None or choice.rod is None else choice.rod.name,
        "chosen_reason": None if choice is None else choice.reason,
    }


def _arm_leg(solution: Solution) -> dict[str, float] | None:
    link = link_of(solution.job.car, "left")
    before, after = link.leg_length(0.0), link.leg_length(solution.changes.arm_extension)
    return (
        None
        if before is None or after is None
        else {"measured_mm": _length(before), "needed_mm": _length(after)}
    )


def _state(state: State) -> dict[str, Any]:
    sweep = state.sweep
    ride, overall = sweep.at_ride_height, overall_ratio(sweep)
    return {
        "track_mm": _length(state.track),
        "turns_lock_to_lock": _rounded(state.turns_lock_to_lock, 3),
        "steering_ratio": _rounded(sweep.steering_ratio[0, 0, ride], 2),
        "overall_steering_ratio": None if overall is None else _rounded(overall, 2),
        "corners": {c.side: {**_corner(c), **_wheel(state, c.side)} for c in (state.left, state.right)},
        "turns": {t.turn: {**_turn(t), **_lock(state, t.turn)} for t in (state.left_turn, state.right_turn)},
    }


def _corner(corner: CornerState) -> dict[str, float]:
    return {
        "camber_deg": _degrees(corner.camber),
        "toe_deg": _degrees(corner.toe),
        "caster_deg": _degrees(corner.caster),
        "inclination_deg": _degrees(corner.inclination),
        "scrub_radius_mm": _length(corner.scrub_radius),
        "mechanical_trail_mm": _length(corner.trail),
        "tie_rod_mm": _length(corner.tie_rod),
        "tyre_to_strut_mm": _length(corner.strut_gap),
    }


def _wheel(state: State, side: Side) -> dict[str, Any]:
    wheel = wheel_summary(state.sweep, side)
    return {
        "bump_steer_deg_per_10mm": _per_10_mm(wheel.bump_steer),
        "toe_change_deg": _degrees(wheel.toe_change),
        "camber_gain_deg_per_10mm": _per_10_mm(wheel.camber_gain),
        "roll_centre_mm": _length(wheel.roll_centre),
        "roll_centre_range_mm": [_length(height) for height in wheel.roll_centre_range],
        "tie_rod_inner_angle_deg": _degrees(wheel.rod_inner),
        "tie_rod_outer_angle_deg": _degrees(wheel.rod_outer),
    }


def _lock(state: State, turn: Side) -> dict[str, Any]:
    lock = lock_summary(state.sweep, turn)
    return {
        "outer_slip_deg": None if lock.outer_slip is None else _degrees(lock.outer_slip),
        "wall_to_wall_mm": None if lock.wall_to_wall is None else _length(lock.wall_to_wall),
        "jacking_lift_mm": _length(lock.heave),
        "jacking_roll_mm": _length(lock.roll),
        "inner_bump_steer_deg_per_10mm": _per_10_mm(lock.bump_steer_inner),
        "outer_bump_steer_deg_per_10mm": _per_10_mm(lock.bump_steer_outer),
        "steering_ratio": _rounded(lock.steering_ratio, 2),
    }


def _turn(turn: TurnState) -> dict[str, Any]:
    return {
        "lock_deg": _degrees(turn.lock),
        "outer_deg": _degrees(turn.outer),
        "ideal_outer_deg": _degrees(turn.ideal_outer),
        "percent_ackermann": _rounded(turn.percent_ackermann, 2),
        "turning_circle_mm": _length(turn.turning_circle),
        "rack_mm": _length(turn.rack),
        "rack_stop_lock_deg": None if turn.stop_lock is None else _degrees(turn.stop_lock),
        "over_centre_margin_deg": _degrees(turn.over_centre),
        "over_centre_rack_left_mm": _length(turn.over_centre_travel)
        if math.isfinite(turn.over_centre_travel)
        else None,
        "limits": [_limit(limit) for limit in turn.limits],
        "limits_aside": [_limit(limit) for limit in turn.aside],
        "gain": None if turn.gain is None else _gain(turn.gain),
        "unmet": [
            {"name": item.name, "wheel": item.wheel, **_amount("left", item.left, item.unit)}
            for item in turn.unmet
        ],
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "wheel": limit.wheel,
        "lock_deg": _degrees(limit.lock),
        "rack_mm": _length(limit.rack),
        "travel_mm": None if limit.travel is None else _length(limit.travel),
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {
        "name": gain.name,
        "lock_deg": _degrees(gain.lock),
        **_amount("amount", gain.amount, gain.unit),
        "next": gain.next_name,
    }


def _amount(key: str, value: float, unit: Unit) -> dict[str, Any]:
    """A size under the key of its unit, and null under that of the other."""
    return {
        f"{key}_mm": _length(value) if unit == "mm" else None,
        f"{key}_deg": _degrees(value) if unit == "rad" else None,
    }


def _part(part: Part, revision: str | None, units: StockUnits) -> dict[str, Any]:
    steel = material(part.material)
    dimensions = part.dimensions
    flat = dimensions.flat_pattern()
    return {
        "name": part.name,
        "family": dimensions.family,
        "title": dimensions.title,
        "revision": revision,
        "quantity": part.quantity,
        "fits": part.fits,
        "material": part.material,
        "process": part.process,
        "role": part.role,
        "mass_kg": _rounded(dimensions.volume * steel.density * 1e-9, 4),
        "volume_mm3": _rounded(dimensions.volume, 2),
        "envelope_mm": [_length(side) for side in dimensions.envelope],
        "flat": None
        if flat is None
        else {
            "thickness_mm": _length(flat.thickness),
            "area_mm2": _rounded(flat.area, 2),
            "cut_length_mm": _rounded(flat.cut_length, 2),
            "bends": len(flat.bends),
            "bend_table": [_bend(bend) for bend in dimensions.bend_table()],
        },
        "blank": _blank(part, units),
        "dimensions": {f.name: _plain(getattr(dimensions, f.name)) for f in dataclasses.fields(dimensions)},
        "reasons": list(part.reasons),
        "notes": list(part.notes),
        "if_it_fails": part.if_it_fails,
        "qualified": list(part.qualified),
        **part_record(part),
        "placement": None if part.placement is None else _placement(part.placement),
    }


def _bend(bend: Bend) -> dict[str, Any]:
    return {
        "number": bend.number,
        "angle_deg": _degrees(bend.angle),
        "radius_mm": _length(bend.radius),
        "allowance_mm": _length(bend.allowance),
        "deduction_mm": _length(bend.deduction),
        "k_factor": _rounded(bend.k_factor, 3),
        "direction": bend.direction,
        "length_mm": _length(bend.length),
    }


def _blank(part: Part, units: StockUnits) -> dict[str, Any]:
    found = blank(part.dimensions.raw_shape(), units)
    return {
        "kind": found.kind,
        "stock": found.label,
        "size_mm": [_length(side) for side in found.size],
        "mass_kg": _rounded(found.volume * material(part.material).density * 1e-9, 4),
    }


def _placement(placement: Placement) -> dict[str, list[float]]:
    return {
        "origin_mm": [_length(value) for value in placement.origin],
        "x_axis": [_rounded(value, 6) for value in placement.x_axis],
        "z_axis": [_rounded(value, 6) for value in placement.z_axis],
    }


def _plain(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, (float, tuple)):
        return value
    if isinstance(value, float):
        return _length(value)
    return [_plain(item) for item in value]
