"""The one font of all sheets: bundled, so that a sheet looks and measures the same on every machine."""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from solver.errors import WriteError

FILE = Path(__file__).parent / "font_files" / "DejaVuSansCondensed.ttf"
NAME = "drawing"
CAPITAL = 1493 / 2048
"""Height of a capital letter of this font, of the font's size."""
MISSING = "\N{WHITE SQUARE}"
"""Stands for a character that the font does not have."""


@cache
def register() -> str:
    """The font's name, once the writer of PDF files knows it.

    Raises:
        WriteError: the file is missing or no TrueType font.
    """
    # Bytes as they are. Other sheets of this process are written so as well, and one setting holds for all of them.
    rl_config.useA85 = 0
    try:
        pdfmetrics.registerFont(TTFont(NAME, str(FILE)))
    except (TTFError, OSError) as error:
        raise WriteError(
            f"{FILE}, the font of the drawings, can't be read: install locksweep again"
        ) from error
    return NAME


@cache
def _widths() -> dict[int, float]:
    """Width of each character, in thousandths of the font's size."""
    font: Any = pdfmetrics.getFont(register())
    widths: dict[int, float] = font.face.charWidths
    return widths


def em_of(height: float) -> float:
    """Size of the font whose capitals are ``height`` tall."""
    return height / CAPITAL


def width(text: str, height: float) -> float:
    """Of a line of text whose capitals are ``height`` mm tall, mm."""
    return _thousandths(text) * em_of(height) / 1000


@lru_cache(maxsize=4096)
def _thousandths(text: str) -> float:
    widths = _widths()
    return sum(widths.get(ord(c), widths[ord(MISSING)]) for c in text)


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """One line that the font can write.

    Control and formatting characters are dropped, such as those that turn the reading direction; white space of any
    kind becomes a blank; what the font lacks becomes a square.
    """
    known = _widths()
    kept = (" " if c.isspace() else c for c in text if c.isspace() or unicodedata.category(c)[0] != "C")
    line = " ".join("".join(kept).split())
    return "".join(c if ord(c) in known else MISSING for c in unicodedata.normalize("NFC", line))


def wrapped(text: str, height: float, room: float) -> list[str]:
    """A text broken into lines no wider than ``room`` mm; a word that is wider is broken anywhere.

    A no-break space holds a number and its unit together.
    """
    lines = [""]
    for word in map(printable, re.split(r"[ \n]+", text)):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width(longer, height) <= room:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for character in word:
            if lines[-1] and width(lines[-1] + character, height) > room:
                lines.append("")
            lines[-1] += character
    return lines


def fitted(text: str, height: float, least: float, room: float, most_lines: int) -> tuple[list[str], float]:
    """A text made to fit: smaller letters down to ``least`` mm, then more lines, then cut off with an ellipsis."""
    size = height
    while size > least and width(printable(text), size) > room:
        size = max(least, round(size - 0.1, 3))
    lines = wrapped(text, size, room)
    if len(lines) > most_lines:
        lines = lines[:most_lines]
        while lines[-1] and width(lines[-1] + "…", size) > room:
            lines[-1] = lines[-1][:-1]
        lines[-1] = lines[-1].rstrip() + "…"
    return lines, size
