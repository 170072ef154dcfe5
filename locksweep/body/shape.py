"""What is read from a scan's file, as it stands there: no unit, no place on the car."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.surface import Triangles
from solver.errors import ScanError
from solver.vectors import Array

if TYPE_CHECKING:
    from pathlib import Path

MOST_POINTS = 20_000_000
MOST_TRIANGLES = 12_000_000
"""That a scan may have. Ten points on every square millimetre of a wheel well are fewer."""


@dataclass(frozen=True, eq=False)
class Shape:
    """Points (n, 3) in the file's own unit, triangles (m, 3), and remarks on how it was read.

    unit: that the file's format or its text says it is in, None where it says nothing
    """

    points: Array
    triangles: Triangles
    unit: str | None = None
    remarks: tuple[str, ...] = ()


def checked_counts(path: Path, points: int, triangles: int) -> None:
    """Refuse a scan that is too large to be worked with, before room is made for it.

    Raises:
        ScanError: it is.
    """
    if points > MOST_POINTS or triangles > MOST_TRIANGLES:
        raise ScanError(
            f"{path}: {points:,} points and {triangles:,} triangles; at most {MOST_POINTS // 10**6} million points and "
            f"{MOST_TRIANGLES // 10**6} million triangles can be read. Export it coarser, or only what lies round the "
            "wheels: points 1 mm apart are close enough"
        )


def shape_of(path: Path, points: Array, triangles: Triangles, **more: object) -> Shape:
    """A shape whose triangles name points that are there.

    Raises:
        ScanError: they don't, or there are no points.
    """
    points = np.ascontiguousarray(points, np.float64)
    if points.ndim != 2 or points.shape[1] != 3 or not len(points):
        raise ScanError(f"{path}: holds no points; export the scan again")
    triangles = np.asarray(triangles, np.int64).reshape(-1, 3)
    checked_counts(path, len(points), len(triangles))
    if len(triangles) and not (triangles.min() >= 0 and triangles.max() < len(points)):
        raise ScanError(
            f"{path}: its triangles name points that are not in it: from {triangles.min()} to {triangles.max()} where "
            f"there are {len(points)}; the file is damaged, export the scan again"
        )
    return Shape(points, triangles, **more)  # type: ignore[arg-type]
