"""The work order as a PDF for print, by what the caution note is set with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from locksweep.note.frame import BODY, SIDES, TOP, WIDTH, frame
from locksweep.note.paint import PAGE, Painter
from locksweep.note.sheet import Setter, Strip, paged
from locksweep.work_order.blocks import (
    Block,
    Bullets,
    Hold,
    Operation,
    Order,
    Paragraph,
    Section,
    Table,
    Warn,
    fields,
)
from locksweep.work_order.markdown import DONE, SIGNED

SIZE = 2.5
"""Of the font, mm."""
INDENT = 2.0 * SIZE
"""Of what belongs to an operation, mm."""
BOX = "□"
WHOLE = 0.45 * BODY
"""Height up to which an operation or a table is kept on one page, mm."""
PAGE_FULL = 0.9 * BODY
"""The same for a table with what stands over it."""
FOOT = "Screening, no approval. Local codes, event rules and licensed practice decide; some forbid welding or heating."


def pdf_bytes(order: Order, job: str, issue: str) -> bytes:
    """The file; ``job`` stands at the head of every page, ``issue`` at its foot."""
    painter = Painter(order.title)
    setter = Setter(painter, SIZE, WIDTH)
    strips = [strip for section in order.sections for strip in _section(setter, section)]
    pages = paged(strips, BODY)
    for number, page in enumerate(pages, 1):
        title = "Work order" if number == 1 else "Work order (continued)"
        frame(painter, title, job, f"page {number} of {len(pages)}", FOOT, issue)
        top = PAGE[1] - TOP
        for strip in page:
            strip.paint(painter, SIDES, top)
            top -= strip.height
        painter.end_page()
    return painter.finished()


def _section(setter: Setter, section: Section) -> Iterable[Strip]:
    large = Setter(setter.painter, SIZE * (1.5 if section.level == 2 else 1.25), setter.width)
    yield from large.heading(section.title)
    strips: list[Strip] = []
    caption: list[Strip] = []
    for block in section.blocks:
        if isinstance(block, Paragraph):
            strips += caption
            caption = _strips(setter, block)
            continue
        found = _strips(setter, block)
        if caption and isinstance(block, Table) and found:
            # What stands over a table goes with it, or with its first piece.
            found = [*_whole([*caption, found[0]], PAGE_FULL), *found[1:]]
        else:
            strips += caption
        strips += found
        caption = []
    strips += caption
    # No title stays alone at a page's foot.
    yield from [strip._replace(follows=True) if number == 0 else strip for number, strip in enumerate(strips)]


def _strips(setter: Setter, block: Block) -> list[Strip]:
    match block:
        case Paragraph(text):
            return [*setter.paragraph(text), setter.space(1.0)]
        case Warn(text):
            return setter.boxed(text)
        case Bullets(items, tick):
            return [*setter.bullets(items, BOX if tick else "•"), setter.space(1.0)]
        case Table(head, rows, shares):
            return _table(setter, head, rows, shares)
        case Operation(number, text, details, record, aids):
            lines = setter.bullets([f"{number}  {text}"], BOX)
            lines += _indented(setter, details)
            for aid in aids:
                title = setter.narrow(setter.width - INDENT).paragraph(aid.title, bold=True)
                lines += [*_moved(title), *_indented(setter, aid.sentences)]
            lines += [setter.space(1.0), *_indented(setter, [fields((*record, DONE))], "")]
            return [*_whole(lines), setter.space(1.6)]
        case Hold():
            return _hold(setter, block)


def _hold(setter: Setter, hold: Hold) -> list[Strip]:
    lines = setter.boxed(f"HOLD {hold.number}  {hold.text}", dark=True)
    lines += setter.bullets(hold.looks, BOX)
    if hold.record:
        lines += setter.bullets([fields(hold.record)], "")
    lines += [setter.space(1.4), *setter.paragraph(f"{hold.who}: {fields((SIGNED, 'date'))}", bold=True)]
    return [*_whole(lines), setter.space(2.2)]


def _table(
    setter: Setter, head: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]
) -> list[Strip]:
    """A short table whole; a long one goes on over the page's end."""
    return _whole(setter.table(head, rows, shares))


def _height(strips: Sequence[Strip]) -> float:
    return sum(strip.height for strip in strips)


def _whole(strips: Sequence[Strip], most: float = WHOLE) -> list[Strip]:
    """Strips that stay on one page as a single one, unless they are higher than ``most``."""
    if not strips or _height(strips) > most:
        return list(strips)

    def paint(painter: Painter, x: float, top: float) -> None:
        for strip in strips:
            strip.paint(painter, x, top)
            top -= strip.height

    return [Strip(_height(strips), paint)]


def _indented(setter: Setter, items: Sequence[str], mark: str = "•") -> list[Strip]:
    return _moved(setter.narrow(setter.width - INDENT).bullets(items, mark))


def _moved(strips: Iterable[Strip]) -> list[Strip]:
    """Strips further to the right."""

    def moved(strip: Strip) -> Strip:
        return strip._replace(paint=lambda painter, x, top: strip.paint(painter, x + INDENT, top))

    return [moved(strip) for strip in strips]
