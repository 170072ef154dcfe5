"""Both corners on one rack: a measured car with changes applied, assembled and standing on its tyres."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from solver.assembling import (
    arm_angles,
    arrays_of,
    changed_corner,
    check_points,
    link_arrays,
    shifts_of,
    stand,
)
from solver.car import Car, Changes, CornerPoints, Side, Wheel
from solver.corner import Corner, Pose, pose_corner
from solver.errors import GeometryError
from solver.measures import contact_centre, steer_angle
from solver.tyre import Tyre, tyre_of
from solver.vectors import Array, length

STOP_BEFORE_RACK = 1.0
"""Where a stop bracket is fitted it is met this much rack travel, mm, before the rack's own stop, so that the
bracket takes the hit."""


@dataclass(frozen=True, eq=False)
class Assembly:
    """One corner of the assembled front end.

    ride_angle: arm angle at ride height, rad
    toe: static toe that results, rad, positive in
    """

    side: Side
    corner: Corner
    ride_angle: float
    toe: float


@dataclass(frozen=True, eq=False)
class FrontEnd:
    """A car with changes applied, at ride height; mm and radians.

    ground: height of the ground in the body's axes: 0 as measured
    rack_stop: rack displacement at its stop, spacer included
    """

    car: Car
    changes: Changes
    tyre: Tyre
    left: Assembly
    right: Assembly
    ground: float
    rack_stop: float
    # Arm angles by side and travels: every sweep of one front end asks for the same few.
    _arm_angles: dict[tuple[Side, bytes], Array] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @cached_property
    def left_sign(self) -> int:
        """Sign of the rack displacement that turns the wheels to the left."""
        rack = np.array([-5.0, 5.0])
        right, left = steer_angle(pose_corner(self.left.corner, np.full(2, self.left.ride_angle), rack))
        return 1 if left > right else -1

    @property
    def stop_room(self) -> float:
        """Rack travel in mm kept free before the rack's stop for a stop bracket to be met first."""
        return STOP_BEFORE_RACK if self.car.stop_mounts else 0.0

    @property
    def track(self) -> float:
        """Distance between the contact centres at ride height, rack centred; mm."""
        left, right = (contact_centre(pose, self.loaded_radius) for pose in self.at_ride_height(np.zeros(1)))
        return float(left[0, 1] - right[0, 1])

    @property
    def loaded_radius(self) -> float:
        """From wheel centre to ground, mm."""
        return _loaded_radius(self.tyre)

    @property
    def sides(self) -> tuple[Assembly, Assembly]:
        """Left and right."""
        return (self.left, self.right)

    def arm_angles(self, assembly: Assembly, travel: Array) -> Array:
        """Arm angles in radians for wheel travels in mm (bump positive), with the rack centred.

        Raises:
            GeometryError: a travel is out of the arm's or the strut's reach.
        """
        travel = np.asarray(travel, float)
        known = self._arm_angles.get((assembly.side, travel.tobytes()))
        if known is not None:
            return known

        angles = arm_angles(
            assembly.corner, np.array(assembly.ride_angle), self.loaded_radius, np.array(self.ground), travel
        )
        if not np.all(np.isfinite(angles)):
            raise GeometryError(
                f"{assembly.side} corner: the suspension can't travel from {-travel.min():.0f} mm droop to "
                f"{travel.max():.0f} mm bump; check bump and droop travel and the strut's points"
            )
        self._arm_angles[assembly.side, travel.tobytes()] = angles
        return angles

    def poses(self, assembly: Assembly, rack: Array, travel: Array) -> Pose:
        """Poses of one corner over rack displacements (..., n) × wheel travels (m,): shape (..., n, m)."""
        angles = self.arm_angles(assembly, np.asarray(travel, float))
        return pose_corner(assembly.corner, angles, np.asarray(rack, float)[..., None])

    def inner_wheel(self, turn: Side, rack: Array) -> Pose:
        """Poses of the inner wheel of a turn at ride height for displacements from the centre, mm, positive."""
        assembly = self.left if turn == "left" else self.right
        sign = self.left_sign if turn == "left" else -self.left_sign
        rack = sign * np.asarray(rack, float)
        return pose_corner(assembly.corner, np.full(rack.shape, assembly.ride_angle), rack)

    def at_ride_height(self, rack: Array) -> tuple[Pose, Pose]:
        """Left and right poses at ride height for rack displacements (n,)."""
        rack = np.asarray(rack, float)
        left, right = (
            pose_corner(a.corner, np.full(rack.shape, a.ride_angle), rack) for a in (self.left, self.right)
        )
        return left, right

    def travels(self, count: int) -> Array:
        """Wheel travels from full droop to full bump, mm; 0 is among them when ``count`` is odd and over 2."""
        half = count // 2
        droop = np.linspace(-self.car.droop_travel, 0, half + 1)[:-1]
        return np.concatenate([droop, np.linspace(0, self.car.bump_travel, half + 1)])


