"""A tag with the words, for a piece that has no side with room for them: it is broken off to try the fit."""

from __future__ import annotations

import numpy as np

from parts import lettering
from parts.engraving import engraved
from parts.flats import Array
from parts.solid_mesh import Body, corners_of, joined, placed, slab
from parts.walls import crossings
from solver.errors import SolidError

UNIT = 0.8
"""Width of a stroke, mm: letters 4 mm tall."""

THICKNESS = 1.6
"""mm."""

NECK = (1.5, 0.9, 3.0)
"""Width, height and free length of what joins it to the piece, mm: thin enough to be bent off by hand."""

BITE = 1.0
"""mm, or half of the wall, by which the neck reaches into the piece."""

ASIDE = (0.013, 1.7, -1.9, 4.1, -4.3, 9.2, -9.4)
"""mm from the middle, where to look for a wall."""


def tagged(body: Body, rotation: Array, lines: tuple[str, ...]) -> Body:
    """The piece with a tag beside it on the bed, joined by a neck to break.

    rotation: by which the piece lies on the bed, as `parts.standing` finds it

    Raises:
        SolidError: there is no place for it.
    """
    width, height = ((side + 3) * UNIT for side in lettering.block_size(lines))
    origin, wall = _outermost(corners_of(body), rotation)
    across, tall, free = NECK
    # Lying on z = 0 before it is turned to where the piece lies.
    plate = slab([_rectangle(free, -height / 2, free + width, height / 2)], THICKNESS)
    neck = slab([_rectangle(-min(BITE, wall / 2), -across / 2, free + 1.0, across / 2)], tall)
    lettered = engraved(plate, (lines,))
    assert lettered is not None
    tag = placed(joined([lettered, neck]), origin, *rotation)
    whole = joined([body, tag])
    # All that is added is the tag, but for what of the neck is in the wall.
    added, bite = whole.volume() - body.volume(), (tag ^ body).volume()
    if len(whole.decompose()) != 1 or abs(added + bite - tag.volume()) > 1e-3 or bite > neck.volume():
        raise SolidError("a tag with its part number can't be joined to the mock-up")
    return whole


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> Array:
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _outermost(corners: Array, rotation: Array) -> tuple[Array, float]:
    """On the bed, near to the piece's middle: where it ends towards x, and how thick its wall is there."""
    turned = corners @ rotation.T
    low, high = turned.reshape(-1, 3).min(axis=0), turned.reshape(-1, 3).max(axis=0)
    for aside in ASIDE:
        y, z = (low[1] + high[1]) / 2 + aside, low[2] + NECK[1] / 2
        start = np.array((high[0] + 1.0, y, z))
        met = crossings(start, np.array((-1.0, 0.0, 0.0)), turned)
        if len(met) >= 2:
            end = start[0] - met[0]
            return rotation.T @ np.array((end, y, low[2])), float(met[1] - met[0])
    raise SolidError("there is no place for a tag with its part number on the mock-up")
