"""Every measure of a front end over steering × suspension travel, each defined once, in the field that holds it.

Angles in radians, lengths in mm, axes of ISO 8855. Arrays have the shape (2, n, m) of `solver.limits.Sweep`: both
turns, left first; n rack displacements from straight ahead to the end of the turn; m wheel travels. Wheel travel
is counted the same way throughout: by the height of the contact centre over the ground with the rack centred,
which is to say by the arm, since that is what bump and droop stops limit.

A pose that can't be reached is False in a mask, and its numbers are NaN there and nowhere else. Single numbers
made from several poses look at the reachable ones only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from solver.car import Side
from solver.corner import Pose, over_centre_angle, over_centre_rack
from solver.errors import GeometryError
from solver.front_end import Assembly, FrontEnd, points_of
from solver.joints import Articulation, articulation
from solver.measures import (
    axis_on_ground,
    camber_angle,
    caster_angle,
    contact_centre,
    ideal_outer_angle,
    inclination_angle,
    percent_ackermann,
    scrub_radius_and_trail,
    steer_angle,
)
from solver.rates import Motion, camber_rate, contact_rate, moved_by_arm, moved_by_rack, steer_rate
from solver.sweep import TURNS, Sweep, rack_sign, sweep
from solver.turning import kerb_circle, wall_circle
from solver.vectors import Array, Mask

RACK_POINTS = 9
TRAVEL_POINTS = 9
TURNED = math.radians(1)
"""Steer angle of the inner wheel below which a turn's measures say nothing: percent Ackermann divides by what is
left there of the difference of two angles, and static toe alone decides it."""


@dataclass(frozen=True)
class WheelMeasures:
    """One wheel over the sweep; arrays (2, n, m).

    reachable: where the pose exists
    steer, camber, caster, inclination: as in `solver.measures`
    toe: −steer on the left and steer on the right, so that it is positive when the wheel points inwards in front
    scrub_radius, trail: at the height of the contact centre, in the wheel's own frame
    bump_steer: change of toe with wheel travel, the rack held; rad per mm, exact slope
    camber_gain: change of camber with wheel travel, the rack held; rad per mm, exact slope. Negative, as on most
        strut front ends near ride height, when the top leans in as the wheel goes up.
    roll_centre: as in `roll_centre_height`. For a car whose sides are alike this is the roll centre; where they
        are not, each wheel has its own height and the car rolls about neither.
    contact_height: of the contact centre, in the body's axes
    over_centre: angle between steering arm and tie rod short of a line, square to the steering axis
    joints: how far tie-rod ends and ball joint are bent
    """

    side: Side
    reachable: Mask
    steer: Array
    camber: Array
    caster: Array
    inclination: Array
    scrub_radius: Array
    trail: Array
    bump_steer: Array
    camber_gain: Array
    roll_centre: Array
    contact_height: Array
    over_centre: Array
    joints: Articulation

    @property
    def toe(self) -> Array:
        """Toe of this wheel, positive in; (2, n, m), rad."""
        return -self.steer if self.side == "left" else self.steer


@dataclass(frozen=True)
class SweepMeasures:
    """A front end over rack × travel: both wheels, and what they do together; arrays (2, n, m) but for the axes.

    rack: (2, n) displacements from the centre in each turn, positive
    travel: (m,) wheel travels, bump positive; 0 is among them
    reachable: where both wheels' poses exist
    inner, outer: steer angles of inner and outer wheel, positive into the turn
    turned: where both are reachable and the inner wheel is steered by a degree or more, the mask of the next five
    ideal_outer: of the outer wheel without slip: cot(ideal outer) = cot(inner) + w / wheelbase, with w the distance
        between the steering axes at the ground, straight ahead, at the same travel
    percent_ackermann: 100 (inner − outer) / (inner − ideal outer)
    outer_slip: angle between the outer wheel's heading and the ideal one, outer − ideal outer: positive where it is
        steered further than the ideal. All of the slip is put down to the outer wheel; in truth both share it.
    kerb_to_kerb: diameter that the outer front tyre's outer edge runs on
    wall_to_wall: diameter of the outermost point that sweeps round, as in `solver.turning.wall_circle`
    heave, roll: jacking. How far the contact centres have moved down against the body since straight ahead at the
        same travel, so how far steering lifts the car: heave is the mean of both wheels, roll the inner wheel's less
        the outer's. Both arms are held, whatever the springs do about it.
    steering_ratio: degrees of steering wheel per degree of the two road wheels' mean, the exact slope at each pose
    overall_ratio: (m,) the same from the end of one turn to that of the other; NaN where one can't be reached or
        the wheels don't turn at all
    turns_lock_to_lock: of the steering wheel, from the end of one turn to that of the other
    """

    front_end: FrontEnd
    rack: Array
    travel: Array
    left: WheelMeasures
    right: WheelMeasures
    reachable: Mask
    inner: Array
    outer: Array
    turned: Mask
    ideal_outer: Array
    percent_ackermann: Array
    outer_slip: Array
    kerb_to_kerb: Array
    wall_to_wall: Array
    heave: Array
    roll: Array
    steering_ratio: Array
    overall_ratio: Array
    turns_lock_to_lock: float

    def wheel(self, side: Side) -> WheelMeasures:
        """The measures of one side's wheel."""
        return self.left if side == "left" else self.right

    def inner_wheel(self, turn: Side) -> WheelMeasures:
        """The measures of the wheel on the side that the car turns to."""
        return self.wheel(turn)

    def outer_wheel(self, turn: Side) -> WheelMeasures:
        """The measures of the other wheel."""
        return self.right if turn == "left" else self.left

    def over_centre_rack(self, side: Side) -> Array:
        """Rack travel left to over-centre for the wheel of one side, mm, (2, n, m).

        In the direction of the turn, and from straight ahead in the direction in which less is left. Infinite where
        the linkage never goes over centre.
        """
        assembly = self.front_end.left if side == "left" else self.front_end.right
        angles = self.front_end.arm_angles(assembly, self.travel)
        below, above = np.transpose([over_centre_rack(assembly.corner, float(angle)) for angle in angles])
        signs = np.array([rack_sign(self.front_end, turn) for turn in TURNS])[:, None, None]
        rack = signs * self.rack[..., None]
        onwards = np.where(signs > 0, above - rack, rack - below)
        left = np.where(rack == 0, np.minimum(above, -below), onwards)
        return np.where(self.wheel(side).reachable, left, np.nan)

    @property
    def at_ride_height(self) -> int:
        """Index of ride height among the travels."""
        return int(np.argmin(np.abs(self.travel)))


