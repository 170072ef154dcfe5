"""How a mock-up lies on the printer's bed: on its largest flat side, turned until it fits."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from parts.flats import LEVEL, Array, Flat, flats
from parts.mesh import Triangles
from parts.solid_mesh import in_order

Rotation = NDArray[np.float64]
"""(3, 3): rows are the bed's axes in the part's own frame."""

SIDES = 12
"""Flat sides that are tried."""

SQUARE = (0.0, math.radians(90))
ASKEW = tuple(math.radians(angle) for angle in range(5, 90, 5))
"""Turns about the upright axis: square to the bed where that fits."""


def standing(corners: Array) -> tuple[Rotation, float]:
    """The rotation that puts the largest flat side down, and that side's area in mm²; 0 where there is none.

    corners: of a closed mesh, (n, 3, 3). A part without a flat side that all of it lies over is left as it is.
    """
    points = corners.reshape(-1, 3)
    best: Flat | None = None
    for side in flats(corners, most=SIDES):
        if best is not None and side.area < best.area - 0.1:
            break
        if (points @ side.normal).max() <= side.middle @ side.normal + LEVEL:
            # Of equals the one that is down already.
            best = side if best is None else min(best, side, key=lambda each: each.normal[2])
    return (np.eye(3), 0.0) if best is None else (_rotation(best.normal), best.area)


def turned_to_fit(
    corners: Array, rotation: Rotation, bed: tuple[float, float, float]
) -> tuple[Rotation, bool]:
    """The rotation with a turn about the upright axis by which it fits the bed, and whether one does.

    Where it must lie askew, the turn that leaves most of the bed free at its edges: a slicer wants a line round it.
    """
    points = corners.reshape(-1, 3)

    def over(rotation: Rotation) -> float:
        """By how much it is beyond the bed, mm; negative where it fits."""
        return float((np.ptp(points @ rotation.T, axis=0) - np.array(bed)).max())

    square = [_turned(rotation, angle) for angle in SQUARE]
    for turned in square:
        if over(turned) <= LEVEL:
            return turned, True
    best = min((_turned(rotation, angle) for angle in ASKEW), key=lambda turned: round(over(turned), 6))
    return (best, True) if over(best) <= LEVEL else (rotation, False)


def _turned(rotation: Rotation, angle: float) -> Rotation:
    c, s = (float(np.round(f(angle), 12)) for f in (np.cos, np.sin))
    return np.array(((c, -s, 0), (s, c, 0), (0, 0, 1.0))) @ rotation


def laid(corners: Array, rotation: Rotation) -> Triangles:
    """The mesh on the bed: its lowest point at z = 0, its corner at x = y = 0."""
    turned = corners @ rotation.T
    return in_order(turned - turned.reshape(-1, 3).min(axis=0))


def _rotation(down: NDArray[np.float64]) -> Rotation:
    up = -down
    # Whichever of the part's axes lies flatter stays nearest to the bed's x.
    flat = min(list(np.eye(3)), key=lambda axis: (round(abs(float(axis @ up)), 6), -axis[0], -axis[1]))
    across: Array = np.asarray(flat - (flat @ up) * up, np.float64)
    x = across / np.linalg.norm(across)
    found: Rotation = np.round(np.stack([x, np.cross(up, x), up]), 12) + 0.0
    return found
