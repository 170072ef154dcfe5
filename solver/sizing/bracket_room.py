"""Whether a stop bracket has room: beside the sleeve on the arm, and clear of the tie rod on its way to the stop."""

from __future__ import annotations

import math

import numpy as np

from solver.families.bump_stop import BumpStopDimensions
from solver.front_end import Assembly, link_of
from solver.sizing.arm_sleeve import sleeve_cover
from solver.sizing.context import SizingContext
from solver.sizing.stop_contact import StopContact
from solver.vectors import Array

ROD_RADIUS, ROD_GAP = 10.0, 5.0
"""Half of a usual tie rod's diameter, and the gap that is kept to it; mm. Common practice, no source."""


def in_the_way(
    context: SizingContext, contact: StopContact, bracket: BumpStopDimensions, assembly: Assembly
) -> str | None:
    """Why the bracket would meet the sleeve or the tie rod; None when both stay clear of it."""
    body = _outline_points(contact, bracket)
    sleeve = _covered_by_sleeve(context, assembly)
    if sleeve is not None:
        link = link_of(context.solution.job.car, assembly.side)
        from_ball = (assembly.corner.arm_ball - body[:4]) @ link.along
        if from_ball.max() > sleeve[0] and from_ball.min() < sleeve[1]:
            return (
                f"the bracket's base covers the arm from {from_ball.min():.0f} mm to {from_ball.max():.0f} mm inboard "
                f"of the ball joint, the sleeve from {sleeve[0]:.0f} mm to {sleeve[1]:.0f} mm"
            )
    # Every third place on the way: the rod moves by less than a millimetre between two of them.
    rods = contact.tie_rod[::3]
    along = rods[:, 1] - rods[:, 0]
    offset = body[None, :, :] - rods[:, None, 0]
    share = np.clip(np.sum(offset * along[:, None], axis=-1) / np.sum(along**2, axis=-1)[:, None], 0, 1)
    gap = float(np.linalg.norm(offset - share[..., None] * along[:, None], axis=-1).min()) - ROD_RADIUS
    if gap < ROD_GAP:
        return (
            f"the bracket comes within {gap:.1f} mm of a tie rod of {2 * ROD_RADIUS:.0f} mm diameter on its way to the "
            f"stop; {ROD_GAP:.0f} mm are the least"
        )
    return None


def _outline_points(contact: StopContact, bracket: BumpStopDimensions) -> Array:
    """Points on the bracket, seen from the arm, (n, 3): the base's corners first, then the leg and the pad."""
    half, pad = bracket.width / 2, bracket.pad_diameter / 2
    face = bracket.leg_outer_x + bracket.pad_thickness
    local = [(x, y, 0.0) for x in (0.0, bracket.leg_outer_x) for y in (-half, half)]
    rise = np.linspace(0.0, bracket.height, 7)
    local += [(bracket.leg_outer_x, y, z) for y in np.linspace(-half, half, 7) for z in rise]
    local += [
        (face, pad * math.cos(turn), bracket.pad_height + pad * math.sin(turn))
        for turn in np.linspace(0, 2 * math.pi, 13)
    ]
    place = contact.placement(bracket.mount_x)
    x_axis, z_axis = np.array(place.x_axis), np.array(place.z_axis)
    axes = np.stack([x_axis, np.cross(z_axis, x_axis), z_axis])
    return np.asarray(np.array(place.origin) + np.array(local) @ axes)


def _covered_by_sleeve(context: SizingContext, assembly: Assembly) -> tuple[float, float] | None:
    """From where to where the sleeve covers the arm, mm from the ball joint; None without a sleeve."""
    extension = context.solution.changes.arm_extension
    if extension <= 0:
        return None
    link = link_of(context.solution.job.car, assembly.side)
    covered = sleeve_cover(context.solution.job)
    return link.cut - covered, link.cut + extension + covered
