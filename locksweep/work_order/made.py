"""What others make, and what is altered on the car's own parts: the scope of the order."""

from __future__ import annotations

from locksweep.documents.verdicts import members_short, nearest_check
from locksweep.work_order.blocks import Block, Bullets, Paragraph, Section, Table, Warn
from locksweep.work_order.facts import Facts, Record

BOX = "□"
MOCK_UP_FILES = (".stl", ".3mf")

MOVED = (
    ("drop", "ball joints", "{drop} {drop_way} the knuckle, by spacers", "spacers, longer studs or bolts, and what the "
     "joint's housing and the knuckle bear by them"),
    ("strut", "strut towers", "tops moved {strut}", "the plate left round studs and slots, and what keeps the tops "
     "where they are"),
    ("rack-shift", "rack mounts", "rack moved {rack_shift}", "mounts and what they are fixed to; the column's joints"),
)  # fmt: skip
"""Condition, what is altered, what becomes of it, and what nobody has reckoned."""


def made(facts: Facts) -> Section:
    """Parts of this build, each with its revision, shop and files."""
    blocks: list[Block] = []
    parts = facts.parts()
    if parts:
        rows = tuple(
            (
                part["name"],
                part["revision"] or "not built",
                str(part["quantity"]),
                part["material"],
                f"{part['process']}; {part['fits']}",
                _margin(part),
                ", ".join(_to_send(part)) or "none yet",
                BOX,
            )
            for part in parts
        )
        head = (
            "part",
            "revision",
            "off",
            "material",
            "how, and where it fits",
            "least margin",
            "files",
            "got",
        )
        blocks.append(Table(head, rows, (27.0, 12.5, 6.0, 21.0, 42.0, 12.0, 47.0, 6.5)))
        blocks += [
            Warn(f"{part['name']} is made by override of the builder: {sentence}.")
            for part in parts
            for sentence in part["overridden"]
        ]
    else:
        blocks.append(Paragraph("Nothing: this job takes no part of ours."))
    refused = facts.record["refused"]
    if refused:
        blocks.append(
            Warn(
                "Not made. The work does not begin before each of these is settled, and the job built again:"
            )
        )
        blocks.append(
            Bullets(
                tuple(f"{item['name']}: {item['reason']}. Instead: {item['nearest']}" for item in refused),
                tick=True,
            )
        )
    return Section("What to have made", tuple(blocks))


def modified(facts: Facts) -> Section:
    """Parts of the car that are altered, or loaded by what is altered, and what the screening makes of them."""
    rows = []
    for member in facts.record["members"]:
        least = nearest_check(member)
        found = (
            "not checked"
            if least is None
            else f"{least['margin']:.2f} of {least['required']:.2f}, {least['name']}"
        )
        rows.append((member["name"], member["changed"], found, "; ".join(member["not_assessed"])))
    rows += [
        (name, done.format_map(facts.said), "not checked", ask)
        for condition, name, done, ask in MOVED
        if condition in facts.has
    ]
    panels = [part["fits"] for part in facts.parts("closure-plate")]
    rows += [
        ("wheel well", f"cut out and closed {fits}", "not checked", "what the panel carries")
        for fits in panels
    ]
    head = (
        "of the car",
        "what becomes of it",
        "least margin of required",
        "not assessed: for somebody qualified",
    )
    blocks: list[Block] = [Table(head, tuple(rows), (26.0, 38.0, 30.0, 66.0))]
    blocks += [Warn(f"Falls short: {sentence}.") for sentence in members_short(facts.record)]
    return Section("What is modified", tuple(blocks))


def _to_send(part: Record) -> list[str]:
    """Files that a part is made from; those of its mock-up are the printer's, and mock-ups.md names them."""
    return [name for name in part["files"] if not name.endswith(MOCK_UP_FILES)]


def _margin(part: Record) -> str:
    least = nearest_check(part)
    if least is None:
        return "no load"
    return f"{least['margin']:.2f} of {least['required']:.2f}"
