"""Tables of loads and checks, in Markdown, made from the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from locksweep.documents.markdown import escaped, table
from locksweep.documents.record import units_of
from locksweep.documents.verdicts import where_words
from locksweep.units import length_text

Record = Mapping[str, Any]

NOT_MEASURED = "not measured: "
"""Before the source of an input that was taken as usual."""
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
            amount(check["demand"], check["unit"]),
            amount(check["capacity"], check["unit"]),
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


def load_rows(part: Record) -> list[list[str]]:
    """Loads through one part, as text."""
    return [
        [load["name"], f"{load['value']:.0f} {load['unit']}", where_words(load)] for load in part["loads"]
    ]


def part_loads_table(part: Record) -> list[str]:
    """Loads through one part."""
    return _escaped_table(["load", "largest", "worst case and pose"], load_rows(part))


def member_rows(loads: Record) -> list[list[str]]:
    """The worst of each member over all cases and poses, as text."""
    rows = [
        [load["name"], f"{load['value']:.0f} {load['unit']}", where_words(load)]
        for load in loads["members"]
        if load["value"] > 0.5
    ]
    return [*rows, ["rack's own stop, hit", f"{loads['rack_stop_n']:.0f} N", "either turn"]]


def members_table(loads: Record) -> list[str]:
    """The worst of each member over all cases and poses."""
    return _escaped_table(["member", "largest", "worst case and pose"], member_rows(loads))


def inputs_rows(record: Record) -> list[list[str]]:
    """What was measured and what was taken as usual, as text."""
    loads, units = record["loads"], record["job"]["units"]
    rows = []
    for item in loads["inputs"]:
        value = f"{item['value']:g} {item['unit']}".removesuffix(" 1")
        if item["unit"] == "mm":
            value = length_text(item["value"], units_of(record), 0 if units == "mm" else 1)
        rows.append(
            [item["name"], value, item["source"] if item["measured"] else NOT_MEASURED + item["source"]]
        )
    left, right = loads["wheel_loads_n"]
    return [
        *rows,
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


def inputs_table(record: Record) -> list[str]:
    """What was measured and what was taken as usual."""
    lines = _escaped_table(["what", "value", "from"], inputs_rows(record))
    return [line.replace(f"| {NOT_MEASURED}", f"| **{NOT_MEASURED[:-2]}**: ") for line in lines]


def case_rows(loads: Record) -> list[list[str]]:
    """Every case with the largest loads that it makes on either side, as text."""
    return [
        [case["name"], *(_newtons(case["largest"], key) for key, _ in IN_CASES)] for case in loads["cases"]
    ]


def cases_table(loads: Record) -> list[str]:
    """Every case with the largest loads that it makes on either side."""
    heads = [f"{label}, {'N m' if key == 'link_bending' else 'N'}" for key, label in IN_CASES]
    return _escaped_table(["case", *heads], case_rows(loads))


def _newtons(largest: Record, key: str) -> str:
    value = largest[key]
    return "no pose" if value is None else f"{value:.0f}"


def _escaped_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    return table(head, [[escaped(cell) for cell in row] for row in rows])


def amount(value: float, unit: str) -> str:
    """A load or a strength with its unit."""
    number = f"{value:.1f}" if abs(value) < 100 else f"{value:.0f}"
    return f"{number}{unit}" if unit == "°" else f"{number} {unit}"
