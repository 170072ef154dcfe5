"""Pieces laid out on stock sheets: by the boxes round them, each turned so that its own is small."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from typing import Any, NamedTuple

from locksweep.nest.pieces import Lot, Piece
from solver.cutting.turning import Laid, moved, turned, turned_point, ways_to_lay
from solver.errors import GeometryError
from solver.families.base import FlatPattern, Line, Outline, outline_area, outline_box

MICROMETRES = 1000
"""In a mm: boxes are packed in whole ones, rounded up, so that nothing hangs on rounding."""
HAIR = 0.01
"""Of a micrometre, by which a box may be over a whole one through rounding."""
WITHIN = 1e-6
"""mm, of rounding, when the finished layout is looked over."""


class Stock(NamedTuple):
    """A sheet as it is bought, what stays free along its edges, and between two pieces; mm."""

    across: float
    deep: float
    margin: float
    gap: float


class Placed(NamedTuple):
    """A piece on its sheet: turned by ``angle`` in rad about the origin of its own drawing, then shifted, mm."""

    piece: Piece
    angle: float
    shift: tuple[float, float]

    @property
    def outer(self) -> Outline:
        """On the sheet."""
        return self._there(self.piece.outer)

    @property
    def inner(self) -> tuple[Outline, ...]:
        """On the sheet."""
        return tuple(self._there(hole) for hole in self.piece.inner)

    @property
    def bends(self) -> Iterator[tuple[Line, float]]:
        """On the sheet, each with its angle."""
        for (start, end), angle in self.piece.bends:
            yield (self._point(start), self._point(end)), angle

    @property
    def marks(self) -> Iterator[Line]:
        """On the sheet."""
        for start, end in self.piece.marks:
            yield self._point(start), self._point(end)

    def _there(self, outline: Outline) -> Outline:
        return moved(turned(outline, self.angle), self.shift)

    def _point(self, point: tuple[float, float]) -> tuple[float, float]:
        x, y = turned_point(point, self.angle)
        return (x + self.shift[0], y + self.shift[1])


class Sheet(NamedTuple):
    """One stock sheet with what lies on it; its lower left corner is the origin."""

    stock: Stock
    material: str
    thickness: float
    placed: tuple[Placed, ...]

    def pattern(self) -> FlatPattern:
        """All of it as one flat pattern."""
        bends = [bend for placed in self.placed for bend in placed.bends]
        return FlatPattern(
            self.thickness,
            tuple(placed.outer for placed in self.placed),
            tuple(hole for placed in self.placed for hole in placed.inner),
            tuple(bend for bend, _ in bends),
            tuple(angle for _, angle in bends),
            tuple(mark for placed in self.placed for mark in placed.marks),
        )

    @property
    def used(self) -> float:
        """Share of the sheet's area that becomes parts."""
        area = sum(
            outline_area(placed.piece.outer) - sum(map(outline_area, placed.piece.inner))
            for placed in self.placed
        )
        return area / (self.stock.across * self.stock.deep)

    @property
    def corner(self) -> tuple[float, float]:
        """Sides of the smallest piece of plate, from the sheet's lower left corner, that all of it fits on; mm."""
        return _reach(self)


class TooLargeError(GeometryError):
    """A piece has no room on a whole sheet, or a sheet has none at all."""


def nest(lot: Lot, stock: Stock) -> list[Sheet]:
    """Lay out a lot on as few sheets as are found: the best of several ways to pack rectangles.

    Pieces are turned, never over. Same input, same layout.

    Raises:
        TooLargeError: a piece is larger than the sheet less its margins.
    """
    room = (stock.across - 2 * stock.margin, stock.deep - 2 * stock.margin)
    wanted = [(piece, _way(piece, room, stock)) for piece, count in lot.pieces for _ in range(count)]
    boxes = [_whole(way.across + stock.gap, way.deep + stock.gap) for _, way in wanted]
    bin_size = tuple(math.floor((side + stock.gap) * MICROMETRES + HAIR) for side in room)
    best: tuple[tuple[float, ...], list[Sheet]] | None = None
    for layout in _layouts(boxes, (bin_size[0], bin_size[1])):
        sheets = [
            Sheet(
                stock,
                lot.material,
                lot.thickness,
                tuple(_placed(*wanted[n], stock, x, y, is_turned) for n, x, y, is_turned in bin_),
            )
            for bin_ in layout
        ]
        last = _reach(sheets[-1])
        # As few sheets as can be, and of the last one as small a piece as can be.
        rank = (float(len(sheets)), round(last[0] * last[1], 3))
        if best is None or rank < best[0]:
            best = (rank, sheets)
    assert best is not None
    for sheet in best[1]:
        _look_over(sheet)
    return best[1]


