"""What comes of designs: every figure that a goal may speak of, for a whole stack of designs at once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from solver.corner import Pose, over_centre_angle
from solver.joints import bent_joints, limited
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    ideal_outer_angle,
    inclination_angle,
    percent_ackermann,
    steer_angle,
)
from solver.search.contacts import tyre_gaps
from solver.search.design import Space
from solver.search.wheels import Wheels
from solver.vectors import Array

STOP_RESERVE = math.radians(3.5)
"""Lock beyond the goal up to which clearance is sought where a stop bracket is fitted: a pad that holds over the
whole suspension travel stops the wheel that much earlier at some of it."""
CONTACT_RACKS = np.array([0.0, 0.5, 0.7, 0.8, 0.9])
"""Shares of the rack travel at which contacts are looked for beside its end: the tyre comes nearest towards the lock.
The full sweep that follows looks at all of it."""
FAR = 60.0
"""Gaps beyond this, mm, are not told apart: nothing depends on them."""


@dataclass(frozen=True, eq=False)
class Outcome:
    """Figures of n designs with the rack at given displacements, each worked out when it is asked for; mm, radians.

    For a turn (n, 2), to the left first; for a side (n, 2), left first; for the car (n,).

    level: poses at ride height, (2 n, turn, before and at, 1)
    swept: poses over turn × rack × travel, (2 n, turn, k, 3): where contacts are looked for, and last at the rack
        displacements given
    alike: whether all designs lie within a hair of the first one, as for difference quotients
    Arrays (n, 2, 6) hold a figure of both wheels at droop, ride height and bump, the left wheel's first.
    """

    space: Space
    wheels: Wheels
    rack_stop: Array
    level: Pose
    swept: Pose
    alike: bool

    @cached_property
    def lock(self) -> Array:
        """Of the inner wheel in each turn; 0 where it can't be had."""
        return np.asarray(np.nan_to_num(np.abs(self._steer[:, :, 0, 1])).T)

    @cached_property
    def over_centre(self) -> Array:
        """Margin in each turn, (n, 2, 6); negative past over-centre."""
        return self._each(_signed_margin(self.swept)[:, :, -1])

    @cached_property
    def ackermann(self) -> Array:
        """Percent, in each turn."""
        contact = contact_centre(self.straight, self.wheels.loaded_radius)
        feet = axis_on_ground(self.straight, contact[..., 2])[:, 0, 0, 1, 1]
        apart = self.wheels.both(feet).sum(axis=0)[:, None]
        inner, outer = np.abs(self._steer[:, :, 0, 1]).T, np.abs(self._steer[::-1, :, 1, 1]).T
        return percent_ackermann(inner, outer, ideal_outer_angle(inner, apart, self.space.car.wheelbase))

    @cached_property
    def gaps(self) -> Array:
        """Between tyre and each bar in each turn, (n, 2, 6, bars); `FAR` where no pose is or the tyre is that far."""
        common, pose = self.space.common, self.swept
        gaps = tyre_gaps(common.bars, common.tyre, pose, self.wheels.extension, self.alike)
        return self._each(np.where(pose.reachable[..., None], np.minimum(gaps, FAR), FAR).min(axis=2))

    @cached_property
    def joint_room(self) -> dict[str, Array]:
        """Angle left to each joint's limit, where that is known, on the way to the lock; (n, 2, 6)."""
        limits = self.space.joints
        if limits is None:
            return {}
        left, right = self.space.common.points
        points = {
            name: np.repeat([left[name], right[name]], len(self.rack_stop), axis=0)[:, None, None, None]
            for name in left
        }
        bent = bent_joints(points, self.swept)
        return {
            name: self._each(limit - np.nan_to_num(angle).max(axis=2))
            for name, limit, angle in limited(limits, bent, self.swept)
        }

    @cached_property
    def straight(self) -> Pose:
        """Poses with the rack centred, (2 n, 2, 1, 3): droop, ride height, bump; both turns alike."""
        return self.wheels.poses(np.zeros((2, len(self.rack_stop), 2, 1)), _travel(self.space))

    @property
    def camber(self) -> Array:
        """Of each side at ride height."""
        return self._ahead(camber_angle(self.straight))

    @property
    def caster(self) -> Array:
        """Of each side at ride height."""
        return self._ahead(caster_angle(self.straight))

    @property
    def inclination(self) -> Array:
        """Of each side at ride height."""
        return self._ahead(inclination_angle(self.straight))

    @property
    def bump_steer(self) -> Array:
        """Of each side straight ahead: most toe from droop to bump, less the least."""
        return self.wheels.both(np.ptp(steer_angle(self.straight)[:, 0, 0], axis=-1)).T

    @property
    def tie_rod(self) -> Array:
        """Length on each side."""
        return self.wheels.tie_rod.T

    @property
    def track(self) -> Array:
        """Between the contact centres at ride height."""
        aside = contact_centre(self.straight, self.wheels.loaded_radius)[:, 0, 0, 1, 1]
        return np.asarray(self.wheels.both(aside).sum(axis=0))

    @cached_property
    def _steer(self) -> Array:
        """Steer angles at ride height (2, n, turn, before and at)."""
        return self.wheels.both(steer_angle(self.level)[..., 0])

    def _each(self, values: Array) -> Array:
        """Of both wheels in each turn of the car, (n, 2, 2 m, …), from (2 n, own and other turn, m, …)."""
        both = self.wheels.both(values)
        return np.concatenate([both[0], both[1][:, ::-1]], axis=2)

    def _ahead(self, values: Array) -> Array:
        return self.wheels.both(values[:, 0, 0, 1]).T


