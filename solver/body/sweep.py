"""The swept tyre: one wheel's poses from lock to lock, over all suspension travel, and what caused each.

The axes are the body's. Ride height and roll change where the ground is, not which poses the wheel can take between
its bump stops; they matter where toe is set again after a drop, and where a travel should be told by the roll that
makes it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.body.revolved import Revolved, tyre_solid
from solver.body.swept import SweptBar, SweptRevolved
from solver.car import FixedTo, Side
from solver.clearance import in_arm, in_arm_frame
from solver.corner import Pose
from solver.errors import GeometryError
from solver.front_end import Assembly, FrontEnd, assemble
from solver.measures import contact_centre, steer_angle
from solver.sweep import TURNS, rack_sign
from solver.vectors import Array, distinct, length

if TYPE_CHECKING:
    from collections.abc import Callable

DENSE = 201
"""Rack displacements each way from which those of the grid are picked."""


@dataclass(frozen=True)
class Grid:
    """Which poses are looked at.

    rack_points: from one lock to the other, an odd number; they are spaced so that the tyre moves alike between them
    travel_points: from full droop to full bump, an odd number
    drops: of the body beyond that of the job's changes, mm; toe is set again after each, the bump stops stay
    rolls: of the body at ride height, rad; each adds the travels that it brings the wheels to
    """

    rack_points: int = 81
    travel_points: int = 31
    drops: tuple[float, ...] = (0.0,)
    rolls: tuple[float, ...] = ()


@dataclass(frozen=True)
class Cause:
    """One pose in words of the driver and the suspension; mm and radians.

    rack: displacement from the centre, left positive; steer: of this wheel, positive to the left
    travel: of the wheel from ride height, bump positive; drop: of the body beyond the job's
    roll: of the body that brings the wheel to this travel, None where it is a travel of the plain grid
    """

    side: Side
    rack: float
    steer: float
    travel: float
    drop: float
    roll: float | None


@dataclass(frozen=True, eq=False)
class SweepPart:
    """Poses of one front end over rack × travel, shape (n, m)."""

    front_end: FrontEnd
    assembly: Assembly
    drop: float
    rack: Array
    travel: Array
    rolls: tuple[float | None, ...]
    pose: Pose


@dataclass(frozen=True, eq=False)
class WheelSweep:
    """All poses of one wheel that exist; they are numbered through, drop by drop, rack by rack, travel by travel."""

    side: Side
    parts: tuple[SweepPart, ...]

    @property
    def front_end(self) -> FrontEnd:
        """That of the first drop."""
        return self.parts[0].front_end

    @cached_property
    def count(self) -> int:
        """Number of poses."""
        return sum(int(part.pose.reachable.sum()) for part in self.parts)

    def gathered(self, of: Callable[[SweepPart], Array]) -> Array:
        """What is computed for each part with shape (n, m, ...), one row a pose that exists."""
        return np.concatenate(
            [
                np.broadcast_to(found, part.pose.reach.shape + found.shape[2:])[part.pose.reachable]
                for part in self.parts
                for found in [of(part)]
            ]
        )

    @cached_property
    def centres(self) -> Array:
        """Wheel centres (k, 3)."""
        return self.gathered(lambda part: part.pose.wheel_centre)

    @cached_property
    def axes(self) -> Array:
        """Unit vectors of the wheel's axis, pointing left, (k, 3)."""
        return self.gathered(lambda part: part.pose.spin_axis)

    @cached_property
    def rack(self) -> Array:
        """Rack displacements (k,), left positive."""
        return self.gathered(lambda part: part.rack[:, None])

    @cached_property
    def travel(self) -> Array:
        """Wheel travels (k,)."""
        return self.gathered(lambda part: part.travel[None, :])

    @cached_property
    def steer(self) -> Array:
        """Steer angles (k,)."""
        return self.gathered(lambda part: np.asarray(steer_angle(part.pose)))

    def cause(self, number: int) -> Cause:
        """What the pose of a number is."""
        part, rack, travel = part_of(self, number)
        return Cause(
            self.side,
            float(part.rack[rack]),
            float(self.steer[number]),
            float(part.travel[travel]),
            part.drop,
            part.rolls[travel],
        )

    def revolved(self, solid: Revolved, fixed_to: FixedTo = "body") -> SweptRevolved:
        """A solid that turns with the wheel's axis, as seen from the body, the arm or the knuckle.

        Seen from the knuckle it never moves, so that there is one pose for each drop.
        """
        if fixed_to == "knuckle":
            corners = [part.assembly.corner for part in self.parts]
            return SweptRevolved(
                solid,
                np.stack([corner.wheel_centre for corner in corners]),
                np.stack([corner.spin_axis for corner in corners]),
            )
        if fixed_to == "arm":
            centres = self.gathered(lambda part: in_arm_frame(part.pose, part.pose.wheel_centre))
            tips = self.gathered(
                lambda part: in_arm_frame(part.pose, part.pose.wheel_centre + part.pose.spin_axis)
            )
            return SweptRevolved(solid, centres, tips - centres)
        return SweptRevolved(solid, self.centres, self.axes)

    def tyre(self, fixed_to: FixedTo = "body") -> SweptRevolved:
        """The grown tyre."""
        return self.revolved(tyre_solid(self.front_end.tyre.grown()), fixed_to)

    def carried(self, point: Array, fixed_to: FixedTo) -> Array:
        """A point (3,) of the measured pose in each pose (k, 3), carried along by what it is fixed to."""
        return self.gathered(lambda part: _carried(part.pose, point, fixed_to))

    def bar(self, start: Array, end: Array, radius: float, fixed_to: FixedTo) -> SweptBar:
        """A round bar given in the measured pose."""
        return SweptBar(self.carried(start, fixed_to), self.carried(end, fixed_to), radius)

    def tie_rod(self, radius: float) -> SweptBar:
        """The tie rod from its inner joint to the pickup."""
        inner = self.gathered(lambda part: part.pose.inner_joint)
        return SweptBar(inner, self.gathered(lambda part: part.pose.pickup), radius)


