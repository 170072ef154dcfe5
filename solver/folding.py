"""A flat blank folded along its bend lines: where places of the blank come to lie, on the neutral layer.

Nothing here knows what part the blank is of. It is cut along its bend lines into pieces; from one of them, which stays
where it is, each bend turns what hangs on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.errors import GeometryError
from solver.families.base import FlatPattern
from solver.sheet_metal import Bend
from solver.vectors import Array

SAME = 1e-6
"""mm within which places of the blank are one."""
BESIDE = 0.5
"""How far beside a bend line's ends a place may still be rolled with the bend, mm."""


@dataclass(frozen=True, eq=False)
class _Rolled:
    """A bend as seen from one of its two pieces: ``start`` of its line, unit vectors along it and out of that piece,
    mm; ``radius`` of the neutral layer."""

    start: Array
    along: Array
    out: Array
    length: float
    angle: float
    radius: float

    @property
    def half(self) -> float:
        return self.angle * self.radius / 2

    def rolled(self, places: Array) -> Array:
        """Places (k, 3) of the sheet where the bend takes them; those before it stay, those in it lie round it."""
        out = (places - self.start) @ self.out
        turned = np.clip((out + self.half) / self.radius, 0.0, self.angle)
        return self._moved(
            places, turned, np.maximum(out - self.half, 0.0) + np.minimum(out + self.half, 0.0)
        )

    def turned(self, places: Array) -> Array:
        """Places (k, 3) of what lies beyond the bend and moves as one with it, wherever it reaches."""
        out = (places - self.start) @ self.out
        return self._moved(places, np.full(len(places), self.angle), out - self.half)

    def _moved(self, places: Array, turned: Array, beyond: Array) -> Array:
        offset, up = places - self.start, places[:, 2]
        sine, cosine = np.sin(turned), np.cos(turned)
        new_out = -self.half + (self.radius - up) * sine + beyond * cosine
        new_up = self.radius - (self.radius - up) * cosine + beyond * sine
        return np.asarray(
            self.start
            + (offset @ self.along)[:, None] * self.along
            + new_out[:, None] * self.out
            + new_up[:, None] * np.array([0.0, 0.0, 1.0])
        )

    def holds(self, places: Array) -> Array:
        """Which places on the piece's own side of the line lie in the bend."""
        offset = places - self.start
        along, out = offset @ self.along, offset @ self.out
        inside = (along > -BESIDE) & (along < self.length + BESIDE)
        return np.asarray(inside & (out > -self.half) & (out <= SAME))


class Folded:
    """A blank of one outline of straight edges, folded; the piece around ``fixed`` stays in the plane z = 0.

    Raises:
        GeometryError: a bend line does not lead from edge to edge of the blank.
    """

    def __init__(self, pattern: FlatPattern, table: tuple[Bend, ...], thickness: float, fixed: Array) -> None:
        self.pieces = _pieces(pattern)
        around = [i for i, piece in enumerate(self.pieces) if _inside(piece, fixed)]
        if len(around) != 1:
            raise GeometryError(f"the place {fixed.tolist()} of a blank lies in {len(around)} of its pieces")
        self.way: dict[int, list[_Rolled]] = {around[0]: []}
        self.bends: dict[int, list[_Rolled]] = {i: [] for i in range(len(self.pieces))}
        self._hang(pattern, table, thickness, around[0])

    def _hang(self, pattern: FlatPattern, table: tuple[Bend, ...], thickness: float, fixed: int) -> None:
        pairs = []
        for (start, end), bend in zip(pattern.bends, table, strict=True):
            beside = [i for i, piece in enumerate(self.pieces) if _has_edge(piece, start, end)]
            if len(beside) != 2:
                raise GeometryError(f"bend {bend.number} of a blank lies between {len(beside)} pieces, not 2")
            radius = bend.radius + bend.k_factor * thickness
            for one, other in (beside, beside[::-1]):
                line = np.array(end) - np.array(start)
                along = line / np.hypot(*line)
                out = np.array([along[1], -along[0]])
                if (_middle(self.pieces[other]) - np.array(start)) @ out < 0:
                    out = -out
                size = float(np.hypot(*line))
                rolled = _Rolled(_flat(start), _flat(along), _flat(out), size, bend.angle, radius)
                self.bends[one].append(rolled)
                pairs.append((one, other, rolled))
        waiting = [fixed]
        while waiting:
            here = waiting.pop()
            for one, other, rolled in pairs:
                if one == here and other not in self.way:
                    self.way[other] = [rolled, *self.way[here]]
                    waiting.append(other)

    def place(self, piece: int, places: Array) -> Array:
        """Where places (k, 2) of a piece, or hardly beside it, come to lie on the neutral layer: (k, 3)."""
        found = np.column_stack([places, np.zeros(len(places))])
        for rolled in self.bends[piece]:
            if self.way[piece][:1] and _is_back(rolled, self.way[piece][0]):
                continue
            held = rolled.holds(found)
            found[held] = rolled.rolled(found[held])
        for number, rolled in enumerate(self.way[piece]):
            # Only the bend that the piece hangs on has a part of it round itself.
            found = rolled.turned(found) if number else rolled.rolled(found)
        return found


