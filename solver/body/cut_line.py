"""Where the body has to be cut: closed lines on it where the clearance is what is wanted, and the same laid flat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from solver.body.clearance_map import SIDES, ClearanceMap
from solver.body.clusters import clusters
from solver.body.coarse import coarsened
from solver.body.contour import Loop, contour, rims
from solver.body.doubles import shells_of, without_second_shells
from solver.body.flatten import Layout, laid_flat
from solver.body.height_field import height_field
from solver.body.holes import bridged
from solver.body.refine import refined
from solver.body.smooth import smoothed
from solver.body.surface import Surface, areas
from solver.body.sweep import ride_height_centre
from solver.car import Side
from solver.errors import GeometryError
from solver.vectors import Array, length

if TYPE_CHECKING:
    from numpy.typing import NDArray

BORDER = 40.0
"""Surface round the cut that a template shows, mm."""
EDGE = 4.0
"""Longest edge of the mesh that the line is found on, mm."""
FINEST, DENSE = 3.0, 0.6
NOISY = 4.0
MOST_POINTS = 100_000
"""A mesh with edges under 0.6 of 3 mm is made so coarse for the line: each of its points is the mean of several of the
scan's. A mesh with edges under 4 mm is smoothed as well. So the line follows the sheet and not the scanner's noise."""
SHORTEST = 20.0
"""mm round; a shorter line is a scanner's noise about the level."""
MARK_STEP = 50.0
FEWEST_MARKS = 8
"""Points of a line that are told with dimensions: about every so many mm, and at least so many."""
MARKED = 150.0
"""mm round, from which on a line beside the longest is marked as well."""
FARTHEST_REFERENCE = 2000.0
"""mm; a tape is not stretched farther from a point to a cut line."""


@dataclass(frozen=True, eq=False)
class Mark:
    """A numbered point of a cut line: in car axes and in the layout, mm, with its distances from both references."""

    number: int
    point: Array
    flat: Array
    distances: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Reference:
    """A point that can be found on the car; flat: its place in the layout where it lies on the piece, else None."""

    name: str
    point: Array
    flat: Array | None


