"""The ladder for people and for programs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from locksweep import __version__
from locksweep.console import aligned
from locksweep.documents.markdown import escaped, table
from locksweep.documents.record import CAUTION, DEFINITIONS
from locksweep.units import Units, length_text, sentence_text
from solver.car import Job
from solver.search.ladder import Rung

FORMAT = "locksweep ladder 1"
TOLD = ("lock", "percent Ackermann", "over-centre margin")


def ladder_record(job: Job, rungs: list[Rung]) -> dict[str, Any]:
    """The rungs as plain data; `locksweep/schemas/ladder.schema.json` is its JSON Schema."""
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "job": {"name": job.name, "units": job.stock_units},
        "goal": {"lock_deg": _angle(math.degrees(job.goal.lock))},
        "rungs": [_rung(rung) for rung in rungs],
        "definitions": {name: DEFINITIONS[name] for name in TOLD},
        "caution": CAUTION,
    }


def ladder_text(record: Mapping[str, Any]) -> str:
    """The rungs for the terminal."""
    units: Units = record["job"]["units"]
    wanted = record["goal"]["lock_deg"]
    rows = [
        [
            str(i),
            escaped(rung["added"]),
            f"{rung['lock_deg']:.1f}°" + (" ✓" if rung["meets_goal"] else ""),
            f"{rung['percent_ackermann']:.0f}",
            f"{rung['over_centre_deg']:.1f}°",
            escaped(rung["held_by"]),
        ]
        for i, rung in enumerate(record["rungs"])
    ]
    head = ["rung", "work that it adds", "farthest lock", "% Ackermann", "over-centre", "what ends it"]
    lines = [
        f"{record['job']['name']}: {wanted:.1f}° of lock wanted. Each rung holds the work of those above it, "
        "as far as it goes.",
        "",
        *aligned(table(head, rows)),
        "",
    ]
    for i, rung in enumerate(record["rungs"][1:], 1):
        lines += _details(i, rung, units)
    reached = next((i for i, rung in enumerate(record["rungs"]) if rung["meets_goal"]), None)
    lines.append(
        f"The wanted lock is within reach from rung {reached} on. 'locksweep solve' finds the least that does it."
        if reached is not None
        else "No rung reaches the wanted lock."
    )
    return "\n".join([*lines, "", record["caution"]])


def _details(i: int, rung: Mapping[str, Any], units: Units) -> list[str]:
    changes = ", ".join(f"{name} {length_text(size, units)}" for name, size in rung["changes_mm"].items())
    rods = " and ".join(dict.fromkeys(length_text(rod, units, 0) for rod in rung["tie_rods_mm"]))
    path = "touches the primary load path" if rung["load_path"] else "off the primary load path"
    parts = [*rung["parts"], f"tie rods of {rods}"]
    return [
        sentence_text(f"{i}. {rung['added']} ({path})", units),
        f"   at its farthest: {changes}",
        f"   takes: {', '.join(parts)}",
    ]


def _rung(rung: Rung) -> dict[str, Any]:
    return {
        "added": rung.label,
        "lock_deg": _angle(rung.lock),
        "percent_ackermann": round(rung.ackermann, 1),
        "over_centre_deg": _angle(rung.over_centre),
        "held_by": rung.held_by,
        "changes_mm": {name: round(size, 2) for name, size in rung.changes.items()},
        "work": list(rung.work),
        "parts": list(rung.parts),
        "tie_rods_mm": [round(rod, 1) for rod in rung.tie_rods],
        "load_path": rung.load_path,
        "meets_goal": rung.meets_goal,
    }


def _angle(degrees: float) -> float:
    return round(degrees, 2)
