"""Many variants of one car at once: a stack of n front ends, alike but for their changes or their measured points.

What a search or a band of uncertainty asks of a front end, asked of all n in one go. Arrays have n as their first
length. A variant that can't be assembled is False in ``sound``; its poses are not reachable.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from solver.assembling import Points, Shifts, arm_angles, changed_corner, stand
from solver.car import Car, Side
from solver.corner import Corner, Pose, pose_corner
from solver.measures import steer_angle
from solver.tyre import Tyre
from solver.vectors import Array, Mask


@dataclass(frozen=True, eq=False)
class StackedCorner:
    """One side of n front ends: corners (n, 3), and at ride height arm angles and toe (n,), rad."""

    side: Side
    points: Points
    shifts: Shifts
    corner: Corner
    ride_angle: Array
    toe: Array
    over_centre: Array
    sound: Mask


@dataclass(frozen=True, eq=False)
class Stack:
    """n front ends at ride height; mm and radians.

    ground: (n,) height of the ground in the body's axes; loaded_radius: of the tyre, the same for all
    rack_stop: (n,) rack displacement at its stop, spacer included
    tolerance: to which arm angles are found, rad
    left_sign: sign of the rack displacement that turns the wheels to the left, the same for all
    """

    car: Car
    tyre: Tyre
    loaded_radius: float
    left: StackedCorner
    right: StackedCorner
    ground: Array
    rack_stop: Array
    tolerance: float
    # By side and travels: every sweep of a stack asks for the same few.
    _arm_angles: dict[tuple[Side, bytes], Array] = field(default_factory=dict, init=False, repr=False)

    def __len__(self) -> int:
        return len(self.ground)

    @property
    def sides(self) -> tuple[StackedCorner, StackedCorner]:
        """Left and right."""
        return (self.left, self.right)

    @cached_property
    def sound(self) -> Mask:
        """(n,) where both corners can be assembled."""
        return self.left.sound & self.right.sound

    @cached_property
    def left_sign(self) -> int:
        """Sign of the rack displacement that turns the wheels to the left, that of most of the stack."""
        rack = np.array([[-5.0, 5.0]])
        pose = pose_corner(self.left.corner, self.left.ride_angle[:, None], rack)
        steer = steer_angle(pose)
        return 1 if np.nansum(np.sign(steer[:, 1] - steer[:, 0])) >= 0 else -1

    def arm_angles(self, stacked: StackedCorner, travel: Array) -> Array:
        """Arm angles in radians for wheel travels (m,) in mm, rack centred: (n, m), or (n, 1) at ride height."""
        ride = stacked.ride_angle[:, None]
        if not np.any(travel):
            return ride
        key = stacked.side, travel.tobytes()
        if key not in self._arm_angles:
            self._arm_angles[key] = arm_angles(
                stacked.corner,
                ride,
                self.loaded_radius,
                self.ground[:, None],
                travel[None, :],
                self.tolerance,
            )
        return self._arm_angles[key]

    def poses(self, stacked: StackedCorner, rack: Array, travel: Array) -> Pose:
        """Poses over rack displacements (n or 1, ..., k), mm, × wheel travels (m,): shape (n, ..., k, m)."""
        angles = self.arm_angles(stacked, np.asarray(travel, float))
        rack = np.asarray(rack, float)[..., None]
        between = (1,) * (rack.ndim - 2)
        return pose_corner(stacked.corner, angles.reshape(len(self), *between, -1), rack)


def stack(
    car: Car,
    tyre: Tyre,
    loaded_radius: float,
    ground: Array,
    points: Mapping[Side, Points],
    shifts: Mapping[Side, Shifts],
    tolerance: float = 1e-12,
) -> Stack:
    """n front ends from points and shifts, arrays with n as their first length or without it.

    ground: (n,) height of the ground in the body's axes
    tolerance: to which arm angles are found, rad; the error left is far smaller
    """
    count = len(ground)
    sides: list[StackedCorner] = []
    side: Side
    for side in ("left", "right"):
        corner = changed_corner(car, points[side], side, shifts[side], count)
        toe = np.broadcast_to(points[side]["toe"], ground.shape)
        standing = stand(corner, toe, loaded_radius, ground, tolerance=tolerance)
        sides.append(
            StackedCorner(
                side,
                points[side],
                shifts[side],
                standing.corner,
                standing.ride_angle,
                standing.toe,
                standing.over_centre,
                standing.sound,
            )
        )
    spacer = np.broadcast_to(shifts["left"].spacer, ground.shape)
    stop = car.rack.travel_each_side + spacer
    left, right = sides
    return Stack(car, tyre, loaded_radius, left, right, ground, stop, tolerance)