@dataclass(frozen=True, eq=False)
class CutLine:
    """One piece of the body that has to be cut.

    name: of body, wheel and number; gap: the clearance on the line, mm
    loops: on the body, the longest first; flat: the same in the layout, (k, 2) each
    edges: where the piece itself ends, in the layout
    references: none, or the two from which the marks are dimensioned
    bridged: middles of scan holes that the line may run across, (h, 3); second_shells: that were left out
    """

    name: str
    body: str
    side: Side
    gap: float
    layout: Layout
    loops: tuple[Loop, ...]
    flat: tuple[Array, ...]
    edges: tuple[Array, ...]
    marks: tuple[Mark, ...]
    references: tuple[Reference, ...]
    bridged: Array
    second_shells: int

    @property
    def area(self) -> float:
        """Metal inside of the lines, mm², laid flat; a line inside of another leaves metal standing."""
        sizes = sorted((abs(_area(loop)) for loop in self.flat), reverse=True)
        return 2 * sizes[0] - sum(sizes) if len(sizes) > 1 and self._nested else sum(sizes)

    @property
    def _nested(self) -> bool:
        outer = self.flat[0]
        low, high = outer.min(axis=0), outer.max(axis=0)
        return all(((low <= loop) & (loop <= high)).all() for loop in self.flat[1:])

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the lines laid flat, mm."""
        points = np.vstack(self.flat)
        width, height = np.ptp(points, axis=0)
        return float(width), float(height)

    @property
    def edge_share(self) -> float:
        """Share of the longest line that follows the edge of what was measured."""
        return self.loops[0].edge_share


@dataclass(frozen=True)
class NoCutLine:
    """A piece that would have to be cut, but that no line can be told for, and why."""

    name: str
    body: str
    side: Side
    reason: str


def cut_lines(found: ClearanceMap, gap: float, references: Mapping[str, Array]) -> list[CutLine | NoCutLine]:
    """One for each connected piece of the body that the tyre comes nearer to than ``gap`` mm, left wheel first.

    references: points (3,) by name that can be found on the car, of which two are chosen for each line
    """
    result: list[CutLine | NoCutLine] = []
    for index, side in enumerate(SIDES):
        under = (found.looked.wheel == index) & (found.clearance < gap)
        if not under.any():
            continue
        name = f"{found.surface.name}, {side} wheel"
        try:
            pieces, second_shells = _pieces(found, under, gap)
        except GeometryError as error:
            result.append(NoCutLine(name, found.surface.name, side, str(error)))
            continue
        for number, piece in enumerate(pieces, 1):
            full = name if len(pieces) == 1 else f"{name}, {number}"
            try:
                line = _cut_line(full, piece, found, side, gap, references, second_shells)
            except GeometryError as error:
                result.append(NoCutLine(full, found.surface.name, side, str(error)))
                continue
            if line is not None:
                result.append(line)
    return result


def _pieces(found: ClearanceMap, under: NDArray[np.bool_], gap: float) -> tuple[list[Surface], int]:
    """Connected meshes round the points that are too near, the largest first, and how many second shells are out."""
    near = _within(found.surface.points, found.surface.points[under], BORDER) & (
        found.clearance < gap + 2 * BORDER
    )
    part = found.surface.only(near)
    if not found.surface.is_mesh:
        label = clusters(part.points, BORDER / 2)
        meshes = [height_field(part.only(label == one)) for one in range(int(label.max()) + 1)]
        return meshes, 0
    part = part.with_triangles(part.triangles)
    if not part.is_mesh:
        raise GeometryError(f"'{found.surface.name}' has no triangles where it would be cut")
    part, second_shells = without_second_shells(part)
    if _mean_edge(part) < DENSE * FINEST:
        part = coarsened(part, MOST_POINTS, FINEST)
    if _mean_edge(found.field.surface) < NOISY:
        part = smoothed(part)
    shell = shells_of(part)
    sizes = np.bincount(shell)
    order = np.argsort(-sizes, kind="stable").tolist()
    return [part.with_triangles(part.triangles[shell == one]) for one in order], second_shells


def _mean_edge(surface: Surface) -> float:
    """Edge in mm of equal triangles of the same mean area."""
    return float(np.sqrt(areas(surface.points, surface.triangles).mean() * 4 / 3**0.5))


def _within(points: Array, of: Array, distance: float) -> NDArray[np.bool_]:
    """Which points lie in cubes of an edge ``distance`` that hold one of the others, or in a neighbour of such."""
    origin = points.min(axis=0)
    cells, theirs = (np.floor((some - origin) / distance).astype(np.int64) + 1 for some in (points, of))
    factors = np.array([1 << 42, 1 << 21, 1])
    around = np.array([(i, j, k) for i in (-1, 0, 1) for j in (-1, 0, 1) for k in (-1, 0, 1)])
    wanted = np.unique((np.unique(theirs, axis=0)[:, None] + around).reshape(-1, 3) @ factors)
    return np.isin(cells @ factors, wanted)


def _cut_line(
    name: str,
    piece: Surface,
    found: ClearanceMap,
    side: Side,
    gap: float,
    references: Mapping[str, Array],
    second_shells: int,
) -> CutLine | None:
    piece, middles = bridged(piece)
    field = found.field
    piece, values = refined(piece, field.clearance, gap + 2 * EDGE, EDGE)
    loops = [loop for loop in contour(piece, values, gap, field.clearance) if loop.length >= SHORTEST]
    if not loops:
        return None
    layout = laid_flat(piece, ride_height_centre(found.sweeps[side]))
    flat = tuple(layout.place(loop.points)[0] for loop in loops)
    edges = tuple(layout.place(piece.points[rim])[0] for rim in rims(piece) if len(rim) > 2)
    marks: list[Mark] = []
    chosen = _chosen(references, loops[0].points.mean(axis=0), layout)
    for loop, laid in zip(loops, flat, strict=True):
        # A short line is told well enough by the picture; the longest is marked whatever its length.
        if not marks or loop.length >= MARKED:
            marks += _marks(loop, laid, chosen, len(marks) + 1)
    return CutLine(
        name=name,
        body=found.surface.name,
        side=side,
        gap=gap,
        layout=layout,
        loops=tuple(loops),
        flat=flat,
        edges=edges,
        marks=tuple(marks),
        references=chosen,
        bridged=np.array(middles).reshape(-1, 3),
        second_shells=second_shells,
    )


def _chosen(references: Mapping[str, Array], middle: Array, layout: Layout) -> tuple[Reference, ...]:
    """The two references whose tapes cross most squarely at the middle of the line, of those within reach."""
    within = {
        name: point
        for name, point in references.items()
        if 1.0 < float(length(point - middle)) < FARTHEST_REFERENCE
    }

    def squareness(pair: tuple[str, str]) -> float:
        u, v = (within[name] - middle for name in pair)
        sine = float(length(np.cross(u, v))) / float(length(u) * length(v))
        # A far point is the worse for a tape that sags.
        return sine / (1.0 + float(length(u) + length(v)) / FARTHEST_REFERENCE)

    best = max(combinations(within, 2), key=squareness, default=())
    result = []
    for name in best:
        flat, far = layout.place(within[name][None])
        result.append(Reference(name, within[name], flat[0] if far[0] < 10.0 else None))
    return tuple(result)


def _marks(loop: Loop, flat: Array, references: tuple[Reference, ...], first_number: int) -> tuple[Mark, ...]:
    """Points along a line, evenly, from its highest one on."""
    count = max(FEWEST_MARKS, round(loop.length / MARK_STEP))
    first = int(flat[:, 1].argmax())
    points, laid = (np.roll(some, -first, axis=0) for some in (loop.points, flat))
    steps = length(np.roll(points, -1, axis=0) - points)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    marks = []
    for number, at in enumerate(np.linspace(0, way[-1], count, endpoint=False), first_number):
        i = min(int(np.searchsorted(way, at, side="right")) - 1, len(points) - 1)
        share = (at - way[i]) / steps[i] if steps[i] > 0 else 0.0
        j = (i + 1) % len(points)
        point, place = (some[i] + share * (some[j] - some[i]) for some in (points, laid))
        distances = tuple(float(length(point - reference.point)) for reference in references)
        marks.append(Mark(number, point, place, distances))
    return tuple(marks)


def _area(loop: Array) -> float:
    """Shoelace formula, positive anticlockwise, mm²."""
    x, y = loop.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
