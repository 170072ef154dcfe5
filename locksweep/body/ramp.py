"""Colours of clearances: one ramp from dark to light, which every kind of colour vision and a grey print keep apart.

The stops are nine of the map "inferno" by Smith and van der Walt (2015, public domain), whose lightness rises evenly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

STOPS = np.array(
    [
        (0, 0, 4),
        (31, 12, 72),
        (85, 15, 109),
        (136, 34, 106),
        (186, 54, 85),
        (227, 89, 51),
        (249, 140, 10),
        (249, 201, 50),
        (252, 255, 164),
    ],
    float,
)
FAR = (216, 221, 226)
"""Where the tyre stays farther away than the ramp tells: a light grey with a touch of blue."""
DEEP = 30.0
"""mm of overlap at which the ramp is darkest."""
TOUCH_AT, GAP_AT = 0.375, 0.75
"""Places on the ramp of no clearance and of the wanted one: stops, so that a legend can name them."""


def places(clearance: Array, gap: float, interest: float) -> Array:
    """Places on the ramp, 0 to 1, of clearances in mm; over 1 beyond what it tells.

    gap: wanted, over 0; interest: the most that is told apart, over the gap
    """
    return np.interp(
        clearance,
        [-DEEP, 0.0, max(gap, 1e-3), interest, interest + 1e-6],
        [0.0, TOUCH_AT, GAP_AT, 1.0, 2.0],
    )


def colours(clearance: Array, gap: float, interest: float) -> NDArray[np.uint8]:
    """Red, green and blue (n, 3) of clearances in mm, 0 to 255."""
    at = places(clearance, gap, interest)
    stops = np.linspace(0, 1, len(STOPS))
    found = np.stack([np.interp(at, stops, STOPS[:, channel]) for channel in range(3)], axis=-1)
    found[at > 1.0] = FAR
    return np.round(found).astype(np.uint8)


def legend(gap: float, interest: float) -> list[tuple[float, str]]:
    """Clearances in mm that a legend names, from the darkest on, with words."""
    return [
        (-DEEP, f"{DEEP:.0f} mm into the tyre, or more"),
        (0.0, "touches"),
        (gap, f"{gap:.4g} mm clear, as wanted"),
        (interest, f"{interest:.4g} mm clear"),
        (interest + 1.0, "farther"),
    ]
