"""FIT CHECK ONLY in block letters, as outlines that need no font.

Fonts differ between machines and so would the mock-ups; straight strokes of one unit also print well.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.families.base import Outline, outline_area

CAP_HEIGHT = 5.0
"""Units. A stroke is one unit wide, and so is the gap between two letters."""

LETTER_GAP, WORD_GAP, LINE_GAP = 1.0, 2.5, 1.5

LETTERS: dict[str, tuple[tuple[float, float], ...]] = {
    "C": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 4), (3, 4), (3, 5), (0, 5)),
    "E": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 2), (2.5, 2), (2.5, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5)),
    "F": ((0, 0), (1, 0), (1, 2), (2.5, 2), (2.5, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5)),
    "H": ((0, 0), (1, 0), (1, 2), (2, 2), (2, 0), (3, 0), (3, 5), (2, 5), (2, 3), (1, 3), (1, 5), (0, 5)),
    "I": ((0, 0), (1, 0), (1, 5), (0, 5)),
    "K": ((0, 0), (1, 0), (1, 2), (2.3, 0), (3.5, 0), (1.9, 2.5), (3.5, 5), (2.3, 5), (1, 3), (1, 5), (0, 5)),
    "L": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 5), (0, 5)),
    "N": ((0, 0), (1, 0), (1, 3.2), (2.6, 0), (3.6, 0), (3.6, 5), (2.6, 5), (2.6, 1.8), (1, 5), (0, 5)),
    "O": ((0, 0), (3, 0), (3, 5), (0, 5)),
    "T": ((1, 0), (2, 0), (2, 4), (3, 4), (3, 5), (0, 5), (0, 4), (1, 4)),
    "Y": ((1, 0), (2, 0), (2, 2), (3, 2), (3, 5), (2, 5), (2, 3), (1, 3), (1, 5), (0, 5), (0, 2), (1, 2)),
}
"""Outlines, counter-clockwise, in units, the lower left corner at 0."""

ISLANDS: dict[str, tuple[tuple[float, float], ...]] = {"O": ((1, 1), (2, 1), (2, 4), (1, 4))}
"""What stands inside a letter."""

LAYOUTS = (("FIT CHECK ONLY",), ("FIT CHECK", "ONLY"), ("FIT", "CHECK", "ONLY"))


@dataclass(frozen=True)
class Glyph:
    """One letter in its place: outline, and the island inside it if it has one; mm."""

    outline: Outline
    island: Outline | None

    @property
    def area(self) -> float:
        """mm²."""
        return outline_area(self.outline) - (outline_area(self.island) if self.island else 0.0)


def block_size(lines: tuple[str, ...]) -> tuple[float, float]:
    """Width and height of a block of lines, units."""
    height = CAP_HEIGHT * len(lines) + LINE_GAP * (len(lines) - 1)
    return max(map(_line_width, lines)), height


def glyphs(lines: tuple[str, ...], unit: float) -> list[Glyph]:
    """The letters of a block of centred lines, its middle at 0; mm.

    unit: width of a stroke, mm
    """
    width, height = block_size(lines)
    found = []
    for row, line in enumerate(lines):
        x = (width - _line_width(line)) / 2 - width / 2
        y = height / 2 - CAP_HEIGHT - row * (CAP_HEIGHT + LINE_GAP)
        for letter in line:
            if letter == " ":
                x += WORD_GAP - LETTER_GAP
                continue
            island = ISLANDS.get(letter)
            found.append(
                Glyph(_placed(LETTERS[letter], x, y, unit), _placed(island, x, y, unit) if island else None)
            )
            x += _width(letter) + LETTER_GAP
    return found


def _placed(points: tuple[tuple[float, float], ...], x: float, y: float, unit: float) -> Outline:
    return tuple(((x + px) * unit, (y + py) * unit, 0.0) for px, py in points)


def _width(letter: str) -> float:
    return max(x for x, _ in LETTERS[letter])


def _line_width(line: str) -> float:
    widths = (WORD_GAP - LETTER_GAP if letter == " " else _width(letter) + LETTER_GAP for letter in line)
    return sum(widths) - LETTER_GAP
