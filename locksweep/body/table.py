"""Point clouds as text: XYZ, PTS and CSV, with or without a first line of names; further columns are left aside."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np

from solver.vectors import Array

BLOCK = 8_000_000
"""Bytes read in one go."""
LONGEST_LINE = 10_000
WORST_SHARE = 0.05
"""Of lines that can't be read, beyond which a text is no table of points."""
NUMBER = re.compile(r"[-+]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?")
COMMENTS = ("#", "//", "%")


class BadTableError(ValueError):
    """What is wrong with a text of points, as half a sentence."""


@dataclass(frozen=True)
class _Layout:
    """How a line is to be read. skipped: lines before the first point"""

    delimiter: str | None
    decimal_comma: bool
    columns: tuple[int, int, int]
    skipped: int

    def numbers(self, text: str) -> Array:
        """Points of some lines, all of which must be good."""
        if self.decimal_comma:
            text = text.replace(",", ".")
        if not text.strip():
            return np.empty((0, 3))
        found = np.loadtxt(
            io.StringIO(text),
            delimiter=self.delimiter,
            usecols=self.columns,
            comments=list(COMMENTS),
            ndmin=2,
        )
        return np.asarray(found, float).reshape(-1, 3)


def read_table(file: BinaryIO, size: int, most: int) -> tuple[Array, int]:
    """Points (n, 3) of a text, and how many lines could not be read.

    Raises:
        BadTableError: it is no table of points, or holds more than ``most``.
    """
    layout = _layout_of(file.read(min(size, 65_536)).decode("utf-8", "replace"))
    file.seek(0)
    for _ in range(layout.skipped):
        file.readline()
    blocks, bad, count = [], 0, 0
    while text := file.read(BLOCK):
        text += file.readline(LONGEST_LINE)
        points, failed = _block(text.decode("utf-8", "replace"), layout)
        blocks.append(points)
        bad += failed
        count += len(points)
        if count > most:
            raise BadTableError(f"it holds more than {most // 10**6} million points; export it coarser")
        if bad > 1000 and bad > count:
            break
    if bad > max(WORST_SHARE * count, 1):
        raise BadTableError(f"{bad:,} of its {bad + count:,} lines are no points of three numbers")
    return np.concatenate(blocks) if blocks else np.empty((0, 3)), bad


def _block(text: str, layout: _Layout) -> tuple[Array, int]:
    """Points of some whole lines; where one of them is bad, line by line."""
    try:
        return layout.numbers(text), 0
    except ValueError:
        pass
    good, bad = [], 0
    for line in text.splitlines():
        if not line.strip() or line.lstrip().startswith(COMMENTS):
            continue
        try:
            good.append(_line(line, layout))
        except (ValueError, IndexError):
            bad += 1
    return np.array(good, float).reshape(-1, 3), bad


def _line(line: str, layout: _Layout) -> list[float]:
    if layout.decimal_comma:
        line = line.replace(",", ".")
    cells = line.split(layout.delimiter)
    return [float(cells[column]) for column in layout.columns]


def _layout_of(text: str) -> _Layout:
    """Delimiter, decimal mark and columns, from the first line with three numbers and the one before it."""
    lines = text.splitlines()
    before = ""
    for number, line in enumerate(lines[:200]):
        if not line.strip() or line.lstrip().startswith(COMMENTS):
            continue
        for delimiter, comma in (
            (";", True),
            (";", False),
            (",", False),
            ("\t", True),
            (None, False),
            (None, True),
        ):
            cells = [cell.strip() for cell in line.split(delimiter)]
            good = [bool(NUMBER.fullmatch(cell)) and (comma or "," not in cell) for cell in cells]
            if len(cells) >= 3 and all(good[:3]):
                comma = comma and any("," in cell for cell in cells)
                return _Layout(delimiter, comma, _columns(before, delimiter), number)
        before = line
    raise BadTableError("no line of it has three numbers")


def _columns(names: str, delimiter: str | None) -> tuple[int, int, int]:
    """Those called x, y and z in the line before the first point, else the first three."""
    cells = [re.split(r"[\s_\[(]", cell.strip(" \"'#/").lower())[0] for cell in names.split(delimiter)]
    if all(cells.count(axis) == 1 for axis in "xyz"):
        return (cells.index("x"), cells.index("y"), cells.index("z"))
    return (0, 1, 2)
