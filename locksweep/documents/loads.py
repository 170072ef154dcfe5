"""The loads of a job for the terminal: what runs through each member, and how much strength is left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.console import aligned
from locksweep.documents.caution import ENGINEER, INSPECTIONS, every_events
from locksweep.documents.load_tables import (
    cases_table,
    checks_table,
    inputs_table,
    members_table,
    part_loads_table,
)
from locksweep.documents.verdicts import members_short
from locksweep.documents.wording import in_reader_units

Record = Mapping[str, Any]


def loads_json(record: Record) -> dict[str, Any]:
    """The part of the record that is about loads."""
    keys = ("format", "tool", "caution", "job", "parts", "refused", "members", "loads")
    return {key: record[key] for key in keys}


def loads_text(record: Record) -> str:
    """All of it as aligned tables."""
    record = in_reader_units(record)
    loads = record["loads"]
    lines = [f"{record['job']['name']}: loads on the modified front end", ""]
    if not record["goal"]["met"]:
        lines += [
            f"Out of reach: {record['goal']['answer']}.",
            "No part is sized; loads are those up to the lock in reach.",
            "",
        ]
    for title, table in (
        ("What the loads rest on", inputs_table(record)),
        ("Cases, largest load on either side anywhere in their range", cases_table(loads)),
        (f"Worst of each member, over {loads['poses']} poses and cases", members_table(loads)),
    ):
        lines += [title, *aligned(table), ""]
    lines.append(f"What is left unbalanced is under {loads['residual']:.0e} of the load.")
    lines += [
        "",
        "Where the cases come from",
        *(f"  {case['name']}: {case['source']}" for case in loads["cases"]),
    ]
    for part in record["parts"]:
        lines += ["", f"{part['name']}: {part['verdict']}"]
        lines += [f"  MADE BY OVERRIDE: {sentence}" for sentence in part["overridden"]]
        if part["loads"]:
            lines += aligned(part_loads_table(part))
        lines += _checks(part["checks"])
        lines += [f"  If it lets go: {part['if_it_fails']}."]
        lines += _said(part)
    for item in record["refused"]:
        lines += [
            "",
            f"Not made: {item['name']} ({item['limit']}): {item['reason']}. Instead: {item['nearest']}.",
        ]
    lines += ["", "Members that are not made here"]
    lines += [f"  FALLS SHORT: {sentence}" for sentence in members_short(record)]
    for member in record["members"]:
        lines += ["", f"{member['name']}: {member['changed']}", *_checks(member["checks"])]
        lines += [f"  not assessed: {item}" for item in member["not_assessed"]]
    lines += ["", "A licensed engineer must decide", *(f"  - {item.replace('*', '')}" for item in ENGINEER)]
    return "\n".join([*lines, "", record["caution"]])


def _said(part: Record) -> list[str]:
    """What stands beside a part's numbers: assumptions, gaps, who judges, what to look at and when."""
    inspection = part["inspection"]
    lists = [
        ("assumed", part["assumptions"]),
        ("not assessed", part["not_assessed"]),
        ("someone qualified", part["qualified"]),
        *((title.lower(), inspection[key]) for key, title in INSPECTIONS),
        (every_events(inspection["events"]).lower(), inspection["again"]),
    ]
    return [f"  {title}: {item}" for title, items in lists for item in items]


def _checks(checks: list[Record]) -> list[str]:
    if not checks:
        return []
    lines = aligned(checks_table(checks, brief=True))
    for check in checks:
        lines += [
            f"    {check['name']}: {check['formula']}; {check['source']}",
            f"      with {check['inputs']}",
        ]
    return lines
