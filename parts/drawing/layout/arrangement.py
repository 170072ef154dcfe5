"""Where views and tables go on a sheet, and at which scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from parts.drawing.layout.bodies import Extent
from parts.drawing.paper.ink import Ink
from parts.drawing.standards import Scale, scales
from parts.drawing.views.curves import Box, Point

Method = Literal["first", "third"]
"""First angle: what is seen from above is drawn below. Third angle: what is seen from above is drawn above."""

GAP = 6.0
"""mm between two views or tables at least."""
WIDEST_GAP = 22.0
"""mm that a gap is widened to at the most where a sheet has room to spare."""


class Block(Protocol):
    """Something with a place on a sheet."""

    def extent(self, scale: float) -> Extent:
        """How far it goes from its origin at a scale of the sheet, mm on paper."""

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        """Draw it with its origin at a point on paper."""


@dataclass(frozen=True)
class Orthographic:
    """Views that line up with a front view, each where the method of projection puts it."""

    method: Method
    front: Block
    from_above: Block | None = None
    from_left: Block | None = None

    def _cells(self) -> dict[tuple[int, int], Block]:
        """By row from the top and column from the left."""
        first = self.method == "first"
        places = {
            (0, 0): self.front,
            (1 if first else -1, 0): self.from_above,
            (0, 1 if first else -1): self.from_left,
        }
        return {place: block for place, block in places.items() if block is not None}

    def _spans(self, scale: float) -> tuple[dict[int, tuple[float, float]], dict[int, tuple[float, float]]]:
        """For each column how far it goes to the left and right, for each row how far above and below."""
        columns: dict[int, tuple[float, float]] = {}
        rows: dict[int, tuple[float, float]] = {}
        for (row, column), block in self._cells().items():
            e = block.extent(scale)
            left, right = columns.get(column, (-1e9, -1e9))
            columns[column] = (max(left, e.left), max(right, e.right))
            above, below = rows.get(row, (-1e9, -1e9))
            rows[row] = (max(above, e.above), max(below, e.below))
        return columns, rows

    def _origins(self, scale: float) -> tuple[dict[int, float], dict[int, float]]:
        """Of each column and row, from that of the front view."""
        columns, rows = self._spans(scale)
        xs, ys = {0: 0.0}, {0: 0.0}
        if 1 in columns:
            xs[1] = columns[0][1] + GAP + columns[1][0]
        if -1 in columns:
            xs[-1] = -(columns[0][0] + GAP + columns[-1][1])
        if 1 in rows:
            ys[1] = -(rows[0][1] + GAP + rows[1][0])
        if -1 in rows:
            ys[-1] = rows[0][0] + GAP + rows[-1][1]
        return xs, ys

    def extent(self, scale: float) -> Extent:
        columns, rows = self._spans(scale)
        xs, ys = self._origins(scale)
        return Extent(
            left=max(columns[c][0] - xs[c] for c in columns),
            right=max(columns[c][1] + xs[c] for c in columns),
            below=max(rows[r][1] - ys[r] for r in rows),
            above=max(rows[r][0] + ys[r] for r in rows),
        )

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        xs, ys = self._origins(scale)
        for (row, column), block in self._cells().items():
            block.draw(ink, (at[0] + xs[column], at[1] + ys[row]), scale)


@dataclass(frozen=True)
class Arranged:
    """Blocks with the places of their origins, mm on paper."""

    scale: Scale
    placed: tuple[tuple[Block, Point], ...]

    def draw(self, ink: Ink) -> None:
        """Draw all of them."""
        for block, at in self.placed:
            block.draw(ink, at, self.scale.factor)


def arrange(blocks: Sequence[Block], rooms: Sequence[Box], largest: float) -> Arranged | None:
    """Put blocks on shelves at the largest standard scale at which they have room; None if at none.

    rooms: filled one after the other, each from its top
    largest: mm on paper for a mm of the part; what is already plain gains nothing by being larger
    """
    for scale in scales():
        if scale.factor > largest:
            continue
        # In the order in which they are read; where that wastes room, the tall ones first.
        for order in (blocks, sorted(blocks, key=lambda block: -_height(block, scale.factor))):
            shelved = _shelved(order, rooms, scale.factor)
            if shelved is not None:
                placed = (
                    place
                    for shelves, room in zip(shelved, rooms, strict=False)
                    for place in _placed(shelves, room, scale.factor)
                )
                return Arranged(scale, tuple(placed))
    return None


Shelf = list[Block]


def _shelved(blocks: Sequence[Block], rooms: Sequence[Box], scale: float) -> list[list[Shelf]] | None:
    """Shelves for each room from the first one on, None if there is not enough room."""
    left = list(blocks)
    found: list[list[Shelf]] = []
    for room in rooms:
        found.append([])
        height = room.height
        while left:
            shelf = _shelf(left, room.width, scale)
            height -= _tall(shelf, scale)
            if not shelf or height < 0:
                break
            found[-1].append(shelf)
            left = [block for block in left if all(block is not other for other in shelf)]
            height -= GAP
        if not left:
            return found
    return None


def _shelf(blocks: list[Block], width: float, scale: float) -> Shelf:
    """The first block, and beside it later ones that are no taller; nothing if the first is too wide."""
    used, height = _width(blocks[0], scale), _height(blocks[0], scale)
    if used > width:
        return []
    shelf = [blocks[0]]
    for block in blocks[1:]:
        more = GAP + _width(block, scale)
        if used + more <= width and _height(block, scale) <= height * 1.15:
            shelf.append(block)
            used += more
    return shelf


def _placed(shelves: list[Shelf], room: Box, scale: float) -> list[tuple[Block, Point]]:
    heights = [_tall(shelf, scale) for shelf in shelves]
    spare = room.height - sum(heights) - GAP * (len(shelves) - 1)
    # What is left over is spread, but not so far that things that belong together come apart.
    gap = min(WIDEST_GAP, GAP + spare / (len(shelves) + 1))
    over = room.height - sum(heights) - gap * (len(shelves) - 1)
    top = room.top - over / 2
    placed: list[tuple[Block, Point]] = []
    for shelf, height in zip(shelves, heights, strict=True):
        widths = [_width(block, scale) for block in shelf]
        between = min(
            WIDEST_GAP, GAP + (room.width - sum(widths) - GAP * (len(shelf) - 1)) / (len(shelf) + 1)
        )
        x = room.left + (room.width - sum(widths) - between * (len(shelf) - 1)) / 2
        for block, width in zip(shelf, widths, strict=True):
            e = block.extent(scale)
            middle = top - (height - e.above - e.below) / 2
            placed.append((block, (x + e.left, middle - e.above)))
            x += width + between
        top -= height + gap
    return placed


def _tall(shelf: Shelf, scale: float) -> float:
    return max((_height(block, scale) for block in shelf), default=0.0)


def _width(block: Block, scale: float) -> float:
    e = block.extent(scale)
    return e.left + e.right


def _height(block: Block, scale: float) -> float:
    e = block.extent(scale)
    return e.above + e.below
