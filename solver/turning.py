"""The path of the car in a turn: where its centre lies and how far out the outermost point of the tyre sweeps.

The car turns slowly about a centre on the rear axle's line, placed so that the outer front wheel rolls without
slip. If the inner front wheel's heading points to another centre, it slips.
"""

from __future__ import annotations

import numpy as np

from solver.corner import Pose
from solver.measures import contact_centre, steer_angle
from solver.tyre import Tyre
from solver.vectors import Array, cross, unit

RIM_POINTS = 180
"""Places round each shoulder of the tyre that are looked at. The radius found is low by less than 0.05 mm: it
changes by at most half the tyre's radius times the square of one degree."""


def turn_centre(outer: Pose, loaded_radius: float, wheelbase: float) -> Array:
    """Centre of the turn, (..., 2), mm: on the outer wheel's axis in plan view, on the rear axle's line.

    Infinitely far off where the wheel stands straight ahead; NaN where the pose doesn't exist.
    """
    contact = contact_centre(outer, loaded_radius)
    steer = steer_angle(outer)
    with np.errstate(divide="ignore"):
        aside = (wheelbase + contact[..., 0]) / np.tan(steer)
    return np.stack(np.broadcast_arrays(-wheelbase, contact[..., 1] + aside), axis=-1)


def kerb_circle(outer: Pose, tyre: Tyre, loaded_radius: float, wheelbase: float) -> Array:
    """Turning circle between kerbs, mm: `solver.measures.kerb_to_kerb` over whole arrays of poses.

    Twice the distance from the centre of the turn to the outer tyre's contact centre and half its width more.
    """
    centre = turn_centre(outer, loaded_radius, wheelbase)
    reach = contact_centre(outer, loaded_radius)[..., :2] - centre
    return 2 * np.hypot(reach[..., 0], reach[..., 1]) + tyre.section_width


def wall_circle(
    outer: Pose,
    tyre: Tyre,
    loaded_radius: float,
    wheelbase: float,
    body_corner: tuple[float, float] | None = None,
) -> Array:
    """Turning circle between walls, mm: twice the radius of the outermost point that sweeps round.

    That point is on the front shoulder of the outer front tyre, at about the height of the wheel centre, unless
    ``body_corner`` lies further out: x and y in mm of the left front corner of the body, or of whatever else
    sticks out furthest there. The right one is taken as its mirror. A body that was not measured is left out, and
    then this is the circle of the front tyres alone. It is never less than that between kerbs, which a wheel that
    leans in at the top can decide, and which counts the tyre's full width down to the ground.
    """
    centre = turn_centre(outer, loaded_radius, wheelbase)
    spin, hub = outer.spin_axis, outer.wheel_centre
    shape = spin.shape
    ahead = unit(cross(spin, np.broadcast_to(np.array([0.0, 0.0, 1.0]), shape)))
    up = cross(ahead, spin)
    # The tyre's solid is a plain cylinder grown all round by its shoulder radius, so the outermost point is the
    # cylinder's, which lies on one of its two edges, plus that radius.
    rounding = tyre.shoulder_radius
    radius, half = tyre.outside_diameter / 2 - rounding, tyre.section_width / 2 - rounding
    angle = np.linspace(0, 2 * np.pi, RIM_POINTS, endpoint=False)[:, None]
    # In plan view from here on.
    rim = radius * (np.cos(angle) * ahead[..., None, :2] + np.sin(angle) * up[..., None, :2])
    side = half * spin[..., None, :2]
    from_centre = (hub[..., :2] - centre)[..., None, :]
    reach = np.maximum(_plan_length(from_centre + rim + side), _plan_length(from_centre + rim - side))
    kerb = kerb_circle(outer, tyre, loaded_radius, wheelbase)
    outermost = np.maximum(reach.max(axis=-1) + rounding, kerb / 2)
    if body_corner is not None:
        x, y = body_corner
        corner = np.array([x, outer.corner.side * abs(y)])
        outermost = np.maximum(outermost, _plan_length(corner - centre))
    return np.asarray(2 * outermost)


def _plan_length(a: Array) -> Array:
    return np.hypot(a[..., 0], a[..., 1])
