"""Mock-ups: the part with FIT CHECK ONLY sunk into its largest flat face that has room for it."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from parts import lettering
from parts.gate import VOLUME_TOLERANCE
from parts.kernel import cq
from parts.profiles import prism

DEPTH = 0.4
"""mm: two layers of a home printer, half of the thinnest sheet."""

UNITS = (2.0, 1.5, 1.2, 1.0, 0.8)
"""Stroke widths to try, mm: from letters 10 mm tall down to two passes of a 0.4 mm nozzle."""

GRID = 15
"""Places to try along either direction of a face."""

FACES = 4
"""Flat faces to try, the largest first."""

CURVE_STEPS = 24
"""Chords by which a curved edge is judged. A hole's chords lie inside of it by less than 1% of its radius,
and the text stays away by a whole stroke."""

LEAST_AREA = min(
    math.prod(side + 2 for side in lettering.block_size(layout)) * UNITS[-1] ** 2
    for layout in lettering.LAYOUTS
)
"""mm², of the smallest lettering with its margin: a smaller face need not be looked at."""

Segments = NDArray[np.float64]
"""(n, 2, 2): segment, end, x y in the face's plane, mm."""


@dataclass(frozen=True)
class MockUp:
    """A solid to print.

    lettered: whether the words are in it; False when no flat face has room for them
    """

    solid: cq.Solid
    lettered: bool


def mock_up(solid: cq.Solid) -> MockUp:
    """Sink the words into a solid; hand it back as it is when no flat face has room for them.

    The cut is held against the letters' area times their depth, so words that broke through a wall or ran
    over an edge are not used.
    """
    for face in _flat_faces(solid):
        place = _place(face)
        if place is None:
            continue
        plane, lines, unit = place
        letters = lettering.glyphs(lines, unit)
        # The quick integration will do: it is off on curved faces only, and by the same before and after.
        expected = solid.Volume() - DEPTH * sum(letter.area for letter in letters)
        cut = solid.cut(*(_tool(letter, plane) for letter in letters)).Solids()
        if len(cut) == 1 and cut[0].isValid() and _close(cut[0].Volume(), expected):
            return MockUp(cut[0], lettered=True)
    return MockUp(solid, lettered=False)


def _close(value: float, expected: float) -> bool:
    return abs(value - expected) <= VOLUME_TOLERANCE * expected


def _tool(letter: lettering.Glyph, plane: cq.Plane) -> cq.Shape:
    """From below the face to above it, so that no face of the tool lies on it."""
    lowered = cq.Plane(plane.origin - plane.zDir * DEPTH, plane.xDir, plane.zDir)
    islands = () if letter.island is None else (letter.island,)
    return prism(letter.outline, 2 * DEPTH, lowered, cutouts=islands)


def _flat_faces(solid: cq.Solid) -> list[cq.Face]:
    measured = [(round(face.Area(), 3), face) for face in solid.Faces() if face.geomType() == "PLANE"]
    large = sorted((item for item in measured if item[0] > LEAST_AREA), key=lambda item: -item[0])
    # The smallest that still counts may have equals; only these few need a second look.
    least = large[:FACES][-1][0] if large else 0.0

    def order(item: tuple[float, cq.Face]) -> tuple[float, ...]:
        # Of two equal faces the upper one: words on the print bed come out ragged.
        x, y, z = (round(c, 3) for c in item[1].Center().toTuple())
        return (-item[0], -z, x, y)

    return [face for _, face in sorted((i for i in large if i[0] >= least), key=order)[:FACES]]


def _place(face: cq.Face) -> tuple[cq.Plane, tuple[str, ...], float] | None:
    """Plane, lines and stroke of the largest lettering that fits, nearest to the face's middle."""
    middle, normal = face.Center(), face.normalAt()
    lines = [edge for edge in face.Edges() if edge.geomType() == "LINE"]
    if not lines:
        return None
    longest = max(lines, key=lambda edge: round(edge.Length(), 3))
    along = (longest.endPoint() - longest.startPoint()).normalized()
    # Whichever way the kernel walks the edge, the words read from the positive side.
    along = along * math.copysign(1.0, along.x + along.y * 1e-3 + along.z * 1e-6)
    planes = [cq.Plane(middle, direction, normal) for direction in (along, normal.cross(along))]
    boundaries = [_boundary(face, plane) for plane in planes]
    for unit, layout in itertools.product(UNITS, lettering.LAYOUTS):
        width, height = lettering.block_size(layout)
        for plane, boundary in zip(planes, boundaries, strict=True):
            # One stroke free all round.
            spot = _spot(boundary, (width + 2) * unit, (height + 2) * unit)
            if spot is not None:
                return cq.Plane(plane.toWorldCoords(spot), plane.xDir, normal), layout, unit
    return None


def _boundary(face: cq.Face, plane: cq.Plane) -> Segments:
    axes = np.array([plane.xDir.toTuple(), plane.yDir.toTuple()])
    segments = []
    for edge in face.Edges():
        steps = 1 if edge.geomType() == "LINE" else CURVE_STEPS
        # By parameter: by length, the kernel would integrate along each curve.
        first, last = edge.bounds()
        points = edge.positions(np.linspace(first, last, steps + 1), mode="parameter")
        local = (np.array([p.toTuple() for p in points]) - plane.origin.toTuple()) @ axes.T
        segments.append(np.stack([local[:-1], local[1:]], axis=1))
    return np.concatenate(segments)


def _spot(boundary: Segments, width: float, height: float) -> tuple[float, float] | None:
    """Middle of a rectangle that lies inside the boundary, the one nearest to 0; None when there is none."""
    low, high = boundary.min(axis=(0, 1)), boundary.max(axis=(0, 1))
    if width > high[0] - low[0] or height > high[1] - low[1]:
        return None
    half = np.array((width, height)) / 2
    x, y = (np.linspace(low[i] + half[i], high[i] - half[i], GRID) for i in (0, 1))
    spots = np.concatenate([np.zeros((1, 2)), np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)])
    spots = spots[_contains(boundary, spots)]
    spots = spots[~_touches(boundary, spots, half)]
    if not len(spots):
        return None
    nearest = spots[int(np.argmin(np.round(np.hypot(*spots.T), 6)))]
    return float(nearest[0]), float(nearest[1])


def _contains(boundary: Segments, spots: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each point (m, 2) lies inside: a ray to the right meets an odd number of edges."""
    (x0, y0), (x1, y1) = boundary[:, 0].T, boundary[:, 1].T
    x, y = spots[:, :1], spots[:, 1:]
    crosses = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        right = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    inside: NDArray[np.bool_] = (crosses & right).sum(axis=1) % 2 == 1
    return inside


def _touches(boundary: Segments, spots: NDArray[np.float64], half: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether a boundary segment meets the rectangle round each point (m, 2): separating axes of the two."""
    x0, y0, x1, y1 = (boundary.reshape(-1, 4).T[i] - spots[:, i % 2, None] for i in range(4))
    apart = (np.minimum(x0, x1) > half[0]) | (np.maximum(x0, x1) < -half[0])
    apart |= (np.minimum(y0, y1) > half[1]) | (np.maximum(y0, y1) < -half[1])
    across_x, across_y = x1 - x0, y1 - y0
    offset = np.abs(across_x * y0 - across_y * x0)
    apart |= offset > np.abs(across_x) * half[1] + np.abs(across_y) * half[0]
    touches: NDArray[np.bool_] = (~apart).any(axis=1)
    return touches
