"""Two invented cars that no demo job uses, so that a change to a demo job changes no promise here.

The rear-rack car's steering arms point backwards, the front-rack car's forwards. Its left and right side
differ, the rear-rack car's don't.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from solver.car import (
    Arm,
    ArmSection,
    Car,
    Changes,
    CornerPoints,
    Goal,
    Job,
    KeepClear,
    Rack,
    Strut,
    Vector,
    Wheel,
)

INCH = 25.4

REAR_LEFT = CornerPoints(
    arm_front_pivot=(75.0, 335.0, 196.0),
    arm_rear_pivot=(-55.0, 330.0, 190.0),
    ball_joint=(6.0, 665.0, 178.0),
    strut_top=(-42.0, 548.0, 712.0),
    damper_point=(2.0, 641.0, 335.0),
    inner_joint=(-98.0, 318.0, 186.0),
    pickup=(-108.0, 655.0, 182.0),
    wheel_centre=(0.0, 748.0, 302.0),
    toe=math.radians(0.12),
    camber=math.radians(-0.7),
)

FRONT_LEFT = CornerPoints(
    arm_front_pivot=(58.0, 322.0, 188.0),
    arm_rear_pivot=(-70.0, 326.0, 184.0),
    ball_joint=(4.0, 672.0, 172.0),
    strut_top=(-36.0, 551.0, 706.0),
    damper_point=(5.0, 643.0, 328.0),
    inner_joint=(102.0, 308.0, 184.0),
    pickup=(104.0, 686.0, 179.0),
    wheel_centre=(0.0, 752.0, 298.0),
    toe=math.radians(-0.08),
    camber=math.radians(-0.4),
)

RACK = Rack(
    direction=(0.0, 1.0, 0.0),
    travel_each_side=64.0,
    travel_per_turn=45.0,
    end_diameter=25.0,
    housing_bore=30.0,
    stud_diameter=14.0,
    stud_pitch=1.5,
    stud_engaged=28.0,
)

RAIL = KeepClear("rail", (-400.0, 395.0, 350.0), (400.0, 395.0, 360.0), 35.0, "body", "left")


def _other_side(item: KeepClear) -> KeepClear:
    start, end = ((p[0], -p[1], p[2]) for p in (item.start, item.end))
    return replace(item, start=start, end=end, side="right" if item.side == "left" else "left")


REAR = Car(
    name="invented car with its rack behind",
    left=REAR_LEFT,
    right=REAR_LEFT.mirrored(),
    rack=RACK,
    arm=Arm(ArmSection("round", 34.0, 34.0, 4.0, "tube", "S355"), "between pivots", 22.0),
    strut=Strut(tube_radius=26.0, tube_length=290.0),
    wheel=Wheel("205/55R16", 6.5 * INCH, 28.0),
    wheelbase=2510.0,
    corner_masses=(305.0, 305.0),
    bump_travel=55.0,
    droop_travel=65.0,
    keep_clear=(RAIL, _other_side(RAIL)),
)

FRONT = replace(
    REAR,
    name="invented car with its rack in front, no two corners alike",
    left=FRONT_LEFT,
    right=replace(
        FRONT_LEFT.mirrored(),
        strut_top=(-39.0, -548.0, 706.0),
        ball_joint=(5.0, -671.0, 172.5),
        toe=math.radians(-0.02),
        camber=math.radians(-0.6),
    ),
    rack=replace(RACK, direction=(0.0, math.cos(0.01), math.sin(0.01)), travel_each_side=62.0),
    wheel=Wheel("205/50R16", 7.0 * INCH, 30.0),
)

CARS = {"rear rack": REAR, "front rack": FRONT}

GOAL = Goal(lock=math.radians(44), clearance=6.0, over_centre_margin=math.radians(12))


def job(car: Car, **goal: Any) -> Job:
    """A job for one of the cars with some of the goal changed."""
    return Job(car=car, goal=replace(GOAL, **goal), fixed=Changes())


def mirrored(car: Car) -> Car:
    """The car seen in a mirror: what was left is right."""
    direction = car.rack.direction
    return replace(
        car,
        left=car.right.mirrored(),
        right=car.left.mirrored(),
        rack=replace(car.rack, direction=(-direction[0], direction[1], -direction[2])),
        corner_masses=car.corner_masses[::-1],
        keep_clear=tuple(map(_other_side, car.keep_clear)),
    )


@st.composite
def perturbed(draw: st.DrawFn) -> Car:
    """One of the cars with every point of both corners moved by up to 8 mm, toe and camber by up to a degree.

    The heights of the wheel centres stay, so that both tyres stand on the same ground.
    """
    car = draw(st.sampled_from(tuple(CARS.values())))
    shift = st.floats(-8.0, 8.0)
    angle = st.floats(-math.radians(1), math.radians(1))

    def moved(point: Vector) -> Vector:
        return (point[0] + draw(shift), point[1] + draw(shift), point[2] + draw(shift))

    def corner(points: CornerPoints) -> CornerPoints:
        changed: dict[str, Any] = {
            name: moved(value)
            for name, value in vars(points).items()
            if isinstance(value, tuple) and name != "wheel_centre"
        }
        return replace(points, **changed, toe=points.toe + draw(angle), camber=points.camber + draw(angle))

    tilt = draw(st.floats(-0.03, 0.03))
    rack = replace(car.rack, direction=(math.sin(tilt), math.cos(tilt), 0.0))
    return replace(car, left=corner(car.left), right=corner(car.right), rack=rack)
