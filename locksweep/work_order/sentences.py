"""What stands for each name in a sentence of the work order, in the reader's units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from locksweep.documents.changes import move_words
from locksweep.documents.record import units_of
from locksweep.solved import Solved
from locksweep.units import Units, length_text
from locksweep.work_order.conditions import trimmed
from locksweep.work_order.words import degrees, sided
from solver.front_end import link_of
from solver.sizing.drilling_gauge import gauge_bush
from solver.sweep import TURNS
from solver.tables import rows

Record = Mapping[str, Any]


def sentences(solved: Solved, record: Record) -> dict[str, str]:
    """All of them, whatever the job has; those that it has no use for may be empty."""
    job, solution, units = solved.job, solved.solution, units_of(record)
    car, changes = job.car, solution.changes
    found, after = record["as_measured"], record["as_modified"]

    def mm(value: float, digits: int = 1) -> str:
        return length_text(value, units, digits)

    link = {side: link_of(car, side) for side in TURNS}
    left = car.rack.stud_engaged - changes.rack_spacer
    leg = record["arm_leg"] or {"measured_mm": 0.0, "needed_mm": 0.0}
    more = leg["needed_mm"] - leg["measured_mm"]
    rods = record["tie_rods"]
    words = {
        "tyre": record["tyre"]["size"],
        "droop": mm(car.droop_travel, 0),
        "bump": mm(car.bump_travel, 0),
        "clearance": mm(job.goal.clearance),
        "lock_words": f"{record['goal']['lock_deg']:.1f}°",
        "track_found": mm(found["track_mm"]),
        "rack_found": mm(car.rack.travel_each_side),
        "rack_travel": mm(2 * solution.as_modified.front_end.rack_stop),
        "cut": mm(link["left"].cut),
        "gap": mm(changes.arm_extension),
        "extension": mm(changes.arm_extension),
        "overlap": _dimension(record, "arm-sleeve", "overlap", mm),
        "tongue": _dimension(record, "arm-sleeve", "tongue", mm),
        "spacer": mm(changes.rack_spacer, 2),
        # The joint sits further out by a spacer, and the rack goes further by one.
        "boot": mm(2 * changes.rack_spacer),
        "thread": mm(left),
        "turns": f"{left / car.rack.stud_pitch:.1f}",
        "leg_before": mm(leg["measured_mm"]),
        "leg_after": mm(leg["needed_mm"]),
        "leg_more": f"{mm(abs(more))} {'longer' if more > 0 else 'shorter'}",
        "pickup": move_words(record["changes"]["pickup_move_mm"], units),
        "taper": _taper(solved) or "the job file names none: measured on the stud",
        "drop": mm(abs(changes.ball_joint_drop), 2),
        "drop_way": "below" if changes.ball_joint_drop > 0 else "closer to",
        "strut": move_words(record["changes"]["strut_top_shift_mm"], units),
        "rack_shift": move_words(record["changes"]["rack_shift_mm"], units),
        "ride_height": f"{mm(abs(changes.ride_height_drop))} "
        f"{'lower' if changes.ride_height_drop > 0 else 'higher'}",
        "wheel": _wheel(record, units),
        "rod_left": mm(rods["needed_mm"][0]),
        "rod_right": mm(rods["needed_mm"][1]),
        "rod_way": "given in the job file; toe is what comes out"
        if changes.tie_rod_length is not None
        else "gives the measured toe, as reckoned; toe decides",
        "rod_thread": _rod_thread(solved),
        "trim": "', '".join(trimmed(record)),
        "bushes": str(2 * len(_gauge_holes(record))),
        "bush": _bush(solved, record),
        **_stops(solved, record),
    }
    for side in TURNS:
        before = found["corners"][side]
        words[f"toe_{side}_found"] = degrees(before["toe_deg"])
        words[f"camber_{side}_found"] = degrees(before["camber_deg"])
        words[f"margin_{side}"] = degrees(after["turns"][side]["over_centre_margin_deg"], 1)
        words[f"link_{side}_found"] = mm(link[side].length)
        words[f"link_{side}"] = mm(link[side].length + changes.arm_extension)
    return words


def _dimension(record: Record, family: str, key: str, mm: Callable[[float], str]) -> str:
    return next((mm(part["dimensions"][key]) for part in record["parts"] if part["family"] == family), "")


def _wheel(record: Record, units: Units) -> str:
    wheel = record["changes"]["wheel"]
    if wheel is None:
        return ""
    rim, offset = (length_text(wheel[key], units) for key in ("rim_width_mm", "offset_mm"))
    return f"tyres {wheel['tyre']} on rims {rim} wide, {offset} of offset"


def _rod_thread(solved: Solved) -> str:
    choice = solved.solution.sized.tie_rod
    named = None if choice is None or choice.rod is None else choice.rod.thread
    return named or "the rod's thread"


def _taper(solved: Solved) -> str:
    """Of the studs that the pickups must suit: of the rod chosen, else of the hole that is there."""
    choice = solved.solution.sized.tie_rod
    chosen = "" if choice is None or choice.rod is None else choice.rod.taper
    return chosen or solved.job.pickup_taper


def _gauge_holes(record: Record) -> list[float]:
    return [p["dimensions"]["hole_diameter"] for p in record["parts"] if p["family"] == "drilling-gauge"]


def _bush(solved: Solved, record: Record) -> str:
    """The bushes of the drilling gauges, as they are ordered."""
    bushes = dict.fromkeys(gauge_bush(solved.job.marking, hole) for hole in _gauge_holes(record))
    sizes = (f"{bush.bore:.1f} × {bush.outside:.0f} × {bush.length:.0f}" for bush in bushes)
    return f"bore, outside and length in mm: {' and '.join(sizes)}"


def _stops(solved: Solved, record: Record) -> dict[str, str]:
    """Where the brackets stop the wheel, and the bolts that hold them."""
    words = {}
    for turn in TURNS:
        contact = solved.context.contacts.get(turn)
        words[f"stop_{turn}"] = (
            "–" if contact is None or isinstance(contact, str) else sided(contact.at_ride, contact.locks)
        )
    holes = [
        part["dimensions"]["bolt_hole_diameter"] for part in record["parts"] if part["family"] == "bump-stop"
    ]
    bolted = [hole for hole in holes if hole]
    sizes = {float(row["medium"]): row["thread"] for row in rows("clearance_holes")}
    threads = dict.fromkeys(sizes[hole] for hole in bolted if hole in sizes)
    return words | {
        "stop_bolt": " and ".join(threads),
        "stop_bolts": str(2 * len(bolted)),
        "stop_washers": str(4 * len(bolted)),
    }
