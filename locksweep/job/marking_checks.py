"""What several keys about marking aids need together."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading
from locksweep.job.search_fields import listed

NEAREST = 5.0
"""Two holes of a knuckle, their middles, mm: nearer they are one that was measured twice."""


def marking_problems(reading: Reading) -> Iterator[Problem]:
    """Everything that several keys about marking aids together have wrong."""
    yield from _knuckle_hole(reading)
    yield from _studs(reading)


def _knuckle_hole(reading: Reading) -> Iterator[Problem]:
    path: KeyPath = ("marking", "knuckle_hole", "at")
    hole, pickup = reading.point(*path), reading.point("car", "left", "pickup")
    if hole is None:
        return
    found = reading.shown(*path)
    if hole[1] <= 0:
        yield Problem(path, found, "a point of the left knuckle, y positive", "the right one is its mirror")
    elif pickup is not None and math.dist(hole, pickup) < NEAREST:
        expected = f"another hole than the pickup's, {reading.shown('car', 'left', 'pickup')}"
        yield Problem(path, found, expected, "leave it out to locate the gauge in the old pickup hole")


def _studs(reading: Reading) -> Iterator[Problem]:
    table: KeyPath = ("marking", "strut_top")
    hole, studs = reading.quantity(*table, "hole"), reading.raw((*table, "studs"))
    if hole is None or not isinstance(studs, list) or (*table, "studs") in reading.reported:
        return
    places = [
        [reading.quantity(*table, "studs", index, axis) for axis in (0, 1)] for index in range(len(studs))
    ]
    for (i, (x, y)), (j, (u, v)) in itertools.combinations(enumerate(places), 2):
        if x is None or y is None or u is None or v is None or math.hypot(x - u, y - v) > hole:
            continue
        found = f"{listed(studs[j], 'length', reading.units)}, stud {j + 1}, in the hole of stud {i + 1}"
        expected = f"studs farther apart than the hole's diameter, {reading.shown(*table, 'hole')}"
        yield Problem(
            (*table, "studs", j), found, expected, "one stud was measured twice, or a sign is wrong"
        )
