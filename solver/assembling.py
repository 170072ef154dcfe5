"""From measured points and changes to corners that stand on the ground: one corner, or a stack of n at once.

A stack serves the search for a design and the bands of uncertainty, which try many variants of one car. What holds
for one corner as a number (or a vector) then is an array (n,) (or (n, 3)).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from solver.car import Car, Changes, CornerPoints, Side
from solver.corner import Corner, Pose, branch_at, over_centre_angle, pose_corner, pose_with_steer
from solver.errors import GeometryError
from solver.measures import contact_centre, steer_angle
from solver.roots import bracketed_root, secant_root
from solver.vectors import Array, Mask, cross, length, unit

ARM_SWING = math.radians(40)
"""No strut front end swings its arm further than this from the measured ride height."""

Points = Mapping[str, Array]
"""The points of `solver.car.CornerPoints` by name, each (3,) or (n, 3), with toe and camber in radians.

A ``rack_direction`` among them goes before the car's."""


@dataclass(frozen=True, eq=False)
class Shifts:
    """What changes one corner's geometry, as arrays: numbers or (n,), vectors (3,) or (n, 3) in car axes; mm.

    spacer, extension, drop: rack spacer, arm extension along the link, ball-joint drop
    pickup, rack, top: shifts of the tie-rod pickup, of the rack and of the strut top
    inset: how far the wheel's centre plane moves inwards, by the offset of another wheel
    """

    spacer: Array
    extension: Array
    drop: Array
    pickup: Array
    rack: Array
    top: Array
    inset: float


@dataclass(frozen=True, eq=False)
class Standing:
    """Corners at ride height, rack centred; arrays (n,), with n = 1 for a single corner.

    ride_angle: of the arm, rad; toe: that results, rad, positive in
    over_centre: angle between steering arm and tie rod, rad
    sound: where the corner can be assembled and stands on the ground
    """

    corner: Corner
    ride_angle: Array
    toe: Array
    over_centre: Array
    sound: Mask


def arrays_of(points: CornerPoints) -> dict[str, Array]:
    """Measured points as arrays."""
    return {name: np.array(value, float) for name, value in vars(points).items()}


def shifts_of(changes: Changes, side: Side, inset: float) -> Shifts:
    """The changes of one car on one side."""
    return Shifts(
        spacer=np.array(changes.rack_spacer),
        extension=np.array(changes.arm_extension),
        drop=np.array(changes.ball_joint_drop),
        pickup=np.array(changes.pickup_move.on(side)),
        rack=np.array(changes.rack_shift.on(side)),
        top=np.array(changes.strut_top_shift.on(side)),
        inset=inset,
    )


def link_arrays(car: Car, points: Points) -> tuple[Array, Array]:
    """Inner end of the link that will be cut, and its unit vector outwards to the ball joint, as measured."""
    front, rear = points["arm_front_pivot"], points["arm_rear_pivot"]
    starts = {"front pivot": front, "rear pivot": rear, "between pivots": (front + rear) / 2}
    start = starts[car.arm.link_start]
    return start, unit(points["ball_joint"] - start)


def changed_corner(car: Car, points: Points, side: Side, shifts: Shifts, count: int | None = None) -> Corner:
    """The corner after the shifts, or with a ``count`` a stack of as many.

    Its tie rod is a first length and its branch a guess until it stands.
    """
    sign = 1 if side == "left" else -1
    front, rear = points["arm_front_pivot"], points["arm_rear_pivot"]
    ball, top, damper = points["ball_joint"], points["strut_top"], points["damper_point"]
    axis = unit(front - rear)
    # A positive arm angle lifts the ball joint.
    axis = axis * np.sign(cross(axis, ball - rear)[..., 2:])
    spin = _spin_axis(sign, points["toe"], points["camber"])
    rack = points.get("rack_direction", np.array(car.rack.direction))
    inner = points["inner_joint"] + shifts.rack + sign * shifts.spacer[..., None] * rack
    drop = shifts.drop[..., None] * np.array([0.0, 0.0, -1.0])
    pickup = points["pickup"] + shifts.pickup
    arrays = {
        "pivot": rear,
        "pivot_axis": axis,
        "arm_ball": ball + shifts.extension[..., None] * link_arrays(car, points)[1],
        "strut_top": top + shifts.top,
        "inner_joint": inner,
        "rack_direction": rack,
        "knuckle_ball": ball + drop,
        "damper_point": damper,
        "damper_direction": unit(top - damper),
        "pickup": pickup,
        "wheel_centre": points["wheel_centre"] - sign * shifts.inset * spin,
        "spin_axis": spin,
    }
    shape = (3,) if count is None else (count, 3)
    arrays = {name: np.array(np.broadcast_to(array, shape)) for name, array in arrays.items()}
    rod = length(arrays["pickup"] - arrays["inner_joint"])
    return Corner(side=sign, tie_rod=rod, branch=np.ones(shape[:-1]), **arrays)


