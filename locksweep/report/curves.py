"""What the charts show: each measure of the solver at every pose of the grid, and how sure the curves are."""

from __future__ import annotations

from typing import Any

import numpy as np

from locksweep.report.body_gaps import far_of, gap_record
from locksweep.report.motion import Grid
from locksweep.report.numbers import degrees
from solver.car import Goal, Job, Side
from solver.clearance import gap, obstacles
from solver.corner import Pose, over_centre_angle, pose_corner
from solver.front_end import FrontEnd
from solver.measures import axis_on_ground, camber_angle, contact_centre, ideal_outer_angle, steer_angle
from solver.sweep_measures import TURNED
from solver.uncertainty.bands import COVERAGE
from solver.uncertainty.normals import even_normals
from solver.uncertainty.sources import sources_of
from solver.uncertainty.variants import variants_of
from solver.vectors import Array

CARS = 200
"""That the measurements allow, for the bands: the ends of a band are then known to a tenth of its width or so."""


def curves(front_end: FrontEnd, goal: Goal, grid: Grid, poses: dict[Side, Pose]) -> dict[str, Any]:
    """Measures over rack × travel, rows as the grid's; degrees and mm."""
    steer = {side: np.where(pose.reachable, steer_angle(pose), np.nan) for side, pose in poses.items()}
    inner, outer = _of_turn(steer["left"], steer["right"], grid)
    turned = np.nan_to_num(inner) >= TURNED
    ideal = ideal_outer_angle(
        np.where(turned, inner, np.nan), _axis_distance(front_end, grid, poses), front_end.car.wheelbase
    )
    return {
        "wheels": {
            side: {
                "steer_deg": degrees(steer[side], 3),
                "camber_deg": degrees(_there(pose, camber_angle(pose))),
                "toe_change_deg": degrees(_toe_change(side, steer[side], grid)),
                "over_centre_deg": degrees(_there(pose, over_centre_angle(pose))),
            }
            for side, pose in poses.items()
        },
        "inner_deg": degrees(inner),
        "outer_deg": degrees(np.where(turned, outer, np.nan)),
        "ideal_outer_deg": degrees(ideal),
        "gaps": _gaps(front_end, goal, poses),
    }


def bands(front_end: FrontEnd, job: Job, grid: Grid) -> dict[str, Any]:
    """Between which values a measure lies in most of the cars that the measurements allow, at ride height.

    The grid's rows stand for the same rack displacements in all of them. A car whose wheel is over centre there counts
    as one with no margin.
    """
    sources = sources_of(job)
    cars = variants_of(front_end, sources, even_normals(CARS, len(sources)))
    ends = [(1 - COVERAGE) / 2, (1 + COVERAGE) / 2]
    rack = grid.signed(front_end)[None]
    found: dict[str, Any] = {}
    sound = cars.stack.sound
    if not sound.any():
        return {"cars": 0, "coverage": COVERAGE, "wheels": {}}
    for stacked in cars.stack.sides:
        pose = pose_corner(stacked.corner, stacked.ride_angle[:, None], rack)
        lost = ~pose.reachable | ~sound[:, None]
        margin = np.where(lost, 0.0, np.nan_to_num(over_centre_angle(pose)))[sound]
        found[stacked.side] = {
            "steer_deg": degrees(_ends(np.where(lost, np.nan, steer_angle(pose)), ends)),
            "camber_deg": degrees(_ends(np.where(lost, np.nan, camber_angle(pose)), ends)),
            "over_centre_deg": degrees(np.quantile(margin, ends, axis=0)),
        }
    return {"cars": int(sound.sum()), "coverage": COVERAGE, "wheels": found}


def _ends(values: Array, ends: list[float]) -> Array:
    """Ends of the bands, (2, n), of those that have a value; a place that half of the cars don't reach has none."""
    known = np.isfinite(values).sum(axis=0) > len(values) / 2
    filled = np.full((2, values.shape[1]), np.nan)
    if known.any():
        filled[:, known] = np.nanquantile(values[:, known], ends, axis=0)
    return filled


def _there(pose: Pose, values: Array) -> Array:
    return np.where(pose.reachable, values, np.nan)


def _toe_change(side: Side, steer: Array, grid: Grid) -> Array:
    """Of a wheel with its travel, the rack held: toe less toe at ride height, positive in; (n, m), rad."""
    return (-1.0 if side == "left" else 1.0) * (steer - steer[:, grid.ride_height, None])


def _of_turn(left: Array, right: Array, grid: Grid) -> tuple[Array, Array]:
    """Steer angles of the inner and the outer wheel, positive into the turn; (n, m)."""
    to_left = (grid.turned >= 0)[:, None]
    return np.where(to_left, left, -right), np.where(to_left, right, -left)


def _axis_distance(front_end: FrontEnd, grid: Grid, poses: dict[Side, Pose]) -> Array:
    """Distance between the steering axes at the ground, straight ahead, at each travel, (m,)."""
    feet = [
        axis_on_ground(pose, contact_centre(pose, front_end.loaded_radius)[..., 2])[grid.centre]
        for pose in (poses["left"], poses["right"])
    ]
    return np.asarray(feet[0][:, 1] - feet[1][:, 1])


def _gaps(front_end: FrontEnd, goal: Goal, poses: dict[Side, Pose]) -> list[dict[str, Any]]:
    """From the grown tyre to each bar near it that does not turn with it, at every pose."""
    tyre, far = front_end.tyre.grown(), far_of(goal)
    found = []
    for assembly in front_end.sides:
        pose = poses[assembly.side]
        for obstacle in obstacles(front_end, assembly):
            if obstacle.fixed_to == "knuckle":
                continue
            values = gap(tyre, obstacle, pose, enough=far)
            found.append(gap_record(obstacle.name, assembly.side, values, far))
    return found
