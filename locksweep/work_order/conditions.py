"""What a job has: the conditions that the tables' rows ask for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.solved import Solved
from locksweep.work_order.words import AID
from solver.car import Job
from solver.margins import TYRE_ON

Record = Mapping[str, Any]

CHANGED = 0.05
"""mm of tie rod or leg that are told as a change."""


def conditions(solved: Solved, record: Record, families: set[str]) -> set[str]:
    """Every condition that a job meets; ``families`` of its parts."""
    job, changes = solved.job, solved.solution.changes
    found = {"parts"} if families else set()
    by_family = {
        "rack-spacer": "spacer",
        "arm-sleeve": "sleeve",
        "closure-plate": "plate",
        "bump-stop": "stop",
        "drilling-gauge": "gauge",
        "fixture-stop": "fixture",
    }
    found |= {by_family[family] for family in families if family in by_family}
    if any(part["role"] != AID for part in record["parts"]):
        found.add("fitted")
    if any(part["revision"] for part in record["parts"]):
        found.add("built")
    bolted = [
        p for p in record["parts"] if p["family"] == "bump-stop" and p["dimensions"]["bolt_hole_diameter"]
    ]
    if bolted:
        found.add("stop-bolt")
    if len(bolted) < sum(part["family"] == "bump-stop" for part in record["parts"]):
        found.add("stop-weld")
    if changes.rack_spacer > 0 and "spacer" not in found:
        found.add("spacer-refused")
    if changes.arm_extension > 0 and "sleeve" not in found:
        found.add("arm-refused")
    leg = record["arm_leg"]
    if leg is not None and abs(leg["needed_mm"] - leg["measured_mm"]) >= CHANGED:
        found.add("leg")
    if changes.pickup_move.on("left") != (0, 0, 0):
        found |= {"pickup", _pickup_way(job)}
    if changes.ball_joint_drop:
        found.add("drop")
    shift = changes.strut_top_shift
    if shift.on("left") != (0, 0, 0):
        found |= {"strut", "strut-plates" if job.top_places else "strut-slot"}
    if changes.rack_shift.on("left") != (0, 0, 0):
        found.add("rack-shift")
    if changes.ride_height_drop:
        found.add("ride-height")
    if changes.wheel is not None:
        found.add("wheel")
    if job.stock_units == "mm":
        found.add("metric")
    if trimmed(record):
        found.add("trim")
    if found & {"sleeve", "stop-weld", "pickup-weld"}:
        found.add("weld")
    return found | _rod(record)


def _rod(record: Record) -> set[str]:
    rods = record["tie_rods"]
    pairs = zip(rods["needed_mm"], rods["measured_mm"], strict=True)
    found = {"rod-changed"} if any(abs(n - m) >= CHANGED for n, m in pairs) else set()
    if rods["chosen"] is not None:
        return found | {"rod-chosen", "rod-new"}
    if rods["at_hand_fit"]:
        return found | {"rod-hand"}
    wanted = found or rods["chosen_reason"] is not None or rods["at_hand_fit"] is False
    return found | {"rod-new" if wanted else "rod-hand"}


def _pickup_way(job: Job) -> str:
    if job.pickup is not None:
        return f"pickup-{job.pickup.way}"
    return "pickup-other" if job.fixed.pickup_move.up else "pickup-drill"


def trimmed(record: Record) -> list[str]:
    """Panels that the tyre reaches before the stop, and that no plate of the build closes."""
    closed = " ".join(part["fits"] for part in record["parts"] if part["family"] == "closure-plate")
    names: list[str] = []
    for state in record["as_modified"]["turns"].values():
        for limit in state["limits_aside"]:
            name = limit["name"].removeprefix(TYRE_ON)
            if name.endswith(", uncut") and limit["rack_mm"] < state["rack_mm"]:
                names.append(name.removesuffix(", uncut"))
    return [name for name in dict.fromkeys(names) if f"'{name}'" not in closed]
