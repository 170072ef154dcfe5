"""What stands at the end of a leader: text, a tolerance frame, a weld symbol."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

from parts.drawing.paper import font
from parts.drawing.paper.ink import Ink
from parts.drawing.standards import letter_height
from parts.drawing.values import GLUE, Row, Units, cell, plain_row
from parts.drawing.views.curves import Point

PITCH = 1.55
"""From base line to base line, over the height of capitals."""
PAD = 0.8
"""mm between text and a line beside it."""

FILLER = f"ISO{GLUE}14341{GLUE}G{GLUE}42"
"""Of the E70 class, which the strength checks of welds take for granted."""
BARE = 30.0
"""mm beside a weld that are left free of oil, scale and paint. Common practice, no source."""

End = Literal["left", "right"]
"""Which end of the body the leader comes to: the body lies on the other side of it."""


@dataclass(frozen=True)
class Extent:
    """How far something goes from a point, mm, all of them positive outwards."""

    left: float
    right: float
    below: float
    above: float


class Body(Protocol):
    """Something at the end of a leader, which comes to its left or right end."""

    @property
    def width(self) -> float:
        """mm."""

    @property
    def above(self) -> float:
        """mm above the leader's end."""

    @property
    def below(self) -> float:
        """mm below the leader's end."""

    def draw(self, ink: Ink, at: Point, end: End) -> None:
        """Draw it with the leader's end at a point on paper."""


@dataclass(frozen=True)
class TextBody:
    """Lines of text; the leader comes to the middle of the first."""

    rows: tuple[Row, ...]

    @property
    def width(self) -> float:
        return PAD + max(row.width for row in self.rows)

    @property
    def above(self) -> float:
        return max(0.0, self.rows[0].above - letter_height("text") / 2)

    @property
    def below(self) -> float:
        return self._base_lines()[-1] + self.rows[-1].below + letter_height("text") * 0.25

    def _base_lines(self) -> list[float]:
        """Each row's base line below the leader's end."""
        height = letter_height("text")
        found = [height / 2]
        for before, row in zip(self.rows, self.rows[1:], strict=False):
            found.append(found[-1] + max(PITCH * height, before.below + row.above + 0.6))
        return found

    def draw(self, ink: Ink, at: Point, end: End) -> None:
        x = at[0] + PAD if end == "left" else at[0] - self.width
        for row, base in zip(self.rows, self._base_lines(), strict=True):
            ink.row(row, (x, at[1] - base))


def note(*lines: str) -> TextBody:
    """Plain lines of text."""
    return TextBody(tuple(plain_row(line) for line in lines))


@dataclass(frozen=True)
class ToleranceFrame:
    """A geometrical tolerance: symbol, value in mm, datum (ISO 1101)."""

    symbol: str
    value: float
    datum: str
    units: Units

    @property
    def _cells(self) -> tuple[str, str]:
        return (cell(self.value, self.units), self.datum)

    @property
    def _widths(self) -> tuple[float, ...]:
        height = letter_height("text")
        return (2 * height, *(font.width(text, height) + height for text in self._cells))

    @property
    def width(self) -> float:
        return sum(self._widths)

    @property
    def above(self) -> float:
        return letter_height("text")

    @property
    def below(self) -> float:
        return letter_height("text")

    def draw(self, ink: Ink, at: Point, end: End) -> None:
        height = letter_height("text")
        x, low, high = at[0] if end == "left" else at[0] - self.width, at[1] - height, at[1] + height
        ink.polyline(
            "SYMBOL", [(x, low), (x + self.width, low), (x + self.width, high), (x, high)], closed=True
        )
        ink.symbol(self.symbol, (x + height, at[1]))
        x += self._widths[0]
        for text, width in zip(self._cells, self._widths[1:], strict=True):
            ink.line("SYMBOL", (x, low), (x, high))
            ink.text(text, (x + width / 2, at[1] - height / 2), height, align="centre")
            x += width


@dataclass(frozen=True)
class WeldSymbol:
    """A weld after ISO 2553, system A: reference line with symbol, tail with what else the welder must know.

    symbol: "fillet", "plug" or "square" butt
    size: leg of the fillet or width of the plug, mm; 0 for a butt weld, which without a depth goes right through
    all_round: runs right round; both_sides: the same weld on the other side; site: not made in the shop
    tail: short lines, such as the number of such welds
    """

    symbol: Literal["fillet", "plug", "square"]
    size: float
    units: Units
    all_round: bool = False
    both_sides: bool = False
    site: bool = False
    tail: tuple[str, ...] = ()

    LEAD = 4.0
    FORK = 2.5

    @property
    def _written(self) -> str:
        if not self.size:
            return ""
        # Before a fillet z stands for the leg, a would be the throat.
        return ("z " if self.symbol == "fillet" else "") + cell(self.size, self.units)

    @property
    def _line(self) -> float:
        return self.LEAD + font.width(self._written, letter_height("text")) + 6.5

    @property
    def width(self) -> float:
        height = letter_height("text")
        texts = [font.width(font.printable(line), height) for line in self.tail]
        return self._line + ((self.FORK + PAD + max(texts)) if texts else 0.0)

    @property
    def above(self) -> float:
        height = letter_height("text")
        site = height * 1.8 if self.site else 0.0
        return max(height * 1.3 + PAD, site, self._tail_height / 2)

    @property
    def below(self) -> float:
        height = letter_height("text")
        return max(height * 1.3 + PAD if self.both_sides else 1.4, self._tail_height / 2)

    @property
    def _tail_height(self) -> float:
        return len(self.tail) * PITCH * letter_height("text")

    def draw(self, ink: Ink, at: Point, end: End) -> None:
        height, y = letter_height("text"), at[1]
        sign = 1.0 if end == "left" else -1.0
        far = at[0] + sign * self._line
        ink.line("SYMBOL", at, (far, y))
        if self.all_round:
            ink.symbol("all_round", at)
        if self.site:
            ink.symbol("site", at)
        # Reads from the left whichever end the leader comes to.
        text_x = min(at[0], far) + (self.LEAD if end == "left" else 1.5)
        symbol_x = text_x + font.width(self._written, height) + 1.0
        if self.symbol != "fillet":
            symbol_x += 0.9 * height
        for flipped in (False, True) if self.both_sides else (False,):
            base = y - height - PAD if flipped else y + PAD
            if self._written:
                ink.text(self._written, (text_x, base), height)
            ink.symbol(self.symbol, (symbol_x, y), flipped=flipped)
        if not self.both_sides:
            ink.line("DASHED", (min(at[0], far) + 1.5, y - 1.2), (max(at[0], far) - 1.5, y - 1.2))
        if self.tail:
            self._draw_tail(ink, (far, y), sign)

    def _draw_tail(self, ink: Ink, at: Point, sign: float) -> None:
        height, (x, y) = letter_height("text"), at
        for up in (self.FORK, -self.FORK):
            ink.line("SYMBOL", at, (x + sign * self.FORK, y + up))
        widest = self.width - self._line
        start = x + self.FORK + PAD if sign > 0 else x - widest
        first = y + self._tail_height / 2 - height - (PITCH - 1) * height / 2
        for i, line in enumerate(self.tail):
            ink.text(font.printable(line), (start, first - i * PITCH * height), height)
