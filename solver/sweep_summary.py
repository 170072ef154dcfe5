"""The few numbers of the whole sweep that a summary shows; radians and mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.car import Side
from solver.sweep_measures import SweepMeasures, extremes
from solver.vectors import Array


@dataclass(frozen=True)
class WheelSummary:
    """One wheel's, the rack centred but for the joints.

    bump_steer, camber_gain: slopes at ride height, rad per mm of wheel travel
    toe_change: greatest toe less least, over the whole travel, rad
    roll_centre: at ride height, height over the ground, mm
    roll_centre_range: its least and greatest over the whole travel
    rod_inner, rod_outer: largest angles of the tie rod's joints over all steering and travel
    """

    bump_steer: float
    toe_change: float
    camber_gain: float
    roll_centre: float
    roll_centre_range: tuple[float, float]
    rod_inner: float
    rod_outer: float


@dataclass(frozen=True)
class LockSummary:
    """One turn's at lock and ride height. None where the lock is under a degree, so that there is no turn.

    outer_slip: of the outer wheel, positive where it is steered further than the ideal, rad
    wall_to_wall: diameter, the body's corner left out, mm
    heave, roll: jacking since straight ahead, mm
    bump_steer_inner, bump_steer_outer: slopes of toe with the rack held at lock, rad per mm of wheel travel
    steering_ratio: slope
    """

    outer_slip: float | None
    wall_to_wall: float | None
    heave: float
    roll: float
    bump_steer_inner: float
    bump_steer_outer: float
    steering_ratio: float


def wheel_summary(measures: SweepMeasures, side: Side) -> WheelSummary:
    """Of one wheel. Straight ahead every travel is in reach, or the front end could not be measured at all."""
    wheel, ride = measures.wheel(side), measures.at_ride_height
    straight = wheel.roll_centre[0, 0]
    return WheelSummary(
        bump_steer=float(wheel.bump_steer[0, 0, ride]),
        toe_change=float(np.ptp(wheel.toe[0, 0])),
        camber_gain=float(wheel.camber_gain[0, 0, ride]),
        roll_centre=float(straight[ride]),
        roll_centre_range=(float(straight.min()), float(straight.max())),
        rod_inner=_largest(measures, side, wheel.joints.rod_inner),
        rod_outer=_largest(measures, side, wheel.joints.rod_outer),
    )


def lock_summary(measures: SweepMeasures, turn: Side) -> LockSummary:
    """Of one turn at the end of its sweep."""
    place = (0 if turn == "left" else 1, -1, measures.at_ride_height)
    turned = bool(measures.turned[place])
    return LockSummary(
        outer_slip=float(measures.outer_slip[place]) if turned else None,
        wall_to_wall=float(measures.wall_to_wall[place]) if turned else None,
        heave=float(measures.heave[place]),
        roll=float(measures.roll[place]),
        bump_steer_inner=float(measures.inner_wheel(turn).bump_steer[place]),
        bump_steer_outer=float(measures.outer_wheel(turn).bump_steer[place]),
        steering_ratio=float(measures.steering_ratio[place]),
    )


def overall_ratio(measures: SweepMeasures) -> float | None:
    """Steering ratio from lock to lock at ride height; None where neither turn has any lock."""
    ratio = float(measures.overall_ratio[measures.at_ride_height])
    return ratio if math.isfinite(ratio) else None


def _largest(measures: SweepMeasures, side: Side, angles: Array) -> float:
    found = extremes(angles, measures.wheel(side).reachable)
    return 0.0 if found is None else found[1]
