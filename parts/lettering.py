"""FIT CHECK ONLY and a part number in block letters, as outlines that need no font.

Fonts differ between machines and so would the mock-ups; straight strokes of one unit also print well.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.families.base import Outline, outline_area

CAP_HEIGHT = 5.0
"""Units. A stroke is one unit wide, and so is the gap between two letters."""

LETTER_GAP, WORD_GAP, LINE_GAP = 1.0, 2.5, 1.5

_UPPER, _LOWER = ((1, 3), (2, 3), (2, 4), (1, 4)), ((1, 1), (2, 1), (2, 2), (1, 2))
_WHOLE = ((1, 1), (2, 1), (2, 4), (1, 4))

# fmt: off
LETTERS: dict[str, tuple[tuple[float, float], ...]] = {
    "A": ((0, 0), (1, 0), (1, 2), (2, 2), (2, 0), (3, 0), (3, 5), (0, 5)),
    "B": ((0, 0), (2.6, 0), (3, 0.4), (3, 2.2), (2.7, 2.5), (3, 2.8), (3, 4.6), (2.6, 5), (0, 5)),
    "C": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 4), (3, 4), (3, 5), (0, 5)),
    "D": ((0, 0), (2.2, 0), (3, 0.8), (3, 4.2), (2.2, 5), (0, 5)),
    "E": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 2), (2.5, 2), (2.5, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5)),
    "F": ((0, 0), (1, 0), (1, 2), (2.5, 2), (2.5, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5)),
    "G": ((0, 0), (3, 0), (3, 3), (1.6, 3), (1.6, 2), (2, 2), (2, 1), (1, 1), (1, 4), (3, 4), (3, 5), (0, 5)),
    "H": ((0, 0), (1, 0), (1, 2), (2, 2), (2, 0), (3, 0), (3, 5), (2, 5), (2, 3), (1, 3), (1, 5), (0, 5)),
    "I": ((0, 0), (1, 0), (1, 5), (0, 5)),
    "J": ((0, 0), (3, 0), (3, 5), (2, 5), (2, 1), (1, 1), (1, 2), (0, 2)),
    "K": ((0, 0), (1, 0), (1, 2), (2.3, 0), (3.5, 0), (1.9, 2.5), (3.5, 5), (2.3, 5), (1, 3), (1, 5), (0, 5)),
    "L": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 5), (0, 5)),
    "M": ((0, 0), (1, 0), (1, 2.9), (2, 1.2), (3, 2.9), (3, 0), (4, 0), (4, 5), (3, 5), (2, 3.2), (1, 5), (0, 5)),
    "N": ((0, 0), (1, 0), (1, 3.2), (2.6, 0), (3.6, 0), (3.6, 5), (2.6, 5), (2.6, 1.8), (1, 5), (0, 5)),
    "O": ((0, 0), (3, 0), (3, 5), (0, 5)),
    "P": ((0, 0), (1, 0), (1, 2), (3, 2), (3, 5), (0, 5)),
    "Q": ((0, 0), (4, 0), (3, 1.3), (3, 5), (0, 5)),
    "R": ((0, 0), (1, 0), (1, 2), (1.3, 2), (2.1, 0), (3.2, 0), (2.4, 2), (3, 2), (3, 5), (0, 5)),
    "S": ((0, 0), (3, 0), (3, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5), (0, 2), (2, 2), (2, 1), (0, 1)),
    "T": ((1, 0), (2, 0), (2, 4), (3, 4), (3, 5), (0, 5), (0, 4), (1, 4)),
    "U": ((0, 0), (3, 0), (3, 5), (2, 5), (2, 1), (1, 1), (1, 5), (0, 5)),
    "V": ((1.2, 0), (2.2, 0), (3.4, 5), (2.3, 5), (1.7, 2), (1.1, 5), (0, 5)),
    "W": (
        (0.6, 0), (1.6, 0), (2.3, 2.6), (3, 0), (4, 0), (4.6, 5), (3.6, 5), (3.3, 2.4), (2.8, 4.2), (1.8, 4.2),
        (1.3, 2.4), (1, 5), (0, 5),
    ),
    "X": (
        (0, 0), (1.2, 0), (1.75, 1.3), (2.3, 0), (3.5, 0), (2.35, 2.5), (3.5, 5), (2.3, 5), (1.75, 3.7), (1.2, 5),
        (0, 5), (1.15, 2.5),
    ),
    "Y": ((1, 0), (2, 0), (2, 2), (3, 2), (3, 5), (2, 5), (2, 3), (1, 3), (1, 5), (0, 5), (0, 2), (1, 2)),
    "Z": ((0, 0), (3, 0), (3, 1), (1.3, 1), (3, 4), (3, 5), (0, 5), (0, 4), (1.7, 4), (0, 1)),
    "0": ((0.7, 0), (2.3, 0), (3, 0.7), (3, 4.3), (2.3, 5), (0.7, 5), (0, 4.3), (0, 0.7)),
    "1": ((0, 0), (3, 0), (3, 1), (2, 1), (2, 5), (1.2, 5), (0, 4), (0, 3), (1, 3.7), (1, 1), (0, 1)),
    "2": ((0, 0), (3, 0), (3, 1), (1, 1), (1, 2), (3, 2), (3, 5), (0, 5), (0, 4), (2, 4), (2, 3), (0, 3)),
    "3": ((0, 0), (3, 0), (3, 5), (0, 5), (0, 4), (2, 4), (2, 3), (0.6, 3), (0.6, 2), (2, 2), (2, 1), (0, 1)),
    "4": ((2, 0), (3, 0), (3, 5), (2, 5), (2, 3), (1, 3), (1, 5), (0, 5), (0, 2), (2, 2)),
    "5": (
        (0, 0), (2.3, 0), (3, 0.7), (3, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5), (0, 2), (2, 2), (2, 1), (0, 1),
    ),
    "6": ((0, 0), (3, 0), (3, 3), (1, 3), (1, 4), (3, 4), (3, 5), (0, 5)),
    "7": ((0.8, 0), (1.9, 0), (3, 4), (3, 5), (0, 5), (0, 4), (1.9, 4)),
    "8": ((0, 0), (3, 0), (3, 5), (0, 5)),
    "9": ((0, 0), (3, 0), (3, 5), (0, 5), (0, 2), (2, 2), (2, 1), (0, 1)),
    "-": ((0, 2), (2, 2), (2, 3), (0, 3)),
}
# fmt: on
"""Outlines, counter-clockwise, in units, the lower left corner at 0."""

ISLANDS: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    **dict.fromkeys("APR9", (_UPPER,)),
    **dict.fromkeys("DOQ0", (_WHOLE,)),
    **dict.fromkeys("B8", (_LOWER, _UPPER)),
    "6": (_LOWER,),
}
"""What stands inside a letter."""

WARNING = "FIT CHECK ONLY"


def layouts(number: str) -> tuple[tuple[str, ...], ...]:
    """Ways to set the warning and a part number in lines, the fewest lines first.

    number: letters, digits, hyphens and blanks
    """
    number = number.upper()
    words = number.replace("-", "- ").split(" ")
    splits = [("".join(_joined(words[:i])), "".join(_joined(words[i:]))) for i in range(1, len(words))]
    halves = min(splits, key=lambda pair: max(map(_line_width, pair)), default=(number,))
    found = [
        (f"{WARNING}  {number}",),
        (WARNING, number),
        (WARNING, *halves),
        ("FIT CHECK", "ONLY", *halves),
        ("FIT", "CHECK", "ONLY", *(_joined([word]) for word in words)),
    ]
    return tuple(dict.fromkeys(found))


def _joined(words: list[str]) -> str:
    """Words with a blank between them, but for those that a hyphen joins."""
    return " ".join(words).replace("- ", "-")


@dataclass(frozen=True)
class Glyph:
    """One letter in its place: outline, and the islands inside it; mm."""

    outline: Outline
    islands: tuple[Outline, ...]

    @property
    def area(self) -> float:
        """mm²."""
        return outline_area(self.outline) - sum(map(outline_area, self.islands))


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
            islands = tuple(_placed(island, x, y, unit) for island in ISLANDS.get(letter, ()))
            found.append(Glyph(_placed(LETTERS[letter], x, y, unit), islands))
            x += _width(letter) + LETTER_GAP
    return found


def _placed(points: tuple[tuple[float, float], ...], x: float, y: float, unit: float) -> Outline:
    return tuple(((x + px) * unit, (y + py) * unit, 0.0) for px, py in points)


def _width(letter: str) -> float:
    return max(x for x, _ in LETTERS[letter])


def _line_width(line: str) -> float:
    widths = (WORD_GAP - LETTER_GAP if letter == " " else _width(letter) + LETTER_GAP for letter in line)
    return sum(widths) - LETTER_GAP
