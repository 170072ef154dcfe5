"""Both wheels of n designs in one stack, the right ones mirrored to the left: one run of the closed form for all.

Seen from its own side a wheel is the inner one when the car turns to that side. So figures come as (wheel, design,
turn), wheels left and right, turns to the wheel's own side and to the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from solver.assembling import Points, Shifts, Standing, arm_angles, changed_corner, stand
from solver.car import Car
from solver.corner import Pose, pose_corner
from solver.vectors import Array, Mask

TOLERANCE = 1e-6
"""Of arm angles in the search, rad: a few ten-thousandths of a millimetre at the wheel."""
MIRROR = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True, eq=False)
class Wheels:
    """Corners of n designs at ride height, (2 n) of them: the left ones first, then the right ones mirrored.

    extension: of the arms, (n,), mm; loaded_radius: of the tyre; ground: its height in the body's axes, mm
    into: sign of the rack displacement, seen from a wheel, that turns it to its own side
    """

    standing: Standing
    extension: Array
    loaded_radius: float
    ground: float
    into: int
    _arm_angles: dict[bytes, Array] = field(default_factory=dict, init=False, repr=False)

    @property
    def sound(self) -> Mask:
        """(n,) where both corners can be assembled."""
        return np.asarray(self.standing.sound.reshape(2, -1).all(axis=0))

    @property
    def tie_rod(self) -> Array:
        """Lengths (2, n), mm."""
        return self.both(self.standing.corner.tie_rod)

    def poses(self, rack: Array, travel: Array) -> Pose:
        """Poses over rack displacements × travels (m,), mm.

        ``rack`` (2, n, turn, k), positive in both turns; poses (2 n, turn, k, m).
        """
        sign = self.into * np.array([1.0, -1.0])[:, None]
        signed = (rack * sign).reshape(-1, *rack.shape[2:])
        angles = self._angles(travel).reshape(len(signed), 1, 1, -1)
        return pose_corner(self.standing.corner, angles, signed[..., None])

    def both(self, values: Array) -> Array:
        """(2 n, …) as (2, n, …)."""
        return values.reshape(2, -1, *values.shape[1:])

    def _angles(self, travel: Array) -> Array:
        ride = self.standing.ride_angle[:, None]
        if not np.any(travel):
            return ride
        key = travel.tobytes()
        if key not in self._arm_angles:
            self._arm_angles[key] = arm_angles(
                self.standing.corner,
                ride,
                self.loaded_radius,
                np.array(self.ground),
                travel[None, :],
                TOLERANCE,
            )
        return self._arm_angles[key]


def mirrored(points: Points) -> dict[str, Array]:
    """A right corner's points as those of a left one; toe and camber are each side's own and stay."""
    return {name: value * MIRROR if np.shape(value) else value for name, value in points.items()}


def wheels_of(
    car: Car,
    points: Sequence[Points],
    shifts: Shifts,
    loaded_radius: float,
    ground: float,
    into: int,
    tie_rod: float | None = None,
) -> Wheels:
    """Both wheels of n designs; ``points`` of the left corner and of the right one, mirrored.

    shifts: numbers (n,) and vectors (n, 3), as on the left
    tie_rod: a length that is given, mm; None restores the measured toe
    """
    count = len(shifts.spacer)
    rack = np.array(car.rack.direction)
    directions = np.repeat([rack, rack * -MIRROR], count, axis=0)
    table = {name: np.repeat([side[name] for side in points], count, axis=0) for name in points[0]} | {
        "rack_direction": directions
    }
    doubled: dict[str, Any] = {
        name: np.concatenate([value, value]) if isinstance(value, np.ndarray) else value
        for name, value in vars(shifts).items()
    }
    corner = changed_corner(car, table, "left", Shifts(**doubled), 2 * count)
    standing = stand(corner, table["toe"], loaded_radius, np.array(ground), tie_rod, TOLERANCE)
    return Wheels(standing, shifts.extension, loaded_radius, ground, into)
