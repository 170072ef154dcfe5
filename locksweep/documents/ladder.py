"""The ladder for people and for programs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from locksweep import __version__
from locksweep.console import aligned
from locksweep.documents.markdown import escaped, table
from locksweep.documents.record import CAUTION, DEFINITIONS
from locksweep.units import Units, length_text, sentence_text
from solver.car import Job
from solver.search.ladder import Rung
from solver.search.works import free_hand

FORMAT = "locksweep ladder 1"
TOLD = ("lock", "percent Ackermann", "over-centre margin")
UNCUT = "bolt in"
GUESSED = (
    "The job file frees nothing beyond spacers and arms, so the rest was tried within usual bounds. Measure what your "
    "car allows and put it under [may_change]."
)


def ladder_record(job: Job, rungs: list[Rung]) -> dict[str, Any]:
    """The rungs as plain data; `locksweep/schemas/ladder.schema.json` is its JSON Schema."""
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "job": {"name": job.name, "units": job.stock_units},
        "goal": {"lock_deg": _angle(math.degrees(job.goal.lock))},
        "usual_bounds": free_hand(job),
        "rungs": [_rung(job, rung) for rung in rungs],
        "definitions": {name: DEFINITIONS[name] for name in TOLD},
        "caution": CAUTION,
    }


def ladder_text(record: Mapping[str, Any]) -> str:
    """The rungs for the terminal."""
    units: Units = record["job"]["units"]
    rungs = record["rungs"]
    rows = [
        [
            str(i),
            escaped(rung["added"]),
            f"{rung['lock_deg']:.1f}°" + (" *" if rung["meets_goal"] else ""),
            f"{rung['percent_ackermann']:.0f}",
            f"{rung['over_centre_deg']:.1f}°",
            escaped(rung["held_by"]),
        ]
        for i, rung in enumerate(rungs)
    ]
    head = ["rung", "work that it adds", "farthest lock", "% Ackermann", "over-centre", "what ends it"]
    lines = [
        f"{record['job']['name']}: {record['goal']['lock_deg']:.1f}° of lock wanted. Each rung holds the work of those "
        "above it, as far as it is of use. With * the goal is within reach.",
        "",
        *aligned(table(head, rows)),
        "",
    ]
    for i, rung in enumerate(rungs):
        lines += [sentence_text(line, units) for line in _details(i, rung, units)]
    ends = [_reached(rungs), *_load_path(rungs), *([GUESSED] if record["usual_bounds"] else [])]
    return "\n".join([*lines, "", *ends, "", record["caution"]])


def _details(i: int, rung: Mapping[str, Any], units: Units) -> Iterator[str]:
    changes = ", ".join(f"{name} {length_text(size, 'mm')}" for name, size in rung["changes_mm"].items())
    if i:
        decided = ", as the job file has it" if rung["decided"] else ""
        yield f"{i}. {rung['added']}{decided}"
        yield f"   at its farthest: {changes}"
        yield f"   to do: {'; '.join(work['kind'] + ' ' + work['to'] for work in rung['work'])}"
        yield f"   takes: {', '.join([*rung['parts'], _tie_rods(rung)])}"
    if rung["missed"]:
        missed = "; ".join(
            f"{item['name']} by {item['lacking']:.1f} {item['unit']}" for item in rung["missed"]
        )
        yield f"   misses at its farthest: {missed}"


def _tie_rods(rung: Mapping[str, Any]) -> str:
    lengths = " and ".join(dict.fromkeys(f"{rod:.0f} mm" for rod in rung["tie_rods_mm"]))
    if rung["tie_rod"] is not None:
        name = rung["tie_rod"]["name"]
        return f"tie rods of {lengths} ({name or 'none of those listed will do'})"
    if rung["tie_rods_at_hand_fit"] is None:
        return f"tie rods of {lengths}"
    return f"tie rods of {lengths} (those at hand {'fit' if rung['tie_rods_at_hand_fit'] else 'do not'})"


def _reached(rungs: list[dict[str, Any]]) -> str:
    """From which rung on the goal is met."""
    first = next((i for i, rung in enumerate(rungs) if rung["meets_goal"]), None)
    if first == 0:
        return "The car meets the goal with nothing changed."
    if first is not None:
        return (
            f"The goal is within reach from rung {first} on. 'locksweep solve' finds the least that does it."
        )
    if max(rung["lock_deg"] for rung in rungs) < rungs[0]["lock_deg"] + 0.05:
        return "None of the work tried brings more lock."
    return "No rung meets the goal. 'locksweep solve' tells the nearest goal that the job's changes reach."


def _load_path(rungs: list[dict[str, Any]]) -> list[str]:
    """Which rungs touch the primary load path."""
    touching = [str(i) for i, rung in enumerate(rungs) if rung["load_path"]]
    if not touching:
        return []
    if len(touching) == len(rungs) - 1:
        which = "Every rung but 0 touches" if len(touching) > 1 else "Rung 1 touches"
    else:
        which = f"Of the rungs these touch: {', '.join(touching)}:"
    return [f"{which} the primary load path: parts that hold the wheels or steer them."]


def _rung(job: Job, rung: Rung) -> dict[str, Any]:
    at_hand = job.car.tie_rod_range
    fit = None if at_hand is None else all(at_hand[0] <= rod <= at_hand[1] for rod in rung.tie_rods)
    chosen = rung.rod
    return {
        "added": rung.title,
        "decided": rung.decided,
        "lock_deg": _angle(rung.lock),
        "turn": rung.turn,
        "percent_ackermann": round(rung.ackermann, 1),
        "over_centre_deg": _angle(rung.over_centre),
        "held_by": rung.held_by,
        "changes_mm": {name: round(size, 2) for name, size in rung.changes.items()},
        "work": [{"kind": kind, "to": to} for kind, to in rung.work],
        "cut_or_welded": list(dict.fromkeys(to for kind, to in rung.work if kind != UNCUT)),
        "parts": list(rung.parts),
        "tie_rods_mm": [round(rod, 1) for rod in rung.tie_rods],
        "tie_rods_at_hand_fit": fit,
        "tie_rod": None
        if chosen is None
        else {"name": chosen.rod.name if chosen.rod else None, "reason": chosen.reason},
        "load_path": rung.load_path,
        "meets_goal": rung.meets_goal,
        "missed": [
            {"name": item.name, "unit": item.unit, "lacking": round(item.lacking, 2)} for item in rung.missed
        ],
    }


def _angle(degrees: float) -> float:
    return round(degrees, 2)
