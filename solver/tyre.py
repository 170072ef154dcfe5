"""Tyre sizes and the tyre's solid.

Sizes after UNECE Regulation 30: the size string gives section width, aspect ratio and rim; a rim other
than the measuring rim changes the width; a tyre in service may have grown.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

import numpy as np

from solver.car import Wheel
from solver.errors import TyreSizeError
from solver.tables import rows
from solver.vectors import Array, dot, length

INCH = 25.4
WIDTH_PER_RIM = 0.4
"""K of S = S1 + K (A − A1), UNECE Regulation 30, for radial tyres."""
GROWTH = 1.04
"""Of section height and section width in service, UNECE Regulation 30 §6.1 (from memory)."""
SHOULDER_SHARE = 0.25
"""Shoulder radius as a share of the section height. Common practice, no source: a real shoulder is rounder
than that, so the solid contains it."""

SIZE = re.compile(r"\s*P?(\d{3})\s*/\s*(\d{2})\s*(?:Z?R)\s*(\d{2})\s*(?:\d{2,3}[A-Z])?\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Tyre:
    """The tyre on its rim as a solid of revolution about the wheel's axis; mm.

    outside_diameter, section_width: new, on the rim it is mounted on
    rim_diameter: at the bead seats
    loaded_radius: from wheel centre to ground, None where it has not been measured
    """

    size: str
    outside_diameter: float
    section_width: float
    rim_diameter: float
    loaded_radius: float | None = None

    @property
    def section_height(self) -> float:
        """From bead seat to tread, mm."""
        return (self.outside_diameter - self.rim_diameter) / 2

    @property
    def shoulder_radius(self) -> float:
        """Rounding between tread and side wall of the solid, mm."""
        return min(SHOULDER_SHARE * self.section_height, self.section_width / 3)

    def grown(self) -> Tyre:
        """The largest that the tyre may become in service; the loaded radius stays."""
        diameter = self.rim_diameter + 2 * self.section_height * GROWTH
        return replace(self, outside_diameter=diameter, section_width=self.section_width * GROWTH)

    def distance(self, points: Array, centre: Array, axis: Array) -> Array:
        """Signed distance in mm from points to the solid, negative inside.

        ``points``, wheel ``centre`` and unit ``axis`` of shape (..., 3) are broadcast against each other.
        A solid of revolution is as far from a point as its half section is in the plane through the axis
        and the point, so this is the distance to a rectangle with two rounded corners.
        """
        offset = points - centre
        along = dot(offset, axis)
        radial = np.sqrt(np.maximum(dot(offset, offset) - along**2, 0.0))
        outer, inner = self.outside_diameter / 2, self.rim_diameter / 2
        middle = (outer + inner) / 2
        # The two corners at the tread are rounded, those at the rim are not.
        rounding = np.where(radial > middle, self.shoulder_radius, 0.0)
        x = np.abs(along) - self.section_width / 2 + rounding
        y = np.abs(radial - middle) - (outer - inner) / 2 + rounding
        outside = np.sqrt(np.maximum(x, 0) ** 2 + np.maximum(y, 0) ** 2)
        result: Array = outside + np.minimum(np.maximum(x, y), 0) - rounding
        return result


def parse_size(size: str) -> tuple[int, int, int]:
    """Section width in mm, aspect ratio in percent and rim code in inches of a radial tyre's size string.

    Raises:
        TyreSizeError: the string is no size such as 225/45R17, or no tyre of that size could exist.
    """
    match = SIZE.fullmatch(size)
    if not match:
        raise TyreSizeError(f"{size!r} is no tyre size; expected width/aspect R rim such as 225/45R17")
    width, aspect, rim = (int(group) for group in match.groups())
    if not (125 <= width <= 395 and width % 5 == 0 and 20 <= aspect <= 85 and 10 <= rim <= 24):
        raise TyreSizeError(
            f"{size!r} is outside of what is made: width 125 to 395 mm in steps of 5, "
            "aspect ratio 20 to 85, rim 10 to 24 in; expected for example 225/45R17"
        )
    return width, aspect, rim


def measuring_rim(width: float, aspect: float) -> float:
    """Width in mm of the rim that a tyre's section width is stated for (`data/measuring_rims.csv`)."""
    shares = [(float(row["least_aspect_ratio"]), float(row["share"])) for row in rows("measuring_rims")]
    share = [value for least, value in shares if aspect >= least][-1]
    return round(2 * share * width / INCH) / 2 * INCH