def assemble(car: Car, changes: Changes) -> FrontEnd:
    """The front end after the changes, at ride height, toe restored by the tie rod unless its length is given.

    The body keeps its height over the wheel centres as the springs hold it, less the ride-height drop; a
    larger tyre therefore lifts it by the difference of the loaded radii.

    Raises:
        GeometryError: the points can't be assembled.
        TyreSizeError: from `solver.tyre`.
    """
    measured = tyre_of(car.wheel)
    heights = [_standing_radius(points) for points in (car.left, car.right)]
    loaded = measured.loaded_radius or sum(heights) / 2
    measured = replace(measured, loaded_radius=loaded)
    if not 0.35 * measured.outside_diameter < loaded <= 0.5 * measured.outside_diameter + 1.0:
        raise GeometryError(
            f"the wheel centre stands {loaded:.1f} mm over the ground, but a {measured.size} tyre has a radius of "
            f"{measured.outside_diameter / 2:.1f} mm; measure the wheel centre's height or the tyre again"
        )
    wheel = changes.wheel or car.wheel
    tyre = _fitted_tyre(measured, wheel) if changes.wheel else measured
    ground = changes.ride_height_drop - (_loaded_radius(tyre) - loaded)
    inset = wheel.offset - car.wheel.offset
    left = _assemble_corner(car, car.left, "left", changes, tyre, ground, inset)
    right = _assemble_corner(car, car.right, "right", changes, tyre, ground, inset)
    stop = car.rack.travel_each_side + changes.rack_spacer
    return FrontEnd(car, changes, tyre, left, right, ground, stop)


def link_points(car: Car, points: CornerPoints) -> tuple[Array, Array]:
    """Inner end of the link that will be cut, and its unit vector outwards to the ball joint, as measured."""
    return link_arrays(car, arrays_of(points))


@dataclass(frozen=True, eq=False)
class Link:
    """The link of the lower arm that is cut, as measured; mm.

    start, along: its inner end and the unit vector outwards to the ball joint; length: between them
    cut: from the ball joint to the cut; leg: to where the arm's other leg joins, None where it has none
    leg_pivot: the other leg's pivot
    """

    start: Array
    along: Array
    length: float
    cut: float
    leg: float | None
    leg_pivot: Array

    def leg_length(self, extension: float) -> float | None:
        """Length of the other leg, from its pivot to where it joins the link, with an arm extension; mm."""
        if self.leg is None:
            return None
        joint = self.start + (self.length + extension - self.leg) * self.along
        return float(length(joint - self.leg_pivot))


def link_of(car: Car, side: Side) -> Link:
    """The link of one side's arm; what was not measured is taken as `solver.car.Arm` says."""
    points = points_of(car, side)
    start, along = link_points(car, points)
    whole = float(length(np.array(points.ball_joint) - start))
    arm = car.arm
    other = points.arm_rear_pivot if arm.link_start == "front pivot" else points.arm_front_pivot
    leg = None
    if arm.link_start != "between pivots":
        leg = arm.brace_offset if arm.brace_offset is not None else whole / 4
    cut = arm.cut_distance if arm.cut_distance is not None else whole / 2
    return Link(start, along, whole, cut, leg, np.array(other))


def moved_with_arm(car: Car, side: Side, extension: float, point: Array) -> Array:
    """A point of the arm as measured, moved outwards with the arm's outer half where it lies outside of the cut."""
    link = link_of(car, side)
    from_ball = link.length - float((point - link.start) @ link.along)
    return np.asarray(point + (extension if from_ball < link.cut else 0.0) * link.along)


def points_of(car: Car, side: Side) -> CornerPoints:
    """The measured points of one side."""
    return car.left if side == "left" else car.right


def _fitted_tyre(measured: Tyre, wheel: Wheel) -> Tyre:
    """The new tyre; unless its loaded radius is given it is pressed in as far as the measured one."""
    tyre = tyre_of(wheel)
    if tyre.loaded_radius is not None:
        return tyre
    pressed = measured.outside_diameter / 2 - _loaded_radius(measured)
    return replace(tyre, loaded_radius=tyre.outside_diameter / 2 - pressed)


def _loaded_radius(tyre: Tyre) -> float:
    if tyre.loaded_radius is None:
        raise GeometryError(f"the loaded radius of {tyre.size} is not known")
    return tyre.loaded_radius


def _standing_radius(points: CornerPoints) -> float:
    """Radius of a thin disc about the wheel centre that touches the ground, z = 0."""
    return points.wheel_centre[2] / math.cos(points.camber)


def _assemble_corner(
    car: Car, points: CornerPoints, side: Side, changes: Changes, tyre: Tyre, ground: float, inset: float
) -> Assembly:
    arrays = arrays_of(points)
    corner = changed_corner(car, arrays, side, shifts_of(changes, side, inset))
    check_points(side, arrays, corner)
    rod = changes.tie_rod_length
    standing = stand(corner, arrays["toe"], _loaded_radius(tyre), np.array(ground), rod)
    if not np.isfinite(standing.ride_angle[0]) and rod is None:
        raise GeometryError(
            f"{side} corner: no arm angle brings the tyre to the ground; check strut top, damper point, "
            "ball joint and wheel centre, and the ride-height drop"
        )
    if rod is not None and not standing.sound[0]:
        raise GeometryError(
            f"{side} corner: a tie rod of {rod:.1f} mm can't be fitted with the rack centred; "
            "leave tie_rod_length out to have its length solved"
        )
    if standing.over_centre[0] < math.radians(2):
        raise GeometryError(
            f"{side} corner: steering arm and tie rod lie in one line with the wheel straight ahead; "
            "check pickup, ball joint and inner tie-rod joint"
        )
    return Assembly(side, standing.corner, float(standing.ride_angle[0]), float(standing.toe[0]))
