"""Bands of set-up values: against cars put together one by one, and against the spread of a single error."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from statistics import NormalDist

import numpy as np
import pytest

from locksweep.demo_jobs import demo_names, demo_text
from locksweep.job import parse_job
from solver.car import CornerPoints, Job, Side
from solver.front_end import FrontEnd, assemble
from solver.measures import camber_angle, steer_angle
from solver.solution import Solution, solve
from solver.sweep import rack_sign
from solver.uncertainty.set_up import set_up
from solver.uncertainty.sources import Source, sources_of

SIDES: tuple[Side, Side] = ("left", "right")
END = NormalDist().inv_cdf(0.95)
demos = pytest.mark.parametrize("name", demo_names())


@cache
def solution_of(name: str) -> Solution:
    """A demo job's answer."""
    return solve(parse_job(demo_text(name)))


def moved(points: CornerPoints, key: str, axis: int, by: float) -> CornerPoints:
    """One coordinate of a point moved, or an angle."""
    value = getattr(points, key)
    if not isinstance(value, tuple):
        return replace(points, **{key: value + by})
    return replace(points, **{key: tuple(each + by * (n == axis) for n, each in enumerate(value))})


def with_error(job: Job, source: Source, size: float) -> FrontEnd:
    """The modified car with one error of the points."""
    sides = {"left": job.car.left, "right": job.car.right}
    for (side, key), axis, factor in source.moves:
        sides[side] = moved(sides[side], key, axis, factor * size)
    return assemble(replace(job.car, **sides), solution_of_changes(job))


def solution_of_changes(job: Job) -> object:
    """The changes of a demo job's answer."""
    return next(s for s in map(solution_of, demo_names()) if s.job.name == job.name).changes


@demos
def test_as_designed(name: str) -> None:
    """Without an error every value is that of the solution."""
    solution = solution_of(name)
    bands = set_up(solution, SIDES, samples=50).bands
    for side in SIDES:
        corner = getattr(solution.as_modified, side)
        turn = solution.as_modified.turn(side)
        assert corner.tie_rod == pytest.approx(bands[f"tie rod, {side}"].nominal, abs=1e-4)
        assert corner.camber == pytest.approx(bands[f"camber, {side}"].nominal, abs=1e-6)
        assert corner.caster == pytest.approx(bands[f"caster, {side}"].nominal, abs=1e-6)
        assert turn.rack == pytest.approx(bands[f"rack, {side} turn"].nominal, abs=1e-3)
        assert turn.lock == pytest.approx(bands[f"lock, {side} turn"].nominal, abs=1e-4)
        assert turn.outer == pytest.approx(bands[f"outer wheel, {side} turn"].nominal, abs=1e-4)
        assert turn.over_centre == pytest.approx(bands[f"over-centre margin, {side} turn"].nominal, abs=1e-4)
    assert solution.as_modified.track == pytest.approx(bands["track"].nominal, abs=1e-4)


@demos
@pytest.mark.parametrize("culprit", ["tie-rod pickup, across the car", "inner tie-rod joint, across the car"])
def test_a_single_error(name: str, culprit: str) -> None:
    """With one error alone the rod's band is its slope times 1.645 standard deviations, from cars moved by hand."""
    solution = solution_of(name)
    source = next(each for each in sources_of(solution.job) if each.name.removeprefix("left ") == culprit)
    band = set_up(solution, SIDES, [source], samples=400).bands["tie rod, left"]
    low, high = (
        with_error(solution.job, source, k * END * source.sigma).left.corner.tie_rod for k in (-1, 1)
    )
    assert sorted((low, high)) == pytest.approx([band.low, band.high], abs=0.02)


def test_nine_in_ten() -> None:
    """Of cars put together one by one with all errors of the points, nine in ten lie within the band."""
    solution = solution_of("alder-coupe")
    job = solution.job
    # What moves the ground under a wheel is left aside: one by one every car stands on the same ground.
    sources = [
        source
        for source in sources_of(job)
        if all(side in SIDES and key not in ("wheel_centre", "camber") for (side, key), *_ in source.moves)
    ]
    found_bands = set_up(solution, (), sources)
    bands = found_bands.bands
    drawn = np.random.default_rng(1).standard_normal((200, len(sources)))
    found: dict[str, list[float]] = {"tie rod, left": [], "camber, right": [], "lock, left turn": []}
    for normals in drawn:
        sides = {"left": job.car.left, "right": job.car.right}
        for source, normal in zip(sources, normals, strict=True):
            for (side, key), axis, factor in source.moves:
                sides[side] = moved(sides[side], key, axis, factor * source.sigma * float(normal))
        front_end = assemble(replace(job.car, **sides), solution.changes)
        found["tie rod, left"].append(float(front_end.left.corner.tie_rod))
        straight = front_end.at_ride_height(np.zeros(1))[1]
        found["camber, right"].append(float(camber_angle(straight)[0]))
        rack = np.array([rack_sign(front_end, "left") * front_end.rack_stop])
        found["lock, left turn"].append(abs(float(steer_angle(front_end.at_ride_height(rack)[0])[0])))
    for name, values in found.items():
        reached = [value for value in values if math.isfinite(value)]
        inside = np.mean([bands[name].low <= value <= bands[name].high for value in reached])
        # Three standard deviations of a share of 0.9 in 200 cars.
        assert inside == pytest.approx(0.9, abs=3 * math.sqrt(0.09 / 200)), name
    over = np.mean(np.isnan(found["lock, left turn"]))
    assert over == pytest.approx(
        found_bands.over_centre_first["left"], abs=3 * math.sqrt(over * (1 - over) / 200)
    )


@demos
def test_a_bracket_is_set_by_steer_angle(name: str) -> None:
    """With brackets no car turns further than the lock they are set to; without, half of them do."""
    solution = solution_of(name)
    set_to, free = set_up(solution, SIDES).bands, set_up(solution, ()).bands
    for side in SIDES:
        lock = solution.as_modified.turn(side).lock
        assert set_to[f"lock, {side} turn"].high == pytest.approx(lock, abs=1e-4)
        assert free[f"lock, {side} turn"].high > lock + math.radians(1)


@demos
@pytest.mark.parametrize("key", ["toe", "camber"])
def test_one_angle_alone(name: str, key: str) -> None:
    """An angle that is uncertain while the other isn't has its own error as its band."""
    solution = solution_of(name)
    sources = [each for each in sources_of(solution.job) if each.name.removeprefix("left ") == key]
    band = set_up(solution, SIDES, sources, samples=400).bands[f"{key}, left"]
    # Camber is read again with the arm at another angle.
    assert 2 * END * sources[0].sigma == pytest.approx(band.high - band.low, rel=0.03)
