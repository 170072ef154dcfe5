"""What a work order consists of, in plain text: the same blocks become Markdown and a PDF."""

from __future__ import annotations

from typing import NamedTuple

LINE = "_" * 14
"""To write on."""
BLANK = ""
"""A cell to write in."""
PRACTICE = "common practice"
"""What a sentence is marked with that no source and no number of the job stands behind."""


class Paragraph(NamedTuple):
    """A few sentences."""

    text: str


class Warn(NamedTuple):
    """What must not be overlooked."""

    text: str


class Bullets(NamedTuple):
    """A list; with ``tick`` a box before each item."""

    items: tuple[str, ...]
    tick: bool = False


class Table(NamedTuple):
    """A table; ``shares`` of the width that its columns take on a sheet."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]


class Aid(NamedTuple):
    """A marking aid and how it is used."""

    title: str
    sentences: tuple[str, ...]


class Operation(NamedTuple):
    """One operation, with a box to tick.

    details: sentences that belong to it; record: what is measured and written down, a field each
    aids: marking aids that serve it
    """

    number: str
    text: str
    details: tuple[str, ...] = ()
    record: tuple[str, ...] = ()
    aids: tuple[Aid, ...] = ()


class Hold(NamedTuple):
    """A hold point: no work beyond it before somebody has looked and signed.

    looks: what is looked at, a box each; who: looks and signs
    """

    number: str
    text: str
    looks: tuple[str, ...]
    who: str
    record: tuple[str, ...] = ()


Block = Paragraph | Warn | Bullets | Table | Operation | Hold


class Section(NamedTuple):
    """A titled part of the order; ``level`` 2 for a section of it, 3 for a stage of the work."""

    title: str
    blocks: tuple[Block, ...]
    level: int = 2


class Order(NamedTuple):
    """The whole document."""

    title: str
    sections: tuple[Section, ...]


def fields(labels: tuple[str, ...]) -> str:
    """Labels with lines to write on."""
    return "; ".join(f"{label} {LINE}" for label in labels)
