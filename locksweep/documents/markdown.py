"""Small pieces of Markdown. Text from a job file is escaped, so that a name can't turn into markup."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

MARKUP = re.compile(r"([\\`*_\[\]<>|#~&])")


def escaped(text: str) -> str:
    """Text that reads as it is written, on one line."""
    return MARKUP.sub(r"\\\1", " ".join(text.split()))


def plain(text: str) -> str:
    """Our own text without its stresses, for what is no Markdown."""
    return text.replace("*", "")


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lines of a table; cells are taken as Markdown already."""
    lines = [_row(head), _row(["---"] * len(head))]
    return [*lines, *(_row(row) for row in rows), ""]


def bullets(items: Iterable[str]) -> list[str]:
    """Lines of a list, with an empty line at the end."""
    return [*(f"- {item}" for item in items), ""]


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cells) + " |"
