"""Where the knuckle meets a stop bracket's pad, over all suspension travel, seen from the arm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.car import StopMount, Vector
from solver.clearance import in_arm_frame
from solver.corner import pose_corner
from solver.front_end import Assembly, FrontEnd, moved_with_arm
from solver.measures import steer_angle
from solver.part import Placement
from solver.state import TurnState
from solver.sweep import rack_sign
from solver.vectors import Array, unit

SIDEWAYS = 30.0
"""How far, mm, a bracket may be moved from the measured place to face the contact squarely: beyond that the place
that was measured is not the one that it would sit on. Our own choice."""
SCAN_BEFORE = 20.0
"""Rack travel before the limit, mm, from which on the meeting of pad and boss is looked for."""
GRID = 81
"""Rack positions that are tried; between two of them the boss's way is taken as straight."""


@dataclass(frozen=True)
class StopContact:
    """Where the knuckle's boss meets the pad; mm and radians, the arm's frame is the car's at measured ride height.

    reference: the bracket's mounting reference on the arm; direction: of its base, towards the boss; normal: upwards
    reach, height: of the pad's face and middle from the reference; height_spread: of the boss over the travel
    travel, locks: steer angle at which the pad is met, for each travel; at_ride: the one at ride height
    rack_stop_first: travels at which the rack's own stop is met before the pad
    tie_rod: (n, 2, 3) ends of the tie rod over the turn, in the arm's frame
    """

    reference: Array
    direction: Array
    normal: Array
    reach: float
    height: float
    height_spread: float
    travel: Array
    locks: Array
    at_ride: float
    rack_stop_first: tuple[float, ...]
    tie_rod: Array

    def placement(self, mount_x: float) -> Placement:
        """Of a bracket whose reference lies ``mount_x`` mm along its base."""
        origin = self.reference - mount_x * self.direction
        return Placement(_tuple(origin), _tuple(self.direction), _tuple(self.normal))


def stop_contact(
    front_end: FrontEnd, assembly: Assembly, mount: StopMount, turn: TurnState
) -> StopContact | str:
    """The contact that keeps every travel within its own limit, or in words why there is none."""
    travel, safe = np.array(turn.travel), np.array(turn.safe_rack)
    ride = len(travel) // 2
    sign = rack_sign(front_end, assembly.side)
    angles = front_end.arm_angles(assembly, travel)
    # At each travel the pad must be met before that travel's own limit, at ride height before the rack's stop too.
    last = np.where(np.isfinite(safe), safe, turn.rack)
    last[ride] = min(last[ride], front_end.rack_stop - front_end.stop_room)
    limit_pose = pose_corner(assembly.corner, angles, sign * last)
    if not limit_pose.reachable.all():
        return "the stop would be met only after over-centre"
    extension = front_end.changes.arm_extension
    place = moved_with_arm(front_end.car, assembly.side, extension, np.array(mount.mount))
    normal = unit(np.array(mount.normal))
    grid = np.linspace(max(0.0, turn.rack - SCAN_BEFORE), max(last.max(), front_end.rack_stop), GRID)
    pose = pose_corner(assembly.corner, angles, sign * grid[:, None])
    boss = np.array(mount.contact)
    met, at_limit = (in_arm_frame(p, p.point(boss)) for p in (pose, limit_pose))
    before = pose_corner(assembly.corner, angles[ride], np.array(sign * (last[ride] - 0.1)))
    motion = at_limit[ride] - in_arm_frame(before, before.point(boss))
    direction = -unit(motion - normal * (motion @ normal))
    due = np.isfinite(safe)
    due[ride] = True
    reach = float(((at_limit - place) @ direction)[due].max())
    across = np.cross(normal, direction)
    sideways = float((at_limit[ride] - place) @ across)
    if abs(sideways) > SIDEWAYS:
        return (
            f"the contact point passes {abs(sideways):.0f} mm beside the measured place, more than the "
            f"{SIDEWAYS:.0f} mm that a bracket can be moved"
        )
    distance = np.where(pose.reachable, (met - place) @ direction - reach, np.nan)
    if not np.nanmin(distance[0]) > 0:
        return f"at some suspension travel the pad would be met over {SCAN_BEFORE:.0f} mm of rack before the limit"
    racks, heights, locks = (np.empty(len(travel)) for _ in range(3))
    steer, height = np.abs(steer_angle(pose)), (met - place) @ normal
    for column in range(len(travel)):
        racks[column], heights[column], locks[column] = _meeting(
            grid, distance[:, column], height[:, column], steer[:, column]
        )
    rods = np.stack([in_arm_frame(pose, pose.pickup), in_arm_frame(pose, pose.inner_joint)], axis=-2)
    met_at = np.where(np.isfinite(racks), racks, grid[-1])
    turning = pose.reachable & (grid[:, None] <= met_at)
    return StopContact(
        reference=place + sideways * across,
        direction=direction,
        normal=normal,
        reach=reach,
        height=(float(heights.min()) + float(heights.max())) / 2,
        height_spread=float(heights.max() - heights.min()),
        travel=travel,
        locks=locks,
        at_ride=float(locks[ride]),
        rack_stop_first=tuple(
            float(t) for t, r in zip(travel, racks, strict=True) if not r <= front_end.rack_stop
        ),
        tie_rod=rods[turning],
    )


def _meeting(rack: Array, distance: Array, height: Array, steer: Array) -> tuple[float, float, float]:
    """Rack displacement (infinite when the pad is not met), boss height and steer angle where the pad is met."""
    inside = np.flatnonzero(np.nan_to_num(distance, nan=1.0) <= 0)
    if not inside.size:
        last = int(np.flatnonzero(np.isfinite(distance))[-1])
        return float("inf"), float(height[last]), float(steer[last])
    after = int(inside[0])
    share = distance[after - 1] / (distance[after - 1] - distance[after])
    rack_met, height_met, steer_met = (
        float(values[after - 1] + share * (values[after] - values[after - 1]))
        for values in (rack, height, steer)
    )
    return rack_met, height_met, steer_met


def _tuple(vector: Array) -> Vector:
    x, y, z = (round(float(value), 6) + 0.0 for value in vector)
    return (x, y, z)