def part_of(sweep: WheelSweep, number: int) -> tuple[SweepPart, int, int]:
    """The part that a pose of a number belongs to, and its place along rack and travel there."""
    left = number
    for part in sweep.parts:
        places = np.flatnonzero(part.pose.reachable)
        if 0 <= left < len(places):
            rack, travel = divmod(int(places[left]), len(part.travel))
            return part, rack, travel
        left -= len(places)
    raise IndexError(f"pose {number} of {sweep.count}")


def _carried(pose: Pose, point: Array, fixed_to: FixedTo) -> Array:
    if fixed_to == "knuckle":
        return pose.point(point)
    placed = np.broadcast_to(point, pose.ball_joint.shape)
    return in_arm(placed, pose) if fixed_to == "arm" else placed


def wheel_sweeps(
    front_end: FrontEnd, grid: Grid | None = None, racks: dict[Side, float] | None = None
) -> dict[Side, WheelSweep]:
    """Both wheels' poses.

    racks: rack displacement in mm that each turn goes to; None for the rack's own stop, so that no clearance hangs on
        a stop bracket

    Raises:
        GeometryError: a drop can't be reached by the suspension, or no pose exists.
    """
    grid = grid or Grid()
    if racks is None:
        racks = dict.fromkeys(TURNS, front_end.rack_stop)
    fronts = [_dropped(front_end, drop) for drop in grid.drops]
    rack = _evenly(fronts[0], racks, max(grid.rack_points // 2, 1))
    parts: dict[Side, list[SweepPart]] = {"left": [], "right": []}
    for drop, front in zip(grid.drops, fronts, strict=True):
        travel, rolls = _travels(front, grid)
        for assembly in front.sides:
            pose = front.poses(assembly, rack, travel)
            parts[assembly.side].append(SweepPart(front, assembly, drop, rack, travel, rolls, pose))
    sweeps = {side: WheelSweep(side, tuple(listed)) for side, listed in parts.items()}
    for side, swept in sweeps.items():
        if not swept.count:
            raise GeometryError(
                f"{side} corner: no pose exists between the locks; check the tie rod's points"
            )
    return sweeps


def _dropped(front_end: FrontEnd, drop: float) -> FrontEnd:
    """The car so much lower, toe set again; what the springs give up of bump travel they add to the droop."""
    if drop == 0.0:
        return front_end
    car, changes = front_end.car, front_end.changes
    if not -car.droop_travel < drop < car.bump_travel:
        raise GeometryError(
            f"a ride-height drop of {drop:.0f} mm is outside of the suspension's travel of {car.bump_travel:.0f} mm "
            f"bump and {car.droop_travel:.0f} mm droop; expected a drop between the two, a lift being negative"
        )
    car = replace(car, bump_travel=car.bump_travel - drop, droop_travel=car.droop_travel + drop)
    return assemble(car, replace(changes, ride_height_drop=changes.ride_height_drop + drop))


def _travels(front_end: FrontEnd, grid: Grid) -> tuple[Array, tuple[float | None, ...]]:
    """Wheel travels in rising order, and the roll that each stands for."""
    car = front_end.car
    found: dict[float, float | None] = dict.fromkeys(front_end.travels(grid.travel_points).tolist())
    for roll in grid.rolls:
        for side in front_end.sides:
            half = float(abs(front_end.at_ride_height(np.zeros(1))[0].wheel_centre[0, 1]))
            lift = side.corner.side * half * math.tan(roll)
            lift = min(max(lift, -car.droop_travel), car.bump_travel)
            found[lift] = found.get(lift) or roll
    ordered = sorted(found)
    return np.array(ordered), tuple(found[travel] for travel in ordered)


def _evenly(front_end: FrontEnd, racks: dict[Side, float], steps: int) -> Array:
    """Signed rack displacements, 0 among them, between which the tyre's rim moves about alike.

    The wheel swings the faster the nearer it is to lock, so equal steps of the rack would be too wide there.
    """
    radius = front_end.tyre.grown().outside_diameter / 2
    found = []
    for turn in TURNS:
        dense = rack_sign(front_end, turn) * np.linspace(0, racks[turn], DENSE)
        moved = np.zeros(DENSE - 1)
        for pose in front_end.at_ride_height(dense):
            step = length(np.diff(pose.wheel_centre, axis=0))
            step = step + radius * length(np.diff(pose.spin_axis, axis=0))
            moved = np.maximum(moved, np.nan_to_num(step))
        # Beyond over-centre nothing moves; a little for each step keeps the places apart.
        way = np.concatenate([[0.0], np.cumsum(moved + 1e-3)])
        found.append(np.interp(np.linspace(0, way[-1], steps + 1), way, dense))
    return distinct(np.concatenate(found))


def ride_height_centre(sweep: WheelSweep) -> Array:
    """Wheel centre (3,) straight ahead at ride height."""
    part = sweep.parts[0]
    return np.asarray(_straight(part).wheel_centre[0])


def ground_height(sweep: WheelSweep) -> float:
    """Height of the ground under this wheel at ride height, in the body's axes, mm."""
    part = sweep.parts[0]
    return float(contact_centre(_straight(part), part.front_end.loaded_radius)[0, 2])


def _straight(part: SweepPart) -> Pose:
    poses = part.front_end.at_ride_height(np.zeros(1))
    return poses[0 if part.assembly.side == "left" else 1]