def check_points(side: Side, points: Points, corner: Corner) -> None:
    """Whether the points of a single corner are apart as they must be.

    Raises:
        GeometryError: names the points.
    """
    front, rear, ball = points["arm_front_pivot"], points["arm_rear_pivot"], points["ball_joint"]
    _apart(side, "arm front pivot", front, "arm rear pivot", rear, 20.0)
    lift = float(cross(unit(front - rear), ball - rear)[2])
    if abs(lift) < 50.0:
        raise GeometryError(
            f"{side} corner: the ball joint lies within {abs(lift):.0f} mm of the arm's pivot axis, so the arm "
            "can't lift it; check both arm pivots and the ball joint"
        )
    _apart(side, "strut top", points["strut_top"], "damper point", points["damper_point"], 50.0)
    _apart(side, "strut top", points["strut_top"], "ball joint", ball, 150.0)
    _apart(side, "pickup", corner.pickup, "ball joint", ball, 30.0)
    _apart(side, "pickup", corner.pickup, "inner tie-rod joint", corner.inner_joint, 60.0)


def stand(
    corner: Corner,
    toe: Array,
    loaded_radius: float,
    ground: Array,
    tie_rod: float | Array | None = None,
    tolerance: float = 1e-12,
) -> Standing:
    """Corners at ride height, with the tie rod that gives them ``toe``, or with a tie rod of given length."""
    steer = -corner.side * toe
    count = len(corner.pickup) if corner.pickup.ndim > 1 else 1

    def height(angle: Array) -> Array:
        pose, _ = pose_with_steer(corner, angle, steer)
        return contact_centre(pose, loaded_radius)[..., 2] - ground

    angle = secant_root(height, np.zeros(count), np.full(count, 0.01), tolerance)
    astray = ~(np.isfinite(angle) & (np.abs(angle) < ARM_SWING))
    if astray.any():
        angle = np.where(astray, _scanned_root(height, count), angle)
    pose, rod = pose_with_steer(corner, angle, steer)
    single = corner.pickup.ndim == 1
    branch = branch_at(pose)
    corner = replace(
        corner,
        tie_rod=rod[0] if single else rod,
        branch=branch[0] if single else branch,
    )
    toe = np.broadcast_to(toe, angle.shape)
    if tie_rod is not None:
        corner, angle, pose = _with_rod(corner, tie_rod, angle, loaded_radius, ground)
        toe = -corner.side * steer_angle(pose)
    return Standing(corner, angle, toe, over_centre_angle(pose), pose.reachable & np.isfinite(angle))


def arm_angles(
    corner: Corner,
    ride_angle: Array,
    loaded_radius: float,
    ground: Array,
    travel: Array,
    tolerance: float = 1e-12,
) -> Array:
    """Arm angles in radians for wheel travels in mm (bump positive), with the rack centred.

    ``ride_angle``, ``ground`` and ``travel`` are broadcast together; for a stack their first length is n or 1. NaN
    where the arm or the strut can't travel that far.
    """

    def excess(angle: Array) -> Array:
        pose = pose_corner(corner, angle, np.zeros_like(angle))
        return contact_centre(pose, loaded_radius)[..., 2] - ground - travel

    lever = cross(corner.pivot_axis, corner.arm_ball - corner.pivot)
    lift = float(np.mean(length(lever)))
    start = np.broadcast_to(ride_angle, np.broadcast_shapes(np.shape(ride_angle), travel.shape))
    # A second guess a millimetre away at least keeps the first chord's slope out of rounding.
    guess = np.where(np.abs(travel) < 1.0, 1.0, travel) / lift
    angles = secant_root(excess, start, start + guess, tolerance)
    return np.where(np.abs(angles) < 2 * ARM_SWING, angles, np.nan)


def _scanned_root(height: Callable[[Array], Array], count: int) -> Array:
    """The arm angles nearest to the measured ones at which the tyre comes down to the ground; NaN where none does."""
    swing = np.linspace(-ARM_SWING, ARM_SWING, 33)
    heights = np.stack([height(np.full(count, angle)) for angle in swing])
    with np.errstate(invalid="ignore"):
        rising = (heights[:-1] <= 0) & (heights[1:] > 0)
    distance = np.where(rising, np.abs(swing[:-1, None]), np.inf)
    nearest = distance.argmin(axis=0)
    found = bracketed_root(height, swing[nearest], swing[nearest + 1])
    return np.where(rising.any(axis=0), found, np.nan)


def _with_rod(
    corner: Corner, rod: float | Array, ride: Array, loaded_radius: float, ground: Array
) -> tuple[Corner, Array, Pose]:
    """The corner with a tie rod of given length: toe is what comes out, ride height is found again."""
    corner = replace(corner, tie_rod=np.full(np.shape(corner.tie_rod), rod))

    def height(angle: Array) -> Array:
        pose = pose_corner(corner, angle, np.zeros_like(angle))
        return contact_centre(pose, loaded_radius)[..., 2] - ground

    angle = bracketed_root(height, ride - 0.05, ride + 0.05)
    return corner, angle, pose_corner(corner, angle, np.zeros_like(angle))


def _spin_axis(side: int, toe: Array, camber: Array) -> Array:
    """Unit vector of the wheel's axis, pointing left, from toe (positive in) and camber."""
    steer, tilt = -side * toe, -side * camber
    # Of n cars one of the two may be the same in all.
    steer, tilt = np.broadcast_arrays(steer, tilt)
    return np.stack([-np.sin(steer) * np.cos(tilt), np.cos(steer) * np.cos(tilt), np.sin(tilt)], axis=-1)


def _apart(side: Side, a: str, at_a: Array, b: str, at_b: Array, limit: float) -> None:
    distance = float(length(at_a - at_b))
    if not distance >= limit:
        raise GeometryError(
            f"{side} corner: {a} and {b} are {distance:.1f} mm apart, at least {limit:.0f} mm are expected; "
            "measure both again"
        )
