"""The work order of a job as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.changes import changes_said
from locksweep.documents.markdown import plain
from locksweep.documents.wording import in_reader_units
from locksweep.solved import Solved
from locksweep.work_order.blocks import BLANK, Block, Bullets, Order, Paragraph, Section, Table, Warn
from locksweep.work_order.check import check
from locksweep.work_order.facts import Facts, Reckoned, facts_of
from locksweep.work_order.made import made, modified
from locksweep.work_order.purchases import purchases
from locksweep.work_order.service import cautions, service, signatures, torques
from locksweep.work_order.set_up import set_up
from locksweep.work_order.steps import steps

FORBIDDEN = (
    "Some authorities forbid welding or heating steering and suspension parts at all. Local codes, event rules and "
    "licensed practice come before every line of this order."
)
HOLDS = (
    "Work through it from top to bottom and tick each box as it is done. HOLD: nobody goes on before those named there "
    "have looked and signed. What is marked 'common practice' has no source and no number of this job behind it."
)


def work_order(solved: Solved, record: Mapping[str, Any], known: Reckoned | None = None) -> Order:
    """The order of a solved job; one whose goal is out of reach has nothing to be worked.

    record: of the same job (`Solved.record`), with revisions and files where it has been built
    known: where it was reckoned before
    """
    title = f"Work order: {record['job']['name']}"
    if not solved.solution.goal_met:
        answer = in_reader_units(record)["goal"]["answer"]
        return Order(title, (Section("Out of reach", (Warn(record["caution"]), Paragraph(f"{answer}."))),))
    facts = facts_of(solved, record, known)
    stages = steps(facts)
    return Order(
        title,
        (
            _head(facts),
            purchases(facts),
            made(facts),
            modified(facts),
            Section("Operations in order", (Paragraph(HOLDS),)),
            *stages,
            set_up(facts),
            check(facts),
            service(facts),
            torques(facts),
            cautions(facts),
            signatures(),
        ),
    )


def _head(facts: Facts) -> Section:
    record = facts.record
    turns = record["as_modified"]["turns"]
    before = min(turn["lock_deg"] for turn in record["as_measured"]["turns"].values())
    rows = (
        ("car", record["job"]["car"]),
        ("wanted", f"{record['goal']['lock_deg']:.1f}° of lock both ways"),
        (
            "comes to",
            f"{turns['left']['lock_deg']:.1f}° left, {turns['right']['lock_deg']:.1f}° right, from {before:.1f}°",
        ),
        ("tyre", record["tyre"]["size"]),
        ("car's number, owner", BLANK),
        ("builder, begun on", BLANK),
    )
    blocks: list[Block] = [
        Warn(record["caution"]),
        Warn(FORBIDDEN),
        Table(("this order", "is for"), rows, (30.0, 110.0)),
    ]
    changed = tuple(plain(sentence) for sentence in changes_said(record))
    if changed:
        blocks += [Paragraph("Changes that carry the car or change how it drives:"), Bullets(changed)]
    return Section("At a glance", tuple(blocks))
