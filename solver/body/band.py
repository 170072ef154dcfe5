"""How sure a clearance is: what errors of the measured points do to it, and the clearance that most cars would have."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np

from solver.body.placement import Placement
from solver.body.sweep import WheelSweep
from solver.body.swept import Indices
from solver.car import Car, CornerPoints, FixedTo, Job, Side
from solver.clearance import in_arm_frame
from solver.errors import GeometryError
from solver.front_end import assemble
from solver.vectors import Array

TYRE_SIGMA = 2.0
"""mm, of the tyre's radius and of half its width, new tyres of one size from several makers. Common practice, no
source."""
BODY_SIGMA = 1.5
"""mm, of a body point that was measured on the car itself: two readings that agree to 2 mm."""
ANGLES = ("toe", "camber")


@dataclass(frozen=True)
class PointError:
    """One independent error of a corner's measurements.

    name: of the measurement in `solver.car.CornerPoints`; axis: of a point, 0 for an angle
    size: standard deviation, mm or rad
    """

    name: str
    axis: int
    size: float


Errors = Mapping[Side, Sequence[PointError]]


def errors_of(job: Job) -> Errors:
    """Those of a job's corners, as `solver.uncertainty.sources` has them.

    An error that both corners share is one of each: a tyre's clearance hangs on its own corner alone.
    """
    from solver.uncertainty.sources import sources_of

    found: dict[Side, list[PointError]] = {"left": [], "right": []}
    for source in sources_of(job):
        for (place, name), axis, factor in source.moves:
            for side, listed in found.items():
                if place == side and name in CornerPoints.__dataclass_fields__:
                    listed.append(PointError(name, axis, abs(factor) * source.sigma))
    return found


@dataclass(frozen=True, eq=False)
class Band:
    """A band of confidence round every clearance.

    confidence: share of cars, measured alike, whose true clearance is no less than the one told, 0.5 to below 1
    sweeps: of both wheels; errors: of what was measured
    """

    confidence: float
    sweeps: Mapping[Side, WheelSweep]
    errors: Errors

    @property
    def factor(self) -> float:
        """Standard deviations that the share stands for, one-sided."""
        return NormalDist().inv_cdf(self.confidence)

    @cached_property
    def _moves(self) -> dict[tuple[Side, FixedTo], list[tuple[Array, Array]]]:
        return {}

    def spread(
        self,
        points: Array,
        side: Side,
        poses: Indices,
        fixed_to: FixedTo = "body",
        placement: Placement | None = None,
    ) -> Array:
        """Standard deviation (k,) in mm of the distances of points (k, 3) from one wheel's tyre in their poses (k,).

        To first order and with independent errors the variances add up; what one error does is the difference of the
        distance with everything assembled anew. The pose stays: where a distance is least over the poses, a small
        change of the pose does nothing to it.
        """
        tyre = self.sweeps[side].tyre(fixed_to)
        centre, axis = tyre.centres[poses], tyre.axes[poses]
        known = tyre.solid.distance(points, centre, axis)
        variance = np.full(len(points), TYRE_SIGMA**2)
        for moved_centres, moved_axes in self._moves_of(side, fixed_to):
            moved = tyre.solid.distance(points, moved_centres[poses], moved_axes[poses])
            variance += (moved - known) ** 2
        if placement is None:
            return np.sqrt(variance + BODY_SIGMA**2)
        step = 0.5
        slope = np.stack(
            [
                tyre.solid.distance(points + step * unit, centre, axis)
                - tyre.solid.distance(points - step * unit, centre, axis)
                for unit in np.eye(3)
            ],
            axis=1,
        ) / (2 * step)
        return np.sqrt(variance + placement.uncertainty(points, slope) ** 2)

    def _moves_of(self, side: Side, fixed_to: FixedTo) -> list[tuple[Array, Array]]:
        """Wheel centres and axes of all poses with each measurement off by one standard deviation."""
        known = self._moves
        if (side, fixed_to) not in known:
            sweep = self.sweeps[side]
            tried = (_moved(sweep, fixed_to, error) for error in self.errors[side])
            known[side, fixed_to] = [moved for moved in tried if moved is not None]
        return known[side, fixed_to]


def _moved(sweep: WheelSweep, fixed_to: FixedTo, error: PointError) -> tuple[Array, Array] | None:
    """The same poses with one measurement off; None where the car can't be assembled with it.

    A pose that the error takes beyond over-centre is left as it was.
    """
    known = sweep.tyre(fixed_to)
    parts = []
    for part in sweep.parts:
        car = _with_error(part.front_end.car, sweep.side, error)
        try:
            moved = assemble(car, part.front_end.changes)
            assembly = moved.left if sweep.side == "left" else moved.right
            pose = moved.poses(assembly, part.rack, part.travel)
        except GeometryError:
            return None
        parts.append(replace(part, front_end=moved, assembly=assembly, pose=pose))
    found = replace(sweep, parts=tuple(parts))
    if fixed_to == "knuckle":
        tyre = found.tyre(fixed_to)
        return tyre.centres, tyre.axes
    # Numbered as the known poses are, whether or not they exist with the error.
    rows = []
    for part, old in zip(parts, sweep.parts, strict=True):
        centre = part.pose.wheel_centre
        tip = centre + part.pose.spin_axis
        if fixed_to == "arm":
            centre, tip = in_arm_frame(part.pose, centre), in_arm_frame(part.pose, tip)
        rows.append(np.concatenate([centre, tip - centre], axis=-1)[old.pose.reachable])
    both = np.concatenate(rows)
    lost = ~np.isfinite(both).all(axis=1)
    both[lost] = np.concatenate([known.centres, known.axes], axis=1)[lost]
    return both[:, :3], both[:, 3:]


def _with_error(car: Car, side: Side, error: PointError) -> Car:
    points = car.left if side == "left" else car.right
    value = getattr(points, error.name)
    if error.name in ANGLES:
        value = value + error.size
    else:
        value = tuple(x + (error.size if i == error.axis else 0.0) for i, x in enumerate(value))
    points = replace(points, **{error.name: value})
    return replace(car, left=points) if side == "left" else replace(car, right=points)
