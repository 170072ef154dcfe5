"""Service while it is apart, torques to write down, cautions, signatures."""

from __future__ import annotations

from locksweep.documents.caution import BEFORE_DRIVING, GENERAL
from locksweep.documents.markdown import plain
from locksweep.work_order.blocks import BLANK, Bullets, Paragraph, Section, Table, Warn
from locksweep.work_order.facts import Facts
from locksweep.work_order.tables import rows_for

MAKERS = "the maker's value"


def service(facts: Facts) -> Section:
    """What is cleaned, greased and renewed; none of it comes from a standard."""
    items = tuple(f"{row['text']} ({row['source']})" for row in rows_for("service", facts.has, facts.said))
    return Section("Service", (Bullets(items, tick=True),))


def torques(facts: Facts) -> Section:
    """Fasteners with room for the value looked up, the value set, and who set it."""
    rows = tuple(
        (row["fastener"], MAKERS, BLANK, BLANK, BLANK, BLANK, row["note"])
        for row in rows_for("torques", facts.has, facts.said)
    )
    head = ("fastener", "torque", "looked up", "set left", "set right", "by", "to mind")
    text = (
        "No torque is given here: it depends on thread, class, coating and lubricant of the very part. Look each up in "
        "the maker's data, write it down, set it, mark the fastener."
    )
    return Section(
        "Torques", (Paragraph(text), Table(head, rows, (34.0, 20.0, 16.0, 15.0, 15.0, 14.0, 40.0)))
    )


def cautions(facts: Facts) -> Section:
    """What holds for all of it."""
    return Section(
        "Cautions",
        (
            Warn(facts.record["caution"]),
            Bullets(tuple(map(plain, GENERAL))),
            Bullets(BEFORE_DRIVING, tick=True),
        ),
    )


def signatures() -> Section:
    """Who did it, who looked, who released it."""
    rows = tuple(
        (who, BLANK, BLANK, BLANK)
        for who in ("builder", "welder", "licensed engineer", "released for the road by")
    )
    return Section("Signed", (Table(("who", "name", "signature", "date"), rows, (30.0, 40.0, 40.0, 30.0)),))
