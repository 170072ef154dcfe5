"""Where each piece of a part sits on the car, straight ahead at the measured ride height."""

from __future__ import annotations

import numpy as np

from solver.car import Side
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from solver.front_end import link_of, points_of
from solver.part import Part, Placement
from solver.solution import Solution
from solver.sweep import TURNS
from solver.vectors import Array, cross, unit

UP = np.array((0.0, 0.0, 1.0))


def places(solution: Solution, part: Part) -> tuple[Placement, ...]:
    """One place for each piece, the left one first; none for a part that does not stay on the car.

    How far an inner joint's ball stands off the end of the rack is not measured: a spacer is placed with its
    outer face at the ball's centre. A sleeve is placed on the arm as measured, drawn apart at the cut.
    """
    if part.placement is not None:
        return (part.placement,) * part.quantity
    dimensions = part.dimensions
    if isinstance(dimensions, RackSpacerDimensions):
        return tuple(_spacer(solution, side, dimensions.thickness) for side in TURNS)
    if isinstance(dimensions, ArmSleeveDimensions):
        return tuple(_sleeve(solution, side, dimensions) for side in TURNS)
    return ()


def _spacer(solution: Solution, side: Side, thickness: float) -> Placement:
    car, shift = solution.job.car, solution.changes.rack_shift
    outwards = np.array(car.rack.direction) * (1.0 if side == "left" else -1.0)
    # The rod's length is counted from the ball as measured, so it is the rack that ends further in.
    ball = np.array(points_of(car, side).inner_joint) + shift.on(side)
    return _placement(ball - thickness * outwards, outwards, UP)


def _sleeve(solution: Solution, side: Side, sleeve: ArmSleeveDimensions) -> Placement:
    link = link_of(solution.job.car, side)
    tip = link.start + (link.length - link.cut - sleeve.overlap - sleeve.tongue) * link.along
    # The section's width is measured across the car's length, its height upwards.
    return _placement(tip, link.along, cross(UP, link.along))


def _placement(origin: Array, z_axis: Array, x_wanted: Array) -> Placement:
    across = unit(x_wanted - (x_wanted @ z_axis) * z_axis)
    return Placement(_tuple(origin), _tuple(across), _tuple(z_axis))


def _tuple(vector: Array) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in vector)
    return (x, y, z)
