"""Errors of points that were found from a measuring sheet: they are the readings' own, and shared between points.

The adjusted coordinates move by G e when the readings are off by e, with G = C Jᵀ W: C the coordinates' covariance, J
their design matrix and W the readings' weights (weighted least squares, linear about the adjusted points). So the
points' errors have the covariance that the survey states, correlations and all, and each error keeps its name.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.car import Job, Side
from solver.errors import GeometryError
from solver.front_end import points_of
from solver.survey import Survey
from solver.survey.measurement import ANGLES, Network
from solver.uncertainty.sources import NAMES, POINTS, Source, Target, sources_of
from solver.vectors import Array

FARTHEST = 2.0
"""mm by which a point of the job file may differ from the sheet's: it is written to a tenth, and no more is rounded."""
LEAST = 1e-6
"""Of a coordinate's motion with a reading, in mm for one standard deviation, that is kept."""


def sources_from(job: Job, survey: Survey) -> list[Source]:
    """Every error of a job whose points were surveyed; what the sheet doesn't tell is as the job states.

    Raises:
        GeometryError: the job's points are not those of the sheet; names the point.
    """
    known = {name: number for number, name in enumerate(survey.points)}
    kept = [
        item for item, value in zip(survey.measurements, survey.redundancy, strict=True) if np.isfinite(value)
    ]
    network = Network(kept, survey.points)
    gain = survey.covariance @ (network.jacobian(survey.positions) / network.sigma[:, None] ** 2).T
    surveyed: dict[Target, tuple[int, tuple[float, float, float]]] = {}
    for side, key, number, mirrored in _surveyed_points(job, known):
        _check_same(job, side, key, survey.positions[number], mirrored)
        surveyed[side, key] = (number, (1.0, -1.0 if mirrored else 1.0, 1.0))
    # What the sheet doesn't tell stays, and how unlike the sides are where it has one of them.
    both = {("right", key) for key in POINTS if f"right.{key}" in known}
    found = [
        source for source in sources_of(job) if source.moves[0][0] not in (surveyed if source.again else both)
    ]
    for reading, (item, moved) in enumerate(zip(kept, (gain * network.sigma).T, strict=True)):
        moves = tuple(
            (target, axis, sign * float(moved[3 * number + axis]) / float(item.sigma))
            for target, (number, signs) in surveyed.items()
            for axis, sign in enumerate(signs)
            if abs(moved[3 * number + axis]) > LEAST
        )
        if moves:
            angle = item.kind in ANGLES
            found.append(
                Source(f"the sheet's {item.name}", f"reading {reading + 1}", item.sigma, angle, True, moves)
            )
    return found


def _surveyed_points(job: Job, known: dict[str, int]) -> Iterator[tuple[Side, str, int, bool]]:
    """Side and key of each point of the job that the sheet tells of, its number there, and whether it is a mirror."""
    for key in POINTS:
        if f"left.{key}" in known:
            yield "left", key, known[f"left.{key}"], False
        if f"right.{key}" in known:
            yield "right", key, known[f"right.{key}"], False
        elif f"left.{key}" in known and key not in job.measured_right:
            yield "right", key, known[f"left.{key}"], True


def _check_same(job: Job, side: Side, key: str, position: Array, mirrored: bool) -> None:
    point = np.array(getattr(points_of(job.car, side), key))
    sheet = position * (np.array([1.0, -1.0, 1.0]) if mirrored else 1.0)
    apart = float(np.abs(point - sheet).max())
    if not apart <= FARTHEST:
        raise GeometryError(
            f"{side} {NAMES[key]}: the job file has it {apart:.1f} mm from where the sheet puts it; write the sheet's "
            "points into the job file first: locksweep measure SHEET --job JOB"
        )
