"""Reads the tables in `data/`: scales, sheets, tolerances, lines, symbols, lettering, each with its source."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """The rows of ``data/<table>.csv`` as text, comment lines left out."""
    text = resources.files("parts.drawing").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#")))


@dataclass(frozen=True)
class Scale:
    """Paper over part."""

    paper: int
    part: int

    @property
    def factor(self) -> float:
        """mm on paper for a mm of the part."""
        return self.paper / self.part

    @property
    def name(self) -> str:
        """As in the title block."""
        return f"{self.paper} : {self.part}"


@dataclass(frozen=True)
class SheetSize:
    """A sheet and its frame, mm."""

    name: str
    width: float
    height: float
    left: float
    right: float
    bottom: float
    top: float


@dataclass(frozen=True)
class LineStyle:
    """A layer's line: width in mm, dash and gap lengths in mm, the layer's colour number."""

    layer: str
    width: float
    pattern: tuple[float, ...]
    colour: int


@cache
def scales() -> tuple[Scale, ...]:
    """Largest first."""
    return tuple(Scale(int(row["paper"]), int(row["part"])) for row in rows("scales"))


@cache
def sheets() -> tuple[SheetSize, ...]:
    """Smallest first."""
    names = ("width", "height", "left", "right", "bottom", "top")
    return tuple(SheetSize(row["sheet"], *(float(row[name]) for name in names)) for row in rows("sheets"))


@cache
def line_styles() -> dict[str, LineStyle]:
    """By layer."""
    return {
        row["layer"]: LineStyle(
            row["layer"],
            float(row["width"]),
            tuple(map(float, row["pattern"].split())),
            int(row["colour"]),
        )
        for row in rows("lines")
    }


@cache
def letter_height(use: str) -> float:
    """Height of capitals in mm for "part", "text" or "small"."""
    return next(float(row["height"]) for row in rows("lettering") if row["use"] == use)


@cache
def general_tolerances(grade: str) -> tuple[tuple[float, float, float], ...]:
    """Over, up to and ± of each range of nominal sizes, mm, by ISO 2768-1."""
    return tuple(
        (float(row["over"]), float(row["up_to"]), float(row[grade]))
        for row in rows("general_tolerances")
        if row[grade]
    )


@cache
def general_angles(grade: str) -> tuple[tuple[float, float, float], ...]:
    """Over and up to of the shorter leg, mm, and ± minutes of arc, by ISO 2768-1."""
    return tuple(
        (float(row["over"]), float(row["up_to"]), float(row[grade])) for row in rows("general_angles")
    )


@cache
def symbol(name: str) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """Elements of a graphical symbol and their numbers, in units of the height of the text beside it."""
    found = [
        (r["element"], tuple(map(float, r["numbers"].split())))
        for r in rows("symbols")
        if r["symbol"] == name
    ]
    if not found:
        raise KeyError(name)
    return tuple(found)
