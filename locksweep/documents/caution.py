"""The load-path caution note, in Markdown: a page of summary and a page a part, made from the record alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.changes import changes_said
from locksweep.documents.load_tables import (
    cases_table,
    checks_table,
    inputs_table,
    members_table,
    part_loads_table,
)
from locksweep.documents.markdown import bullets, escaped, table
from locksweep.documents.verdicts import PATHS, least_margin, members_short
from locksweep.documents.wording import in_reader_units

Record = Mapping[str, Any]

GENERAL = (
    "Some authorities forbid welding or heating steering and suspension parts at all, or allow only what the car's "
    "maker welded. Modified-vehicle codes are no design manual: they want strength calculated or judged by qualified "
    "people, case by case. Local codes, event rules and licensed practice decide.",
    "Codes that allow it commonly ask for material, filler, procedure, the welder's qualification and an inspection of "
    "every welded steering part, refuse welds on forged axles and arms, and refuse any tyre contact in the travel.",
    "Inspectors reject signs of welding or heating, and a loose lock stop.",
    "These numbers are a screening check of the parts made here, with rigid bodies and textbook load cases. They know "
    "nothing of your weld, your material, wear, rust or the rest of the car. They are no approval.",
    "Printed mock-ups are for fit checks on a standing car only.",
)

ENGINEER = (
    "whether these changes may be made to this car at all, and which approval they need",
    "load cases and grip: whether they cover the use that the car is put to",
    "everything under *not assessed* on the pages of the parts and members",
    "procedure, welder and tests for whatever is welded; who releases it, and in writing",
)

BEFORE_DRIVING = (
    "Never work under a car that stands on a jack alone.",
    "With the wheels off the ground turn the steering from stop to stop at full droop, ride height and full bump, with "
    "somebody watching tyre, strut, arm, tie rod, brake hose and boots on both sides.",
    "Measure toe, camber and lock again and compare them with the summary.",
    "Check every fastener's torque and locking after the first short run, and look for cracks beside every weld.",
)

INSPECTIONS = (
    ("before_welding", "Before welding or fitting"),
    ("after_welding", "After welding"),
    ("after_first_run", "After the first run"),
)


PICTURES, SHEETS = "load-paths.svg", "caution.pdf"
"""Names of the files with the pictures and with the note for print."""


def caution_text(record: Record, pages: Mapping[str, int] | None = None) -> str:
    """The whole note.

    pages: of each part's sheet in the note for print, where that and the pictures lie beside this file
    """
    record = in_reader_units(record)
    lines = [f"# Load paths and cautions: {escaped(record['job']['name'])}", ""]
    lines += [f"**{escaped(record['caution'])}**", "", *bullets(GENERAL)]
    lines += _overridden(record)
    if record["parts"]:
        lines += ["## At a glance", "", *_glance(record)]
    if pages is not None:
        lines += [
            f"The same for print, a sheet a part: [{SHEETS}]({SHEETS}). The load path of each part at its worst pose:",
            "",
            f"![Load paths on the front end, seen from behind and from above, with their forces]({PICTURES})",
            "",
        ]
    short = members_short(record)
    if short:
        lines += ["## Members that are not made here and fall short", ""]
        lines += bullets(f"**{escaped(sentence)}**" for sentence in short)
    if record["refused"]:
        lines += ["## Not made", ""]
        lines += bullets(f"**{item['name']}**: {escaped(item['reason'])}" for item in record["refused"])
    lines += ["## What a licensed engineer must decide", "", *bullets(ENGINEER)]
    lines += ["## Before anyone relies on it", "", *bullets(BEFORE_DRIVING)]
    lines += _changes(record)
    for part in record["parts"]:
        lines += _part(part, pages)
    lines += ["## Members that are not made here", "", *_members(record)]
    lines += ["## Screening loads on the modified front end", "", *_loads(record)]
    return "\n".join(lines)


def _glance(record: Record) -> list[str]:
    rows = []
    for part in record["parts"]:
        made = "**made by override** " if part["overridden"] else ""
        rows.append([part["name"], part["role"], made + least_margin(part), escaped(part["if_it_fails"])])
    return table(["part", "what it does", "least margin in the screening cases", "if it lets go"], rows)


def _overridden(record: Record) -> list[str]:
    parts = [part for part in record["parts"] if part["overridden"]]
    if not parts:
        return []
    lines = ["## Made although a check falls short", ""]
    return lines + bullets(
        f"**{part['name']}**: {escaped(sentence)}. The builder has overridden this by name in the job file"
        for part in parts
        for sentence in part["overridden"]
    )


def every_events(events: int) -> str:
    """When a list is due again."""
    return "After every event" if events == 1 else f"Every {events} events"


def _changes(record: Record) -> list[str]:
    lines = changes_said(record)
    return ["## Changes that carry the car or change how it drives", "", *bullets(lines)] if lines else []


def _part(part: Record, pages: Mapping[str, int] | None) -> list[str]:
    """One part's page."""
    lines = [f"## {part['name']}", ""]
    for sentence in part["overridden"]:
        lines += [f"**Made by override of the builder: {escaped(sentence)}.**", ""]
    lines += [
        f"Verdict: **{part['verdict']}**. Load path: {PATHS[part['role']]}. If it lets go: "
        f"{escaped(part['if_it_fails'])}.",
        "",
    ]
    if pages is not None:
        lines += [f"Picture of its load path: page {pages[part['name']]} of [{SHEETS}]({SHEETS}).", ""]
    if part["loads"]:
        lines += ["Loads that run through it, at their worst:", "", *part_loads_table(part)]
    if part["checks"]:
        lines += ["Checks:", "", *checks_table(part["checks"])]
    lines += ["Assumed:", "", *bullets(map(escaped, part["assumptions"]))]
    lines += ["Not assessed:", "", *bullets(map(escaped, part["not_assessed"]))]
    inspection = part["inspection"]
    for key, title in INSPECTIONS:
        if inspection[key]:
            lines += [f"{title}:", "", *bullets(map(escaped, inspection[key]))]
    if inspection["again"]:
        lines += [
            f"{every_events(inspection['events'])}:",
            "",
            *bullets(map(escaped, inspection["again"])),
        ]
    return [
        *lines,
        "To be done or judged by someone qualified:",
        "",
        *bullets(map(escaped, part["qualified"])),
    ]


def _members(record: Record) -> list[str]:
    lines = []
    for member in record["members"]:
        lines += [f"**{escaped(member['name'])}**: {escaped(member['changed'])}.", ""]
        if member["checks"]:
            lines += checks_table(member["checks"])
        lines += ["Not assessed:", "", *bullets(map(escaped, member["not_assessed"]))]
    return lines


def _loads(record: Record) -> list[str]:
    loads = record["loads"]
    lines = [
        f"Statics of rigid bodies over {loads['poses']} poses and cases; what is left unbalanced is under "
        f"{loads['residual']:.0e} of the load. Worst of each member:",
        "",
        *members_table(loads),
        "What the loads rest on:",
        "",
        *inputs_table(record),
        "Largest loads of each case:",
        "",
        *cases_table(loads),
        "Where the cases come from:",
        "",
    ]
    return lines + bullets(escaped(f"{case['name']}: {case['source']}") for case in loads["cases"])
