"""The load-path caution note, in Markdown: computed for the job from its record, part by part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.markdown import bullets, escaped, table
from locksweep.documents.wording import in_reader_units

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
        ]
        for case in record["loads"]
    ]
    head = [
        "case", "side", "ground on tyre, N (x, y, z)", "knuckle on ball joint, N", "strut on body, N",
        "tie rod, N (pull +)", "arm at the cut, N (pull +)", "bending there, N m",
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
