"""Reads a sheet back from its PDF, by a library that did not write it: texts, strokes and fills on paper, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pdfplumber
from shapely import LineString, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

MM = 25.4 / 72
CAPITAL = 0.729
"""Of the font's size: height of a capital letter of DejaVu Sans."""
DESCENDING = frozenset("gjpqy,;()[]Q")
DEPTH = 0.18
"""Of the font's size: how far such a character goes below the base line."""
TOUCH = 0.12
"""mm by which boxes of letters are shrunk: a letter does not fill its box, and half of a thin line's width is 0.1."""


@dataclass(frozen=True)
class Text:
    """A piece of text as it was written in one go: its box, and the height of its capitals; mm."""

    text: str
    box: Polygon
    height: float


@dataclass(frozen=True)
class Drawn:
    """One page."""

    width: float
    height: float
    texts: tuple[Text, ...]
    strokes: tuple[LineString, ...]
    fills: tuple[Polygon, ...]

    @cached_property
    def words(self) -> str:
        """All text, a line each."""
        return "\n".join(text.text for text in self.texts)

    @cached_property
    def frame(self) -> tuple[float, float, float, float]:
        """The largest closed rectangle: left, bottom, right, top."""
        boxes = [s.bounds for s in self.strokes if s.is_closed and len(s.coords) == 5]
        return max(boxes, key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))

    def overlaps(self) -> list[str]:
        """Texts that cover one another, and texts that a line or an arrowhead runs through."""
        found = []
        boxes = [text.box.buffer(-TOUCH, join_style="mitre") for text in self.texts]
        tree = STRtree(boxes)
        for i, j in zip(*tree.query(boxes, predicate="intersects"), strict=True):
            if i < j and boxes[i].intersection(boxes[j]).area > 0.02:
                found.append(f"{self.texts[i].text!r} lies on {self.texts[j].text!r}")
        others: list[BaseGeometry] = [*self.strokes, *self.fills]
        for i, j in zip(*tree.query(others, predicate="intersects"), strict=True):
            cut = others[i].intersection(boxes[j])
            if cut.length > 0.05:
                x, y = cut.centroid.coords[0]
                found.append(f"a line runs through {self.texts[j].text!r} at {x:.1f}, {y:.1f}")
        return sorted(set(found))

    def outside(self) -> list[str]:
        """What is not inside of the frame."""
        left, bottom, right, top = self.frame
        near = 0.05
        found = []
        for what, shape in (
            *((repr(t.text), t.box) for t in self.texts),
            *((f"a line at {s.bounds}", s) for s in self.strokes),
            *((f"a fill at {f.bounds}", f) for f in self.fills),
        ):
            x0, y0, x1, y1 = shape.bounds
            if x0 < left - near or y0 < bottom - near or x1 > right + near or y1 > top + near:
                found.append(f"{what} goes beyond the frame")
        return found


def read(path: Path) -> Drawn:
    """The one page of a PDF file."""
    with pdfplumber.open(path) as pdf:
        (page,) = pdf.pages
        strokes: list[LineString] = []
        fills: list[Polygon] = []
        for item in (*page.lines, *page.curves, *page.rects):
            points = _points(item, float(page.height))
            if item["fill"] and not item["stroke"]:
                if len(points) > 2:
                    fills.append(Polygon(points))
            elif len(points) > 1:
                strokes.append(LineString(points))
        return Drawn(
            float(page.width) * MM,
            float(page.height) * MM,
            tuple(_texts(page.chars)),
            tuple(strokes),
            tuple(fills),
        )


def _points(item: dict[str, Any], height: float) -> list[tuple[float, float]]:
    """Corners of a path, curves in chords; y up from the bottom."""
    found: list[tuple[float, float]] = []
    for command, *points in item["path"]:
        at = [(x * MM, (height - y) * MM) for x, y in points]
        if command == "c":
            found += _bezier(found[-1], *at)
        elif command == "h":
            found.append(found[0])
        else:
            found += at
    return found


def _bezier(*points: tuple[float, float]) -> list[tuple[float, float]]:
    a, b, c, d = points
    chords = []
    for i in range(1, 13):
        t = i / 12
        u = 1 - t
        weights = (u**3, 3 * u**2 * t, 3 * u * t**2, t**3)
        chords.append(
            tuple(sum(w * p[k] for w, p in zip(weights, (a, b, c, d), strict=True)) for k in (0, 1))
        )
    return chords


def _texts(chars: list[dict[str, Any]]) -> Iterator[Text]:
    """Characters put together that follow one another on a line."""
    group: list[dict[str, Any]] = []
    for char in chars:
        if group and not _follows(group[-1], char):
            yield _text(group)
            group = []
        group.append(char)
    if group:
        yield _text(group)


def _placed(char: dict[str, Any]) -> tuple[float, float, float, float, float, float]:
    """Start on the base line and direction of reading; size of the font and width; mm."""
    a, b, _, _, e, f = char["matrix"]
    turn = math.hypot(a, b)
    # The reader gives the box alone: along the base line it is as long as the character is wide.
    along, across = char["x1"] - char["x0"], char["bottom"] - char["top"]
    if abs(b) > abs(a):
        along, across = across, along
    return e * MM, f * MM, a / turn, b / turn, across * MM, along * MM


def _follows(before: dict[str, Any], char: dict[str, Any]) -> bool:
    x, y, c, s, size, wide = _placed(before)
    x2, y2, c2, s2, size2, _ = _placed(char)
    if abs(size - size2) > 0.01 or abs(c - c2) > 1e-3 or abs(s - s2) > 1e-3:
        return False
    return math.dist((x + c * wide, y + s * wide), (x2, y2)) < 0.05


def _text(group: list[dict[str, Any]]) -> Text:
    text = "".join(char["text"] for char in group)
    x, y, c, s, size, _ = _placed(group[0])
    last = _placed(group[-1])
    wide = math.dist((x, y), last[:2]) + last[5]
    low = -DEPTH * size if DESCENDING & set(text) else 0.0
    high = CAPITAL * size
    corners = [(0.0, low), (wide, low), (wide, high), (0.0, high)]
    return Text(text, Polygon([(x + c * u - s * v, y + s * u + c * v) for u, v in corners]), high)