def outcome_of(space: Space, designs: Array, racks: Array, alike: bool = False) -> Outcome:
    """Figures of designs (n, k) with the rack at ``racks`` (n, 2), mm from the centre in each turn, positive.

    alike: whether all designs lie within a hair of the first one, as for difference quotients
    """
    wheels = space.wheels(designs)
    stop = space.car.rack.travel_each_side + space.column(designs, "rack_spacer")
    before = np.maximum(racks - 2.0, racks / 2)
    near = np.stack([before, racks], axis=-1)
    level = wheels.poses(_by_wheel(near), np.zeros(1))
    beyond = _reserve(space, wheels.both(steer_angle(level)[:, 0, :, 0]), (racks - before).T).T
    ends = [racks + beyond, racks] if space.car.stop_mounts else [racks]
    shares = np.concatenate([ends[0][..., None] * CONTACT_RACKS, np.stack(ends, axis=-1)], axis=-1)
    return Outcome(space, wheels, stop, level, wheels.poses(_by_wheel(shares), _travel(space)), alike)


def _by_wheel(racks: Array) -> Array:
    """Displacements (n, turn of the car, k) as each wheel sees them: (2, n, own and other turn, k)."""
    return np.stack([racks, racks[:, ::-1]])


def _travel(space: Space) -> Array:
    return np.array([-space.car.droop_travel, 0.0, space.car.bump_travel])


def _reserve(space: Space, inner: Array, apart: Array) -> Array:
    """Rack displacement (2, n) past the one used up to which contacts are looked for.

    inner: steer of the inner wheel in its turn, (2, n, before and at); apart: the rack between the two
    """
    if not space.car.stop_mounts:
        return np.zeros_like(apart)
    with np.errstate(divide="ignore", invalid="ignore"):
        further = STOP_RESERVE * apart / (np.abs(inner[..., 1]) - np.abs(inner[..., 0]))
    return np.asarray(np.clip(np.nan_to_num(further), 0.0, 15.0))


def _signed_margin(pose: Pose) -> Array:
    """Over-centre angle, rad; where the linkage can't close, minus the root of what it lacks, so that a search that
    went too far finds back."""
    angle = np.nan_to_num(over_centre_angle(pose))
    lacking = np.sqrt(np.maximum(np.abs(np.nan_to_num(pose.closure, nan=2.0)) - 1.0, 0.0))
    return np.where(pose.reachable, angle, -lacking - 0.01)
