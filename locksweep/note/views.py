"""Which way a picture looks at the front end: from behind and from above, left on the left, both at one scale."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from solver.vectors import Array

TITLES = ("seen from behind", "seen from above, forward is up")
AXES = (np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0]]), np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0]]))


class View(NamedTuple):
    """From the car to paper: two axes (2, 3), mm of paper a mm, and where the origin comes to lie."""

    axes: Array
    scale: float
    origin: Array

    def at(self, points: Array) -> Array:
        """Points (..., 3) on paper, (..., 2)."""
        return np.asarray(points @ self.axes.T * self.scale + self.origin)

    @property
    def from_above(self) -> bool:
        """Whether it is the one from above."""
        return not self.axes[1, 2]