def tyre_of(wheel: Wheel) -> Tyre:
    """The tyre of a wheel; measured sizes go before those of the size string.

    Raises:
        TyreSizeError: from `parse_size`, or for a rim that the tyre can't be mounted on.
    """
    width, aspect, rim = parse_size(wheel.tyre)
    nominal = measuring_rim(width, aspect)
    if abs(wheel.rim_width - nominal) > 2.0 * INCH:
        raise TyreSizeError(
            f"a {wheel.rim_width / INCH:.1f} in rim is more than 2 in away from the {nominal / INCH:.1f} in "
            f"measuring rim of {wheel.tyre}; check rim width and size"
        )
    section = wheel.section_width or round(width + WIDTH_PER_RIM * (wheel.rim_width - nominal))
    diameter = wheel.outside_diameter or rim * INCH + 2 * width * aspect / 100
    if not rim * INCH + 20 < diameter < rim * INCH + 500:
        raise TyreSizeError(
            f"outside diameter {diameter:.1f} mm does not fit a {rim} in rim ({rim * INCH:.1f} mm); "
            "expected the tyre's largest diameter"
        )
    return Tyre(wheel.tyre, diameter, section, rim * INCH, wheel.loaded_radius)


SAMPLE_PITCH = 24.0
"""Greatest distance in mm between the first samples along a bar. The tyre's thinnest feature, its section, is
several times larger, so no dip falls between two samples."""


def nearest_point_distance(
    tyre: Tyre, start: Array, end: Array, centre: Array, axis: Array, enough: float = math.inf
) -> Array:
    """Least distance in mm from a segment to the tyre's solid, one for each pose; NaN where a pose is.

    ``start``, ``end``, ``centre`` and ``axis`` have shape (..., 3). The distance along a segment may have
    several minima, so the segment is sampled, and every place is refined three times to a quarter of the
    pitch that is no higher than its neighbours and might still turn out to be the lowest. The result is never
    low, and high by at most 0.19 mm: half the last pitch, since a distance changes by no more than the point
    moves. Distances over ``enough`` are told more coarsely, but never as less than that.
    """
    shape = np.broadcast_shapes(start.shape, end.shape, centre.shape, axis.shape)
    start, along, centre, axis = (
        np.broadcast_to(item, shape).reshape(-1, 3) for item in (start, end - start, centre, axis)
    )
    span = length(along)
    longest = float(np.max(span, where=np.isfinite(span), initial=0.0))
    intervals = int(longest / SAMPLE_PITCH) + 1 if longest > 0 else 0
    shares = np.linspace(0, 1, intervals + 1)
    points = start[:, None] + along[:, None] * shares[:, None]
    distances = tyre.distance(points, centre[:, None], axis[:, None])
    least = distances.min(axis=1)
    if intervals:
        pitch = 1.0 / intervals
        lowest = distances < least[:, None] + span[:, None] * pitch / 2
        # Where all of a sample's neighbourhood is far enough, the exact distance is of no interest.
        lowest &= distances - span[:, None] * pitch / 2 < enough
        lowest[:, 1:] &= distances[:, 1:] <= distances[:, :-1]
        lowest[:, :-1] &= distances[:, :-1] <= distances[:, 1:]
        place, sample = np.nonzero(lowest)
        share, rows_of = shares[sample], np.arange(len(place))
        for _ in range(3):
            finer = np.clip(share[:, None] + np.linspace(-pitch, pitch, 9), 0, 1)
            points = start[place, None] + along[place, None] * finer[..., None]
            distances = tyre.distance(points, centre[place, None], axis[place, None])
            best = distances.argmin(axis=1)
            share, pitch = finer[rows_of, best], pitch / 4
        np.minimum.at(least, place, distances[rows_of, best])
    result: Array = least.reshape(shape[:-1])
    return result