def _way(piece: Piece, room: tuple[float, float], stock: Stock) -> Laid:
    """How a piece is laid: the smallest box that has room one way or the other."""
    ways = ways_to_lay(piece.outer)
    for way in ways:
        if any(
            across <= room[0] + WITHIN and deep <= room[1] + WITHIN
            for across, deep in ((way.across, way.deep), (way.deep, way.across))
        ):
            return way
    size = f"{ways[0].across:.1f} mm × {ways[0].deep:.1f} mm"
    raise TooLargeError(
        f"{piece.name} is {size}, larger than what a sheet of {stock.across:.1f} mm × {stock.deep:.1f} mm has within "
        f"margins of {stock.margin:.1f} mm ({room[0]:.1f} mm × {room[1]:.1f} mm); name a larger --sheet"
    )


def _layouts(
    boxes: Sequence[tuple[int, int]], sheet: tuple[int, int]
) -> Iterator[list[list[tuple[int, int, int, bool]]]]:
    """For each way to pack: the sheets, and on each the number of the box, x, y, and whether it was turned."""
    import rectpack

    for algorithm in (rectpack.MaxRectsBl, rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineBlWm):
        for order in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE):
            packer: Any = rectpack.newPacker(
                bin_algo=rectpack.PackingBin.BFF, pack_algo=algorithm, sort_algo=order, rotation=True
            )
            for number, box in enumerate(boxes):
                packer.add_rect(*box, rid=number)
            # One sheet a box is always enough.
            packer.add_bin(*sheet, count=len(boxes))
            packer.pack()
            bins = [[(r.rid, r.x, r.y, (r.width, r.height) != boxes[r.rid]) for r in b] for b in packer]
            if sum(map(len, bins)) == len(boxes):
                yield [sorted(bin_) for bin_ in bins if bin_]


def _whole(*sides: float) -> tuple[int, int]:
    across, deep = (math.ceil(side * MICROMETRES - HAIR) for side in sides)
    return across, deep


def _placed(piece: Piece, way: Laid, stock: Stock, x: int, y: int, is_turned: bool) -> Placed:
    """With its box's lower left corner where the packer says."""
    angle = way.angle + (math.pi / 2 if is_turned else 0.0)
    (left, low), _ = outline_box(turned(piece.outer, angle))
    return Placed(piece, angle, (stock.margin + x / MICROMETRES - left, stock.margin + y / MICROMETRES - low))


def _reach(sheet: Sheet) -> tuple[float, float]:
    highs = [outline_box(placed.outer)[1] for placed in sheet.placed]
    return max(x for x, _ in highs) + sheet.stock.margin, max(y for _, y in highs) + sheet.stock.margin


def _look_over(sheet: Sheet) -> None:
    """Refuse a layout that leaves less than the margin or the gap: the packer is not ours.

    Raises:
        GeometryError: names the pieces.
    """
    stock = sheet.stock
    boxes = [(placed.piece.name, *outline_box(placed.outer)) for placed in sheet.placed]
    for name, low, high in boxes:
        least = min(*low, stock.across - high[0], stock.deep - high[1])
        if least < stock.margin - WITHIN * MICROMETRES:
            raise GeometryError(f"{name} would lie {least:.3f} mm from the sheet's edge; nothing was written")
    for (name, low, high), (other, other_low, other_high) in combinations(boxes, 2):
        apart = max(max(other_low[i] - high[i], low[i] - other_high[i]) for i in (0, 1))
        if apart < stock.gap - WITHIN * MICROMETRES:
            raise GeometryError(
                f"{name} and {other} would lie {apart:.3f} mm from one another; nothing was written"
            )


def counted(placed: Iterable[Placed]) -> dict[str, int]:
    """How many of each piece, by its title, in the order in which they lie."""
    found: dict[str, int] = {}
    for item in placed:
        found[item.piece.title] = found.get(item.piece.title, 0) + 1
    return found
