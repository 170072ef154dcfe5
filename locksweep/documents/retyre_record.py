"""What another tyre changes, as plain data in mm and degrees; `locksweep/schemas/retyre.schema.json` is its schema."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

from locksweep import __version__
from locksweep.body.record import CAUTION as CLEARANCE_CAUTION
from locksweep.compare.parts import PartChange, compare_parts
from locksweep.documents.numbers import length
from locksweep.documents.record import CAUTION
from locksweep.documents.retyre_found import cut_record, deg, hardware_records, mm, near_record, place_record
from locksweep.retyre.change import Changed, Condition, TyreChange
from solver.car import Changes, Move, Side, Wheel
from solver.families.closure_plate import ClosurePlateDimensions
from solver.front_end import FrontEnd
from solver.sizing.plate_stays import PlateCheck
from solver.sweep import TURNS
from solver.tyre_change import lift, wheel_of

FORMAT = "locksweep retyre 1"


def retyre_record(found: TyreChange) -> dict[str, Any]:
    """All of it."""
    old = found.old
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "caution": f"{CAUTION} {CLEARANCE_CAUTION}",
        "job": {"name": found.job.name, "units": found.job.stock_units},
        "goal": {"lock_deg": deg(found.job.goal.lock), "clearance_mm": mm(found.job.goal.clearance)},
        "wanted_gap_mm": mm(found.gap),
        "confidence": old.clearances.confidence,
        "resolution_mm": mm(max(one.clearances.resolution for one in _conditions(found))),
        "tyres": {
            "old": _tyre(old, wheel_of(found.job)),
            "new": _tyre(found.kept.condition, found.wheel.wheel),
            "lift_mm": mm(lift(_front_end(old), _front_end(found.kept.condition))),
        },
        "assumed": list(found.wheel.told),
        "bodies": len(old.clearances.bodies),
        "old": {**_condition(old), "plates": [_own_plate(check) for check in found.plates]},
        "kept": _changed(found, found.kept),
        "anew": None if found.anew is None else _changed(found, found.anew),
    }


def _conditions(found: TyreChange) -> list[Condition]:
    changed = [found.kept] if found.anew is None else [found.kept, found.anew]
    return [found.old, *(one.condition for one in changed)]


def _front_end(condition: Condition) -> FrontEnd:
    return condition.sized.solution.as_modified.front_end


def _tyre(condition: Condition, wheel: Wheel) -> dict[str, Any]:
    front_end = _front_end(condition)
    tyre = front_end.tyre
    grown = tyre.grown()
    return {
        "size": tyre.size,
        "rim_diameter_mm": mm(tyre.rim_diameter),
        "rim_width_mm": mm(wheel.rim_width),
        "offset_mm": mm(wheel.offset),
        "outside_diameter_mm": mm(tyre.outside_diameter),
        "section_width_mm": mm(tyre.section_width),
        "grown_outside_diameter_mm": mm(grown.outside_diameter),
        "grown_section_width_mm": mm(grown.section_width),
        "loaded_radius_mm": mm(front_end.loaded_radius),
    }


def _condition(condition: Condition) -> dict[str, Any]:
    wanted = condition.solved.solution
    solution = condition.sized.solution
    state = solution.as_modified
    return {
        "goal_met": wanted.goal_met,
        "answer": wanted.answer,
        "complete": condition.solved.complete,
        "sized_for_lock_deg": deg(condition.sized.job.goal.lock) if solution.goal_met else None,
        "changes_mm": _changes(solution.changes),
        "tie_rods_mm": [mm(state.left.tie_rod), mm(state.right.tie_rod)],
        "track_mm": mm(state.track),
        "scrub_radius_mm": [mm(state.left.scrub_radius), mm(state.right.scrub_radius)],
        "tyre_to_strut_mm": [mm(state.left.strut_gap), mm(state.right.strut_gap)],
        "turns": {turn: _turn(condition, turn) for turn in TURNS},
        "clear": condition.clearances.clear,
    }


def _changes(changes: Changes) -> dict[str, float]:
    """By key of the job file's [changes]; spacer and extension always, the rest where it is not nothing."""
    found = {"rack_spacer": length(changes.rack_spacer), "arm_extension": length(changes.arm_extension)}
    for field in dataclasses.fields(changes):
        value = getattr(changes, field.name)
        if isinstance(value, Move):
            moves = {f"{field.name}.{key}": amount for key, amount in dataclasses.asdict(value).items()}
            found |= {key: length(amount) for key, amount in moves.items() if amount}
        elif isinstance(value, float) and value:
            found[field.name] = length(value)
    return found


def _turn(condition: Condition, turn: Side) -> dict[str, Any]:
    found = condition.sized.solution.as_modified.turn(turn)
    first = found.first_limit
    return {
        "lock_deg": deg(found.lock),
        "first_limit": first.name,
        "first_limit_deg": deg(first.lock),
        "first_limit_travel_mm": None if first.travel is None else mm(first.travel),
        "over_centre_margin_deg": deg(found.over_centre),
        "turning_circle_mm": mm(found.turning_circle),
    }


def _changed(found: TyreChange, changed: Changed) -> dict[str, Any]:
    old, new = found.old, changed.condition
    parts = compare_parts(old.solved, new.sized)
    return {
        **_condition(new),
        "places": [place_record(place, found.gap) for place in changed.places],
        "hardware": hardware_records(old.clearances.hardware, new.clearances.hardware),
        "cuts": [cut_record(cut) for cut in changed.cuts],
        "plates": _plates(found, changed, parts),
        "parts": [_part(part) for part in parts],
    }


def _own_plate(check: PlateCheck) -> dict[str, Any]:
    return {"name": check.name, "faces": near_record(check.faces), "beside": near_record(check.beside)}


def _plates(found: TyreChange, changed: Changed, parts: Sequence[PartChange]) -> list[dict[str, Any]]:
    """Every closure plate that is there, is needed or is refused, with its verdict."""
    checks = {check.name: check for check in changed.plates}
    own = {check.name: check for check in found.plates}
    rows = []
    for part in parts:
        if not part.name.startswith(ClosurePlateDimensions.family):
            continue
        check = checks.get(part.name)
        if check is not None:
            verdict = "can stay" if check.stays else "must be remade"
        else:
            verdict = "refused" if part.status == "refused" else "is needed"
        rows.append(
            {
                "name": part.name,
                "verdict": verdict,
                "old_faces": None if check is None else near_record(own[part.name].faces),
                "faces": None if check is None else near_record(check.faces),
                "beside": None if check is None else near_record(check.beside),
                "old_short": check is not None and not own[part.name].stays,
                "short": [] if check is None else [item.what for item in check.short],
                "new": part.status,
                "new_reason": part.reason,
                "old_size_mm": None if part.before is None else _size(part.before.dimensions),
                "new_size_mm": None if part.after is None else _size(part.after.dimensions),
            }
        )
    return rows


def _size(dimensions: Any) -> list[float]:
    """Over all, a folded plate's height with its tabs."""
    return [mm(side) for side in dimensions.envelope]


def _part(part: PartChange) -> dict[str, Any]:
    return {
        "name": part.name,
        "family": part.family,
        "status": part.status,
        "changes": [
            {"name": name, "old": _plain(old), "new": _plain(new)} for name, old, new in part.changes
        ],
        "old_size_mm": None if part.before is None else _size(part.before.dimensions),
        "new_size_mm": None if part.after is None else _size(part.after.dimensions),
        "reason": part.reason,
    }


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return round(value, 4) + 0.0 if isinstance(value, float) else value
