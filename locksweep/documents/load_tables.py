"""Tables of loads and checks, in Markdown, made from the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from locksweep.documents.markdown import escaped, table
from locksweep.documents.record import units_of
from locksweep.documents.verdicts import where_words
from locksweep.units import length_text

Record = Mapping[str, Any]

IN_CASES = (
    ("vertical", "ground up"),
    ("rearward", "ground rearward"),
    ("inward", "ground sideways"),
    ("ball_joint", "ball joint"),
    ("tie_rod_pull", "tie rod, pull"),
    ("tie_rod_push", "tie rod, push"),
    ("link_bending", "arm, bending"),
    ("strut", "strut"),
    ("strut_side", "strut top, side"),
)
"""Members that the table of cases shows."""


def checks_table(checks: Sequence[Record], brief: bool = False) -> list[str]:
    """Each check with load, strength, margin as number and words, case and pose, formula, source and inputs.

    brief: without the last three
    """
    rows = [
        [
            escaped(check["name"]),
            _amount(check["demand"], check["unit"]),
            _amount(check["capacity"], check["unit"]),
            "no load" if check["margin"] is None else f"{check['margin']:.2f} of {check['required']:.2f}",
            check["words"],
            escaped(where_words(check)),
            escaped(f"{check['formula']} ({check['source']})"),
            escaped(check["inputs"]),
        ]
        for check in checks
    ]
    head = [
        "check",
        "load",
        "strength",
        "margin of required",
        "in words",
        "worst case and pose",
        "how",
        "with",
    ]
    columns = 6 if brief else len(head)
    return table(head[:columns], [row[:columns] for row in rows])


def part_loads_table(part: Record) -> list[str]:
    """Loads through one part."""
    rows = [
        [escaped(x["name"]), f"{x['value']:.0f} {x['unit']}", escaped(where_words(x))] for x in part["loads"]
    ]
    return table(["load", "largest", "worst case and pose"], rows)


def members_table(loads: Record) -> list[str]:
    """The worst of each member over all cases and poses."""
    rows = [
        [escaped(x["name"]), f"{x['value']:.0f} {x['unit']}", escaped(where_words(x))]
        for x in loads["members"]
        if x["value"] > 0.5
    ]
    rows.append(["rack's own stop, hit", f"{loads['rack_stop_n']:.0f} N", "either turn"])
    return table(["member", "largest", "worst case and pose"], rows)


def inputs_table(record: Record) -> list[str]:
    """What was measured and what was taken as usual."""
    loads, units = record["loads"], record["job"]["units"]
    rows = []
    for item in loads["inputs"]:
        value = f"{item['value']:g} {item['unit']}".removesuffix(" 1")
        if item["unit"] == "mm":
            value = length_text(item["value"], units_of(record), 0 if units == "mm" else 1)
        source = (
            escaped(item["source"]) if item["measured"] else f"**not measured**: {escaped(item['source'])}"
        )
        rows.append([escaped(item["name"]), value, source])
    left, right = loads["wheel_loads_n"]
    rows += [
        ["load at rest", f"left {left:.0f} N, right {right:.0f} N", "corner masses of the job file"],
        [
            "load transfer in braking",
            f"{loads['braking_transfer_n_per_g']:.0f} N per g and wheel",
            "m g h/2 wheelbase",
        ],
        [
            "load transfer in a bend",
            f"{loads['cornering_transfer_n_per_g']:.0f} N per g",
            "share of m g h/track",
        ],
        [
            "driver and assistance",
            f"{loads['rack_push_n']:.0f} N",
            "hands × rim × 2π/rack per turn + assistance",
        ],
    ]
    return table(["what", "value", "from"], rows)


def cases_table(loads: Record) -> list[str]:
    """Every case with the largest loads that it makes on either side."""
    rows = [
        [escaped(case["name"]), *(_newtons(case["largest"], key) for key, _ in IN_CASES)]
        for case in loads["cases"]
    ]
    heads = [f"{label}, {'N m' if key == 'link_bending' else 'N'}" for key, label in IN_CASES]
    return table(["case", *heads], rows)


def _newtons(largest: Record, key: str) -> str:
    value = largest[key]
    return "no pose" if value is None else f"{value:.0f}"


def _amount(value: float, unit: str) -> str:
    return f"{value:.1f} {unit}" if abs(value) < 100 else f"{value:.0f} {unit}"
