"""What builders see when they change such a front end, on both demo cars. Common practice, no source.

The bounds are generous: the cars differ from the ones that the experience comes from. A rear rack's linkage
comes over centre sooner than a front rack's, so where that matters each has its own bound.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from locksweep.demo_jobs import demo_path
from locksweep.job.load import load_job
from solver.car import Car, Changes, Move
from solver.corner import over_centre_angle, over_centre_rack
from solver.front_end import assemble
from solver.limits import over_centre_travel_left
from solver.measures import (
    axis_on_ground,
    contact_centre,
    ideal_outer_angle,
    percent_ackermann,
    steer_angle,
)
from solver.solution import solve
from solver.sweep import rack_sign
from tests.solver.cars import INCH

REAR_RACK, FRONT_RACK = "alder-coupe", "birch-coupe"

CLOSER = {REAR_RACK: Move(forward=25.0, outward=10.0), FRONT_RACK: Move(forward=-20.0, outward=5.0)}
"""The pickup drilled anew, nearer to the ball joint."""

TEN_FURTHER = {REAR_RACK: Move(forward=32.0, outward=17.0), FRONT_RACK: Move(forward=-28.0, outward=-1.0)}
"""10 mm further from there: closer still, and to the side on which the arms lose their Ackermann."""

demos = pytest.mark.parametrize("name", [REAR_RACK, FRONT_RACK])


@dataclass(frozen=True)
class Lock:
    """A left turn at the rack's stop; degrees and mm."""

    inner: float
    ackermann: float
    over_centre: float
    tie_rod: float


@cache
def car_of(name: str) -> Car:
    """The car of a demo job as measured."""
    return load_job(demo_path(name)).car


def at_stop(name: str, changes: Changes) -> Lock:
    """The car with changes, turned left to its rack's stop at ride height."""
    car = car_of(name)
    front_end = assemble(car, changes)
    inner, outer = front_end.at_ride_height(np.array([rack_sign(front_end, "left") * front_end.rack_stop]))
    angles = [float(steer_angle(pose)[0]) for pose in (inner, outer)]
    radius = front_end.tyre.loaded_radius or 0.0
    feet = [
        axis_on_ground(pose, contact_centre(pose, radius)[..., 2])[0, 1]
        for pose in front_end.at_ride_height(np.zeros(1))
    ]
    ideal = ideal_outer_angle(np.array(angles[0]), feet[0] - feet[1], car.wheelbase)
    return Lock(
        inner=math.degrees(angles[0]),
        ackermann=float(percent_ackermann(*map(np.array, angles), ideal)),
        over_centre=math.degrees(min(float(over_centre_angle(pose)[0]) for pose in (inner, outer))),
        tie_rod=front_end.left.corner.tie_rod,
    )


@demos
def test_stock_lock(name: str) -> None:
    """A compact coupe of this kind leaves the factory with 36° to 42° of inner lock."""
    assert 36 < at_stop(name, Changes()).inner < 42


@demos
def test_spacer(name: str) -> None:
    """A spacer of 5 mm on each side gives roughly two to three degrees more lock."""
    more = at_stop(name, Changes(rack_spacer=5.0)).inner - at_stop(name, Changes()).inner
    assert 1 < more < 6


@demos
def test_pickup_closer(name: str) -> None:
    """A pickup drilled anew closer to the ball joint gives about 50° to 55° with the rack as it was."""
    assert 46 < at_stop(name, Changes(pickup_move=CLOSER[name])).inner < 60


@demos
def test_pickup_ten_further(name: str) -> None:
    """Another 10 mm give about 58° to 62°, and cost much of the Ackermann that was left."""
    moves = CLOSER[name], TEN_FURTHER[name]
    # What is called 10 mm is 10 mm.
    step = (moves[1].forward - moves[0].forward, moves[1].outward - moves[0].outward)
    assert 10.0 == pytest.approx(math.hypot(*step), abs=0.2)
    closer, further = (at_stop(name, Changes(pickup_move=move)) for move in moves)
    assert 56 < further.inner < 66
    assert further.inner > closer.inner
    assert further.ackermann < closer.ackermann - 10


@demos
@pytest.mark.parametrize("extension", [1.25 * INCH, 2.0 * INCH])
def test_longer_arms_take_longer_rods(name: str, extension: float) -> None:
    """Arms longer by 1 1/4 to 2 in take tie rods that are about as much longer."""
    longer = at_stop(name, Changes(arm_extension=extension)).tie_rod - at_stop(name, Changes()).tie_rod
    assert extension == pytest.approx(longer, rel=0.1)


@demos
def test_high_lock_takes_longer_arms(name: str) -> None:
    """For some 50° on a wider tyre the demo job comes out with longer arms, by no more than builders fit."""
    solution = solve(load_job(demo_path(name)))
    assert 46 < math.degrees(solution.as_modified.lock) < 56
    assert 10 < solution.changes.arm_extension < 2.5 * INCH


@pytest.mark.parametrize(("name", "margin", "left"), [(REAR_RACK, 20.0, 5.0), (FRONT_RACK, 32.0, 18.0)])
@pytest.mark.parametrize("lock", [60.0, 64.0])
def test_stops_are_needed_beyond_sixty_degrees(name: str, lock: float, margin: float, left: float) -> None:
    """From about 60° on the linkage is close to over-centre, within a rack travel that spacers easily add."""
    front_end = assemble(car_of(name), Changes(pickup_move=TEN_FURTHER[name]))

    def short(rack: float) -> float:
        return float(abs(steer_angle(front_end.inner_wheel("left", np.array([rack])))[0])) - math.radians(
            lock
        )

    ends = over_centre_rack(front_end.left.corner, front_end.left.ride_angle)
    over = abs(ends[0 if rack_sign(front_end, "left") < 0 else 1])
    rack = float(brentq(short, 0.0, 0.999 * over))
    poses = front_end.at_ride_height(np.array([rack_sign(front_end, "left") * rack]))
    least = min(float(over_centre_angle(pose)[0]) for pose in poses)
    assert 0 < math.degrees(least) < margin
    signed = rack_sign(front_end, "left") * rack
    assert min(over_centre_travel_left(front_end, side, signed) for side in front_end.sides) < left
