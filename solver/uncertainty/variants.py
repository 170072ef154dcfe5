"""Cars that the measurements allow: from errors drawn to a stack of front ends and the bars near their wheels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.assembling import Points, Shifts, arrays_of, changed_corner, link_arrays, shifts_of, stand
from solver.car import Car, Side
from solver.clearance import ARM_ROOT_SHARE
from solver.front_end import FrontEnd, link_of, points_of
from solver.stack import Stack, StackedCorner
from solver.uncertainty.sources import POINTS, Source, Target
from solver.vectors import Array, length, unit

SIDES: tuple[Side, Side] = ("left", "right")
TOLERANCE = 1e-9
"""rad, to which arm angles are found: a millionth of a millimetre of wheel travel."""


@dataclass(frozen=True, eq=False)
class Bars:
    """What the tyre of one side must stay clear of and does not turn with it: k round bars of n cars; mm.

    names: of the bars; ends: (n, k, 6) start and end as measured; radius: (n, k)
    in_arm: (k,) whether the arm carries it, else the body does
    """

    names: tuple[str, ...]
    ends: Array
    radius: Array
    in_arm: Array


@dataclass(frozen=True, eq=False)
class Variants:
    """n cars that differ by what is uncertain; the changes are the same in all of them.

    ground: (n,) height of the ground under each wheel in the body's axes, mm; the stack's is the mean of both
    stop_error: (n, 2) how much later than designed the rack's stop comes in the left and right turn, mm
    teeth: (n, 2) rack displacement at which the teeth end, mm; infinite where that is not known
    thread: (n,) engaged in the rack with the spacer in place, mm
    tube_radius: (n,) of the strut, mm
    """

    stack: Stack
    bars: dict[Side, Bars]
    ground: dict[Side, Array]
    stop_error: Array
    teeth: Array
    thread: Array
    tube_radius: Array

    def __len__(self) -> int:
        return len(self.stack)


def variants_of(front_end: FrontEnd, sources: Sequence[Source], normals: Array) -> Variants:
    """Cars whose errors are ``normals`` (n, sources) times their standard deviations.

    front_end: the car as designed
    """
    errors = _errors(sources, normals)
    count = len(normals)
    car, changes = front_end.car, front_end.changes
    shift = {side: shifts_of(changes, side, _inset(front_end)) for side in SIDES}
    points = {side: _points(car, side, errors) for side in SIDES}
    direction = _direction(car, errors, count)
    ground = {
        side: np.broadcast_to(front_end.ground + _ground_error(front_end, side, points[side]), (count,))
        for side in SIDES
    }
    stack = _stand(front_end, points, shift, direction, ground, errors)
    travel, middle = (_error(errors, ("rack", key)) for key in ("rack_travel", "rack_middle"))
    # Measured with the rack left of its true middle, there is less of it left to the left.
    stop_error = np.stack([travel - stack.left_sign * middle, travel + stack.left_sign * middle], axis=-1)
    teeth = np.inf if car.rack.tooth_travel is None else car.rack.tooth_travel
    ends = np.stack([-stack.left_sign * middle, stack.left_sign * middle], axis=-1)
    return Variants(
        stack=stack,
        ground=ground,
        bars={side: _bars(front_end, side, points[side], errors, count) for side in SIDES},
        stop_error=np.broadcast_to(stop_error, (count, 2)),
        teeth=np.broadcast_to(teeth + ends + _error(errors, ("rack", "teeth"))[..., None], (count, 2)),
        thread=np.broadcast_to(
            car.rack.stud_engaged - changes.rack_spacer + _error(errors, ("rack", "stud")), (count,)
        ),
        tube_radius=np.broadcast_to(car.strut.tube_radius + _error(errors, ("strut", "radius")), (count,)),
    )


Errors = dict[Target, Array]
"""By target, (n, 3): the error of each coordinate; a plain number has the first one alone."""


def _errors(sources: Sequence[Source], normals: Array) -> Errors:
    found: Errors = {}
    for number, source in enumerate(sources):
        error = source.sigma * normals[:, number]
        for target, axis, factor in source.moves:
            if target not in found:
                found[target] = np.zeros((len(normals), 3))
            found[target][:, axis] += factor * error
    return found


def _error(errors: Errors, target: Target) -> Array:
    """Of a plain number: (n,), or a lone 0 where it is certain."""
    return errors[target][:, 0] if target in errors else np.zeros(())


def _points(car: Car, side: Side, errors: Errors) -> dict[str, Array]:
    points = arrays_of(car.left if side == "left" else car.right)
    for key in POINTS:
        if (side, key) in errors:
            points[key] = points[key] + errors[side, key]
    for key in ("toe", "camber"):
        points[key] = points[key] + _error(errors, (side, key))
    return points


def _direction(car: Car, errors: Errors, count: int) -> Array:
    error = errors.get(("rack", "direction"), np.zeros((count, 3)))
    return unit(np.array(car.rack.direction) + error)


def _inset(front_end: FrontEnd) -> float:
    wheel = front_end.changes.wheel
    return 0.0 if wheel is None else wheel.offset - front_end.car.wheel.offset


def _stand(
    front_end: FrontEnd,
    points: dict[Side, dict[str, Array]],
    shifts: dict[Side, Shifts],
    direction: Array,
    ground: dict[Side, Array],
    errors: Errors,
) -> Stack:
    car, radius, count = front_end.car, front_end.loaded_radius, len(ground["left"])
    sides: list[StackedCorner] = []
    for side in SIDES:
        sign = 1 if side == "left" else -1
        corner = changed_corner(car, points[side], side, shifts[side], count)
        # The spacer pushes the joint out along the rack as it truly lies.
        spacer = shifts[side].spacer[..., None]
        pushed = corner.inner_joint + sign * spacer * (direction - np.array(car.rack.direction))
        corner = replace(corner, inner_joint=pushed, rack_direction=direction)
        toe = np.broadcast_to(points[side]["toe"], (count,))
        rod = front_end.changes.tie_rod_length
        made = None if rod is None else np.broadcast_to(rod + _error(errors, ("change", "rod")), (count,))
        standing = stand(corner, toe, radius, ground[side], made, TOLERANCE)
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
    left, right = sides
    stop = np.full(count, front_end.rack_stop)
    mean = (ground["left"] + ground["right"]) / 2
    return Stack(car, front_end.tyre, radius, left, right, mean, stop, TOLERANCE)


def _ground_error(front_end: FrontEnd, side: Side, points: Points) -> Array:
    """How much higher the ground under a wheel is in the axes of the measured points than designed, (n,) or ().

    The wheel stood on it when it was measured: a centre measured too high means a ground that is too low.
    """
    nominal = points_of(front_end.car, side)
    radius = front_end.loaded_radius
    height = points["wheel_centre"][..., 2] - radius * np.cos(points["camber"])
    return np.asarray(height - (nominal.wheel_centre[2] - radius * np.cos(nominal.camber)))


def _bars(front_end: FrontEnd, side: Side, points: Points, errors: Errors, count: int) -> Bars:
    """Lower arm and keep-clear objects of one side, as in `solver.clearance.obstacles`."""
    car, extension = front_end.car, front_end.changes.arm_extension
    start, along = link_arrays(car, points)
    reach = (length(points["ball_joint"] - start) + extension) * ARM_ROOT_SHARE
    names, in_arm = ["lower arm"], [True]
    ends = [np.concatenate(np.broadcast_arrays(start, start + along * reach[..., None]), axis=-1)]
    radii = [car.arm.clear_radius + _error(errors, ("arm", "radius"))]
    link = link_of(car, side)
    for number, item in enumerate(car.keep_clear):
        if item.side != side or item.fixed_to == "knuckle":
            continue
        places = []
        for end in ("start", "end"):
            nominal = np.array(getattr(item, end))
            place = nominal + errors.get((str(number), end), np.zeros(3))
            from_ball = link.length - float((nominal - link.start) @ link.along)
            if item.fixed_to == "arm" and from_ball < link.cut:
                place = place + extension * along
            places.append(place)
        names.append(item.name)
        in_arm.append(item.fixed_to == "arm")
        ends.append(np.concatenate(np.broadcast_arrays(*places), axis=-1))
        # No error makes a radius negative.
        radii.append(np.maximum(item.radius + _error(errors, (str(number), "radius")), 0.0))
    return Bars(
        tuple(names),
        np.stack([np.broadcast_to(bar, (count, 6)) for bar in ends], axis=1),
        np.stack([np.broadcast_to(radius, (count,)) for radius in radii], axis=1),
        np.array(in_arm),
    )