def measure_sweep(
    front_end: FrontEnd,
    racks: Mapping[Side, float],
    points: int = RACK_POINTS,
    travels: int = TRAVEL_POINTS,
    body_corner: tuple[float, float] | None = None,
    studs: Mapping[Side, Array] | None = None,
) -> SweepMeasures:
    """Everything over the sweep from straight ahead to a rack displacement in mm for each turn.

    points, travels: of the grid; an odd number of travels, from full droop to full bump, has ride height among them
    body_corner: x and y of the left front corner of the body for the circle between walls, mm
    studs: direction of each outer tie-rod stud as measured, (3,), where it is known

    Raises:
        GeometryError: a travel is out of the suspension's reach.
        ValueError: an even number of travels.
    """
    if travels % 2 == 0 or travels < 3:
        raise ValueError(
            f"{travels} wheel travels don't have ride height among them; expected an odd number from 3"
        )
    swept = sweep(front_end, dict(racks), points, travels)
    radius = front_end.loaded_radius
    wheels: dict[Side, WheelMeasures] = {}
    by_rack: dict[Side, Array] = {}
    for assembly in front_end.sides:
        wheels[assembly.side] = _wheel(front_end, assembly, swept, radius, (studs or {}).get(assembly.side))
        by_rack[assembly.side] = steer_rate(moved_by_rack(swept.pose(assembly.side)))
    left, right = wheels["left"], wheels["right"]
    sign = np.array([1.0, -1.0])[:, None, None]
    reachable = left.reachable & right.reachable
    inner, outer = (
        np.where(reachable, sign * _of_turn(a, b), np.nan)
        for a, b in ((left.steer, right.steer), (right.steer, left.steer))
    )
    turned = reachable & (np.nan_to_num(inner) >= TURNED)
    ideal = ideal_outer_angle(
        np.where(turned, inner, np.nan), _axis_distance(swept, radius), front_end.car.wheelbase
    )
    lift = {side: wheel.contact_height[:, :1] - wheel.contact_height for side, wheel in wheels.items()}
    mean_rate = front_end.left_sign * (by_rack["left"] + by_rack["right"]) / 2
    per_turn = 2 * np.pi / front_end.car.rack.travel_per_turn
    ends = (left.steer + right.steer)[:, -1] / 2
    both = float(swept.rack[:, -1].sum())
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = per_turn / mean_rate
        overall_ratio = both * per_turn / (ends[0] - ends[1])
    kerb, wall = _circles(front_end, swept, radius, body_corner)
    return SweepMeasures(
        front_end=front_end,
        rack=swept.rack,
        travel=swept.travel,
        left=left,
        right=right,
        reachable=reachable,
        inner=inner,
        outer=outer,
        turned=turned,
        ideal_outer=ideal,
        percent_ackermann=percent_ackermann(inner, outer, ideal),
        outer_slip=outer - ideal,
        kerb_to_kerb=np.where(turned, kerb, np.nan),
        wall_to_wall=np.where(turned, wall, np.nan),
        heave=(lift["left"] + lift["right"]) / 2,
        roll=sign * (lift["left"] - lift["right"]),
        steering_ratio=ratio,
        overall_ratio=overall_ratio,
        turns_lock_to_lock=turns_of(front_end, both),
    )