def _is_back(rolled: _Rolled, way: _Rolled) -> bool:
    """Whether a bend is the one that the piece hangs on, seen from the piece."""
    return bool(np.abs(rolled.start - way.start).max() < SAME and np.abs(rolled.out + way.out).max() < SAME)


def _flat(place: Array | tuple[float, float]) -> Array:
    return np.array([place[0], place[1], 0.0])


def _middle(piece: Array) -> Array:
    """Centroid of a polygon (k, 2)."""
    after = np.roll(piece, -1, axis=0)
    cross = piece[:, 0] * after[:, 1] - after[:, 0] * piece[:, 1]
    return np.asarray(((piece + after) * cross[:, None]).sum(axis=0) / (3 * cross.sum()))


def _pieces(pattern: FlatPattern) -> list[Array]:
    """The blank cut along its bend lines, each piece counter-clockwise."""
    (outline,) = pattern.outer
    pieces = [np.array([(x, y) for x, y, _ in outline])]
    for start, end in pattern.bends:
        for i, piece in enumerate(pieces):
            cut = _cut(piece, np.array(start), np.array(end))
            if cut:
                pieces[i : i + 1] = cut
                break
        else:
            raise GeometryError(
                f"the bend line from {start} to {end} does not lead from edge to edge of a blank"
            )
    return pieces


def _cut(piece: Array, start: Array, end: Array) -> list[Array]:
    """A piece's two parts, nothing when the line's ends don't both lie on its edge."""
    numbers = []
    for place in (start, end):
        on = _on_edge(piece, place)
        if on is None:
            return []
        piece = piece if on[1] else np.insert(piece, on[0], place, axis=0)
        numbers.append(place)
    a, b = (int(np.hypot(*(piece - place).T).argmin()) for place in numbers)
    a, b = min(a, b), max(a, b)
    return [piece[a : b + 1], np.concatenate([piece[b:], piece[: a + 1]])]


def _on_edge(piece: Array, place: Array) -> tuple[int, bool] | None:
    """Number that a place on the edge would have as a corner, and whether it is one already."""
    away = np.hypot(*(piece - place).T)
    if away.min() < SAME:
        return int(away.argmin()), True
    along = np.roll(piece, -1, axis=0) - piece
    size = np.hypot(*along.T)
    unit = along / size[:, None]
    share = np.sum((place - piece) * unit, axis=1)
    off = np.abs((place - piece)[:, 0] * unit[:, 1] - (place - piece)[:, 1] * unit[:, 0])
    on = np.flatnonzero((off < SAME) & (share > 0) & (share < size))
    return (int(on[0]) + 1, False) if len(on) else None


def _has_edge(piece: Array, start: tuple[float, float], end: tuple[float, float]) -> bool:
    ends = np.roll(piece, -1, axis=0)
    for a, b in ((start, end), (end, start)):
        near = np.hypot(*(piece - np.array(a)).T) + np.hypot(*(ends - np.array(b)).T)
        if near.min() < 2 * SAME:
            return True
    return False


def _inside(piece: Array, place: Array) -> bool:
    """By the edges that a ray in +x crosses."""
    ends = np.roll(piece, -1, axis=0)
    (x, y), rises = place, (piece[:, 1] > place[1]) != (ends[:, 1] > place[1])
    across = np.where(ends[:, 1] == piece[:, 1], 1.0, ends[:, 1] - piece[:, 1])
    at = piece[:, 0] + (y - piece[:, 1]) / across * (ends[:, 0] - piece[:, 0])
    return bool((rises & (at > x)).sum() % 2)
