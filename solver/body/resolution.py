"""How much nearer the tyre may come between two poses of the grid than at both of them."""

from __future__ import annotations

import numpy as np

from solver.body.sweep import SweepPart, WheelSweep
from solver.vectors import Array, length


def between_poses(sweep: WheelSweep, distance: float, curvature_radius: float | None = None) -> float:
    """By how many mm a distance may be less between the grid's poses than at all of them.

    distance: that the bound is for, mm, not negative
    curvature_radius: least radius of the tyre where it comes near, mm; None for its shoulder; 0 for the rim's edge

    Seen from the wheel a point of the body moves past the tyre along x(t). Its distance bends upwards by no more than
    f'' = |x''| + |x'|²/(d + ϱ), as the surface at the distance d has no smaller radius than d + ϱ. A function lies
    under its chord by f''/8 of a step at most; going from one place in a cell of the grid to its corners takes one
    step of the rack and one of the travel. Steps and second differences are those of the tyre's farthest point.
    """
    tyre = sweep.front_end.tyre.grown()
    radius = tyre.shoulder_radius if curvature_radius is None else curvature_radius
    reach = float(np.hypot(tyre.outside_diameter, tyre.section_width)) / 2
    return max(_of_part(part, reach, distance + radius) for part in sweep.parts)


def _of_part(part: SweepPart, reach: float, bend_radius: float) -> float:
    centres, axes = part.pose.wheel_centre, part.pose.spin_axis
    bound = 0.0
    for direction in (0, 1):
        step = _largest(np.diff(centres, axis=direction), np.diff(axes, axis=direction), reach)
        bend = _largest(np.diff(centres, 2, axis=direction), np.diff(axes, 2, axis=direction), reach)
        bound += (bend + step**2 / bend_radius) / 8 if bend_radius > 0 else step / 2
    return bound


def _largest(centres: Array, axes: Array, reach: float) -> float:
    """The largest motion of the tyre's farthest point; where a pose does not exist nothing moves."""
    return float(np.nan_to_num(length(centres) + reach * length(axes)).max(initial=0.0))


def along_surface(edge: float, distance: float, curvature_radius: float) -> float:
    """By how many mm a distance may be less inside of a flat triangle than at all its corners.

    edge: longest edge of the triangle, mm; distance, curvature_radius: as in `between_poses`

    No place of a triangle is farther than edge/√3 from a corner, and between places the distance bends by
    1/(d + ϱ) at most: edge²/6 over that radius.
    """
    radius = distance + curvature_radius
    lipschitz = edge / 3**0.5
    return min(lipschitz, edge**2 / (6 * radius)) if radius > 0 else lipschitz
