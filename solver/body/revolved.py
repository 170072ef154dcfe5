"""Solids of revolution about the wheel's axis: the tyre, the rim's barrel, a brake disc and its shield."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.tyre import Tyre
from solver.vectors import Array, dot


@dataclass(frozen=True)
class Revolved:
    """A rectangle beside the axis, turned about it; its two corners at the outside may be rounded. mm.

    inner, outer: radii
    near, far: along the axis from the wheel centre, near < far
    rounding: radius of the outer corners
    """

    inner: float
    outer: float
    near: float
    far: float
    rounding: float = 0.0

    @property
    def ball(self) -> float:
        """Radius in mm of the least ball about the wheel centre that holds the solid."""
        return float(np.hypot(self.outer, max(abs(self.near), abs(self.far))))

    def section_distance(self, along: Array, radial: Array) -> Array:
        """Signed distance in mm in the half plane through the axis; works in place on both arrays.

        The distance to a rectangle is that of its half widths from its middle; a rounded corner is a rectangle
        smaller by the radius, grown by it again.
        """
        along -= (self.near + self.far) / 2
        np.abs(along, out=along)
        along -= (self.far - self.near) / 2
        radial -= (self.inner + self.outer) / 2
        rounding: Array | float = 0.0
        if self.rounding:
            rounding = np.where(radial > 0, self.rounding, 0.0)
        np.abs(radial, out=radial)
        radial -= (self.outer - self.inner) / 2
        if self.rounding:
            along += rounding
            radial += rounding
        inside = np.minimum(np.maximum(along, radial), 0.0)
        np.maximum(along, 0.0, out=along)
        np.maximum(radial, 0.0, out=radial)
        along *= along
        radial *= radial
        along += radial
        np.sqrt(along, out=along)
        along += inside
        along -= rounding
        return along

    def hull(self, along: Array, radial: Array) -> tuple[Array, Array, Array]:
        """Signed distance in mm to the solid without its bore, and its slopes with ``along`` and ``radial``.

        That solid is convex, so its distance lies nowhere under the plane that touches it.
        """
        half = (self.far - self.near) / 2 - self.rounding
        off = along - (self.near + self.far) / 2
        x, y = np.abs(off) - half, radial - (self.outer - self.rounding)
        out_x, out_y = np.maximum(x, 0.0), np.maximum(y, 0.0)
        outside = np.sqrt(out_x**2 + out_y**2)
        within = outside == 0.0
        scale = np.where(within, 1.0, outside)
        slope_x = np.where(within, x >= y, out_x / scale) * np.where(off < 0, -1.0, 1.0)
        slope_y = np.where(within, x < y, out_y / scale)
        return outside + np.minimum(np.maximum(x, y), 0.0) - self.rounding, slope_x, slope_y

    def distance(self, points: Array, centre: Array, axis: Array) -> Array:
        """Signed distance in mm from points to the solid, negative inside; shapes (..., 3), broadcast."""
        offset = points - centre
        along = np.asarray(dot(offset, axis))
        radial = np.sqrt(np.maximum(dot(offset, offset) - along**2, 0.0))
        return self.section_distance(along, np.asarray(radial))


def tyre_solid(tyre: Tyre) -> Revolved:
    """The solid of `solver.tyre.Tyre`."""
    half = tyre.section_width / 2
    return Revolved(tyre.rim_diameter / 2, tyre.outside_diameter / 2, -half, half, tyre.shoulder_radius)
