"""The load-path caution note, in Markdown: computed for the job from its record, part by part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.markdown import bullets, escaped, table
from locksweep.documents.record import units_of
from locksweep.documents.wording import in_reader_units
from locksweep.units import length_text

Record = Mapping[str, Any]

PATHS = {
    "carries the car": "in the primary load path: **it carries the car**",
    "limits steering": "not in the primary load path, but **it limits steering**: it is hit at full lock",
    "closes a hole": "not in the primary load path: it closes a hole",
    "marking aid": "carries no load: a marking aid",
}

GENERAL = (
    "Some authorities forbid welding or heating steering and suspension parts at all, or allow only what the car's "
    "maker welded. Modified-vehicle codes are no design manual: they want strength calculated or judged by qualified "
    "people, case by case. Local codes, event rules and licensed practice decide.",
    "Codes that allow it commonly ask for material, filler, procedure, the welder's qualification and an inspection of "
    "every welded steering part, refuse welds on forged axles and arms, and refuse any tyre contact in the travel.",
    "Inspectors reject signs of welding or heating, and a loose lock stop.",
    "These numbers are a screening check of the parts made here, with rigid bodies and textbook load cases. They know "
    "nothing of your weld, your material, wear, rust, fatigue or the rest of the car. They are no approval.",
    "Printed mock-ups are for fit checks on a standing car only.",
)

BEFORE_DRIVING = (
    "Never work under a car that stands on a jack alone.",
    "With the wheels off the ground turn the steering from stop to stop at full droop, ride height and full bump, with "
    "somebody watching tyre, strut, arm, tie rod, brake hose and boots on both sides.",
    "Measure toe, camber and lock again and compare them with the summary.",
    "Check every fastener's torque and locking after the first short run, and look for cracks beside every weld.",
)


def caution_text(record: Record) -> str:
    """The whole note."""
    record = in_reader_units(record)
    lines = [f"# Load paths and cautions: {escaped(record['job']['name'])}", ""]
    lines += [f"**{escaped(record['caution'])}**", "", *bullets(GENERAL)]
    if record["parts"]:
        lines += ["## At a glance", "", *_glance(record)]
    lines += _changes(record)
    for part in record["parts"]:
        lines += _part(part)
    if record["refused"]:
        lines += ["## Not made", ""]
        lines += bullets(f"**{item['name']}**: {escaped(item['reason'])}" for item in record["refused"])
    lines += ["## Before anyone relies on it", "", *bullets(BEFORE_DRIVING)]
    lines += ["## Screening loads on the modified front end", "", *_loads(record)]
    return "\n".join(lines)


def _glance(record: Record) -> list[str]:
    rows = []
    for part in record["parts"]:
        margins = [check["margin"] for check in part["checks"] if check["margin"] is not None]
        least = f"{min(margins):.2f}, {margin_words(min(margins))}" if margins else "no load worth a check"
        rows.append([part["name"], part["role"], least, escaped(part["if_it_fails"])])
    return table(["part", "what it does", "least margin in the screening cases", "if it lets go"], rows)


def _changes(record: Record) -> list[str]:
    """Changes to the car that carry it or change how it drives, though no part of this build is made for them."""
    units, changes = units_of(record), record["changes"]
    before, after = record["as_measured"], record["as_modified"]
    lines = []
    if any(changes["pickup_move_mm"].values()):
        lines.append(
            "**tie-rod pickup moved**: the knuckle is in the primary load path. Edge distance and section left round "
            "the new hole, its taper and the old hole are not assessed here. No heating, no welding on a forged or "
            "cast knuckle"
        )
    rods = record["tie_rods"]
    longer = max((n - m for n, m in zip(rods["needed_mm"], rods["measured_mm"], strict=True)), key=abs)
    if abs(longer) >= 0.5:
        lines.append(
            f"**tie rods {length_text(abs(longer), units)} {'longer' if longer > 0 else 'shorter'}**: in the "
            "primary load path. Buy rods of the length, never weld or sleeve one; at least one and a half thread "
            "diameters stay screwed in; buckling and joint angles at full lock want a look"
        )
    leg = record["arm_leg"]
    if leg is not None and abs(leg["needed_mm"] - leg["measured_mm"]) >= 0.5:
        lines.append(
            f"**the arm's other leg**: from {length_text(leg['measured_mm'], units)} to "
            f"{length_text(leg['needed_mm'], units)}. It carries the car, is not made here, and needs the same care as "
            "the sleeved link"
        )
    for side in ("left", "right"):
        camber = after["corners"][side]["camber_deg"] - before["corners"][side]["camber_deg"]
        if abs(camber) >= 1.0:
            lines.append(
                f"**{side} camber** goes from {before['corners'][side]['camber_deg']:.1f}° to "
                f"{after['corners'][side]['camber_deg']:.1f}°: tyre wear, braking and straight running change with it"
            )
    left = [turn["over_centre_rack_left_mm"] for turn in after["turns"].values()]
    least = min((value for value in left if value is not None), default=None)
    if least is not None and least < 10.0:
        lines.append(
            f"**over-centre** is {length_text(least, units)} of rack travel beyond the lock. Wear, bent parts or a "
            "lost stop use that up: the wheel then stays turned. The stops must be kept in order"
        )
    if not lines:
        return []
    return ["## Changes that carry the car or change how it drives", "", *bullets(lines)]


def _part(part: Record) -> list[str]:
    lines = [f"## {part['name']}", ""]
    lines += [f"Load path: {PATHS[part['role']]}. If it lets go: {escaped(part['if_it_fails'])}.", ""]
    if part["checks"]:
        rows = [
            [
                escaped(check["name"]),
                f"{check['demand']:.0f} {check['unit']}",
                f"{check['capacity']:.0f} {check['unit']}",
                f"{check['margin']:.2f}" if check["margin"] is not None else "no load",
                escaped(check["case"]),
                escaped(check["formula"]),
            ]
            for check in part["checks"]
        ]
        lines += table(["check", "load", "strength", "margin", "worst case", "how"], rows)
    lines += ["To be done or judged by someone qualified:", "", *bullets(map(escaped, part["qualified"]))]
    return lines


def _loads(record: Record) -> list[str]:
    rows = [
        [
            escaped(case["case"]),
            case["side"],
            _vector(case["contact_n"]),
            _vector(case["ball_joint_n"]),
            _vector(case["strut_top_n"]),
            f"{case['tie_rod_n']:.0f}",
            f"{case['link_axial_n']:.0f}",
            f"{case['link_moment_nm']:.0f}",
            "" if case["other_leg_n"] is None else f"{case['other_leg_n']:.0f}",
        ]
        for case in record["loads"]
    ]
    head = [
        "case", "side", "ground on tyre, N (x, y, z)", "knuckle on ball joint, N", "strut on body, N",
        "tie rod, N (pull +)", "arm at the cut, N (pull +)", "largest bending in the arm, N m",
        "arm's other leg, N (pull +)",
    ]  # fmt: skip
    sources = dict.fromkeys(f"{case['case']}: {case['source']}" for case in record["loads"])
    return [*table(head, rows), "Where the cases come from:", "", *bullets(map(escaped, sources))]


def margin_words(margin: float) -> str:
    """A margin in words; never a word that reads as approval."""
    if margin < 1.0:
        return "the case exceeds the strength"
    if margin < 1.5:
        return "little left"
    if margin < 2.5:
        return "some left"
    return "well above these cases"


def _vector(values: list[float]) -> str:
    return "(" + ", ".join(f"{value:.0f}" for value in values) + ")"
