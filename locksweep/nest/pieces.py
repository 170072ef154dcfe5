"""What has to be cut: the outlines of all flat parts of the last build, each as often as it is wanted."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from locksweep.revisions import Built, identity
from solver.cutting.inside import owner
from solver.errors import JobFileError
from solver.families.base import FlatPattern, Line, Outline
from solver.part import Part

RIGHT_ANGLE = math.pi / 2


class Piece(NamedTuple):
    """One outline with the holes, bend lines and marks within it; a part may be cut out in several.

    name: of the part, with a number where it has several pieces; title: the same with its revision; label: in short
    bends: each with its angle in rad; remark: what every file of the part says
    """

    name: str
    title: str
    label: str
    outer: Outline
    inner: tuple[Outline, ...]
    bends: tuple[tuple[Line, float], ...]
    marks: tuple[Line, ...]
    remark: str


class Lot(NamedTuple):
    """Pieces from one kind of plate with their quantities; thickness in mm."""

    material: str
    thickness: float
    pieces: tuple[tuple[Piece, int], ...]


def lots_of(parts: Iterable[Part], built: Built, remark: str) -> list[Lot]:
    """All that a cutting shop cuts, by material and thickness, in the order of the parts.

    remark: said of parts that are made although a check falls short

    Raises:
        JobFileError: a part comes out other than it was built, which another version of this tool does.
    """
    found: dict[tuple[str, float], list[tuple[Piece, int]]] = {}
    for part in parts:
        pattern = part.dimensions.flat_pattern()
        if pattern is None or part.dimensions.raw_shape().kind != "plate" or part.name not in built.parts:
            continue
        letter, known = built.parts[part.name]
        if known != identity(part):
            raise JobFileError(
                f"{built.folder}: {part.name} is not what this version makes of the job; build it again, then nest"
            )
        lot = found.setdefault((part.material, pattern.thickness), [])
        lot += [
            (piece, part.quantity)
            for piece in pieces_of(pattern, part.name, letter, remark if part.overridden else "")
        ]
    return [Lot(material, thickness, tuple(lot)) for (material, thickness), lot in found.items()]


def machined_of(parts: Iterable[Part], built: Built) -> tuple[str, ...]:
    """Built parts that have an outline in a file of their own but come from bar, with their quantities."""
    return tuple(
        f"{part.quantity} × {part.name}"
        for part in parts
        if part.name in built.parts
        and part.dimensions.flat_pattern() is not None
        and part.dimensions.raw_shape().kind not in ("plate", "paper")
    )


def pieces_of(pattern: FlatPattern, name: str, letter: str, remark: str = "") -> list[Piece]:
    """The separate pieces of a flat pattern."""
    angles = pattern.angles or (RIGHT_ANGLE,) * len(pattern.bends)
    several = len(pattern.outer) > 1
    found = []
    for number, outer in enumerate(pattern.outer, 1):
        inner = tuple(
            hole for hole in pattern.inner if owner(pattern.outer, (v[:2] for v in hole)) == number - 1
        )
        bends = tuple(
            (bend, angle)
            for bend, angle in zip(pattern.bends, angles, strict=True)
            if owner(pattern.outer, [_middle(bend)]) == number - 1
        )
        marks = tuple(mark for mark in pattern.marks if owner(pattern.outer, [_middle(mark)]) == number - 1)
        which = f", piece {number} of {len(pattern.outer)}" if several else ""
        found.append(
            Piece(
                f"{name}{which}",
                f"{name}, revision {letter}{which}",
                f"{name}-{letter}/{number}" if several else f"{name}-{letter}",
                outer,
                inner,
                bends,
                marks,
                remark,
            )
        )
    return found


def _middle(line: Line) -> tuple[float, float]:
    (x0, y0), (x1, y1) = line
    return ((x0 + x1) / 2, (y0 + y1) / 2)