def roll_centre_height(by_arm: Motion, loaded_radius: float) -> Array:
    """Height over the ground, mm, at which the normal to the contact centre's path in front view meets y = 0.

    The path is the one that the moving arm gives it, the rack held. Where it has the slope dy/dz at a distance y to
    the side, its normal falls by dy for dz, and meets the centre plane y·dy/dz over the contact centre.
    """
    path = contact_rate(by_arm, loaded_radius)
    aside = contact_centre(by_arm.pose, loaded_radius)[..., 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        height: Array = aside * path[..., 1] / path[..., 2]
    return height


def turns_of(front_end: FrontEnd, rack: float) -> float:
    """Turns of the steering wheel for a rack displacement in mm."""
    return rack / front_end.car.rack.travel_per_turn


def lowered(front_end: FrontEnd, drop: float) -> FrontEnd:
    """The same front end with its body ``drop`` mm nearer to the ground, nothing set anew: toe is what comes out.

    That is what a passenger, a full tank or other springs do. `solver.front_end.assemble` with
    ``Changes.ride_height_drop`` is the car whose toe was set again after it. The bump stops stay where they are, so
    a lowered car has that much less bump travel and that much more droop.

    Raises:
        GeometryError: the suspension can't travel that far.
    """
    car = front_end.car
    if not -car.droop_travel < drop < car.bump_travel:
        raise GeometryError(
            f"a ride-height drop of {drop:.0f} mm leaves the suspension's travel of {car.bump_travel:.0f} mm bump and "
            f"{car.droop_travel:.0f} mm droop; expected a drop between the two, a lift being negative"
        )
    travel = np.array([drop])
    left, right = (
        replace(a, ride_angle=float(front_end.arm_angles(a, travel)[0]), toe=_toe(front_end, a, travel))
        for a in front_end.sides
    )
    return replace(
        front_end,
        car=replace(car, bump_travel=car.bump_travel - drop, droop_travel=car.droop_travel + drop),
        changes=replace(front_end.changes, ride_height_drop=front_end.changes.ride_height_drop + drop),
        left=left,
        right=right,
        ground=front_end.ground + drop,
    )


def extremes(values: Array, mask: Mask) -> tuple[float, float] | None:
    """Least and greatest of the values where the mask is True; None where it is nowhere."""
    kept = values[mask]
    return (float(kept.min()), float(kept.max())) if kept.size else None


def _toe(front_end: FrontEnd, assembly: Assembly, travel: Array) -> float:
    pose = front_end.poses(assembly, np.zeros(1), travel)
    return float(-assembly.corner.side * steer_angle(pose)[0, 0])


def _of_turn(in_left: Array, in_right: Array) -> Array:
    """The first in the left turn, the second in the right one; (2, n, m)."""
    return np.stack([in_left[0], in_right[1]])


def _wheel(
    front_end: FrontEnd, assembly: Assembly, swept: Sweep, radius: float, stud: Array | None
) -> WheelMeasures:
    pose = swept.pose(assembly.side)
    side = assembly.corner.side
    contact = contact_centre(pose, radius)
    scrub, trail = scrub_radius_and_trail(pose, radius)
    by_arm = moved_by_arm(pose)
    # Travel is counted with the rack centred, which both turns' first displacement is.
    rise = contact_rate(by_arm, radius)[:1, :1, :, 2]
    return WheelMeasures(
        side=assembly.side,
        reachable=pose.reachable,
        steer=steer_angle(pose),
        camber=camber_angle(pose),
        caster=np.where(pose.reachable, caster_angle(pose), np.nan),
        inclination=np.where(pose.reachable, inclination_angle(pose), np.nan),
        scrub_radius=scrub,
        trail=trail,
        bump_steer=-side * steer_rate(by_arm) / rise,
        camber_gain=camber_rate(by_arm) / rise,
        roll_centre=roll_centre_height(by_arm, radius),
        contact_height=contact[..., 2],
        over_centre=over_centre_angle(pose),
        joints=articulation(points_of(front_end.car, assembly.side), pose, stud),
    )


def _axis_distance(swept: Sweep, radius: float) -> Array:
    """Distance between the steering axes at the ground, straight ahead, for each travel; (m,)."""
    left, right = (
        axis_on_ground(pose, contact_centre(pose, radius)[..., 2])[0, 0, :, 1]
        for pose in (swept.left, swept.right)
    )
    return np.asarray(left - right)


def _circles(
    front_end: FrontEnd, swept: Sweep, radius: float, body_corner: tuple[float, float] | None
) -> tuple[Array, Array]:
    wheelbase, tyre = front_end.car.wheelbase, front_end.tyre
    outer = [_turn_of(pose, turn) for turn, pose in enumerate((swept.right, swept.left))]
    kerb = np.stack([kerb_circle(pose, tyre, radius, wheelbase) for pose in outer])
    return kerb, np.stack([wall_circle(pose, tyre, radius, wheelbase, body_corner) for pose in outer])


def _turn_of(pose: Pose, turn: int) -> Pose:
    """The poses of one turn alone, shape (n, m)."""
    arrays = {name: value[turn] for name, value in vars(pose).items() if isinstance(value, np.ndarray)}
    return replace(pose, **arrays)
