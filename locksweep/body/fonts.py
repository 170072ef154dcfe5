"""The font of printed sheets: a free one that comes with a library that is installed anyway."""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path
from typing import Any

FONT = "sheet"


@cache
def font_file() -> Path:
    """DejaVu Sans, which knows Latin, Greek and Cyrillic; without it Bitstream Vera, its Latin ancestor.

    Both may be embedded in any document. They are taken from where they lie: importing the library that brings one
    would take a second.
    """
    plotting = importlib.util.find_spec("matplotlib")
    if plotting is not None and plotting.origin is not None:
        path = Path(plotting.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if path.is_file():
            return path
    printing = importlib.util.find_spec("reportlab")
    assert printing is not None
    assert printing.origin is not None
    return Path(printing.origin).parent / "fonts" / "Vera.ttf"


@cache
def register() -> str:
    """The font's name, once the writer of PDF files knows it."""
    from reportlab import rl_config
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    # Bytes as they are: written as letters they take a quarter more room and most of the time.
    rl_config.useA85 = 0
    pdfmetrics.registerFont(TTFont(FONT, str(font_file())))
    return FONT


def writable(text: str) -> str:
    """The text with a question mark for each character that the font does not have."""
    from reportlab.pdfbase import pdfmetrics

    font: Any = pdfmetrics.getFont(register())
    known = font.face.charToGlyph
    return "".join(c if ord(c) in known else "?" for c in text)
