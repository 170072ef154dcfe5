"""The work order as Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from locksweep.documents.markdown import bullets, escaped, table
from locksweep.work_order.blocks import Block, Bullets, Hold, Operation, Order, Paragraph, Table, Warn, fields

DONE = "done by, date"
SIGNED = "looked at and signed by"


def markdown_text(order: Order) -> str:
    """The whole document."""
    lines = [f"# {escaped(order.title)}", ""]
    for section in order.sections:
        lines += [f"{'#' * section.level} {escaped(section.title)}", ""]
        for block in section.blocks:
            lines += _lines(block)
    return "\n".join(lines)


def _lines(block: Block) -> list[str]:
    match block:
        case Paragraph(text):
            return [escaped(text), ""]
        case Warn(text):
            return [f"**{escaped(text)}**", ""]
        case Bullets(items, tick):
            return bullets(f"{'[ ] ' if tick else ''}{escaped(item)}" for item in items)
        case Table(head, rows, _):
            return table([escaped(cell) for cell in head], ([escaped(cell) for cell in row] for row in rows))
        case Operation(number, text, details, record, aids):
            found = [f"- [ ] **{number}** {escaped(text)}"]
            found += [f"  - {escaped(detail)}" for detail in details]
            for aid in aids:
                found += [f"  - **{escaped(aid.title)}**"]
                found += [f"    - {escaped(sentence)}" for sentence in aid.sentences]
            return [*found, f"  - {escaped(fields((*record, DONE)))}", ""]
        case Hold():
            return [*_hold(block), ""]


def _hold(hold: Hold) -> Iterator[str]:
    yield f"> **HOLD {hold.number}** {escaped(hold.text)}"
    yield ">"
    yield from (f"> - [ ] {escaped(look)}" for look in hold.looks)
    if hold.record:
        yield f"> - {escaped(fields(hold.record))}"
    yield f"> - **{escaped(hold.who)}**: {escaped(fields((SIGNED, 'date')))}"
