"""The swept tyre: which poses are in it, what caused each, and the same poses seen from arm and knuckle."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.body.between import closest
from solver.body.nearest import nearest
from solver.body.resolution import along_surface, between_poses
from solver.body.sweep import Grid, ground_height, ride_height_centre, wheel_sweeps
from solver.car import Car, Changes, KeepClear
from solver.clearance import gap, obstacles
from solver.errors import GeometryError
from solver.front_end import assemble
from solver.sweep import TURNS
from solver.vectors import Array, length
from tests.solver.body.scenes import QUICK, front_end, sweeps
from tests.solver.cars import FRONT, REAR, perturbed


@pytest.mark.parametrize("car", [REAR, FRONT], ids=["rear rack", "front rack"])
def test_from_stop_to_stop_and_droop_to_bump(car: Car) -> None:
    """Both wheels are swept to the rack's stop both ways and to both ends of their travel, straight ahead included."""
    front = assemble(car, Changes(rack_spacer=4.0))
    for side, sweep in wheel_sweeps(front, QUICK).items():
        assert side == sweep.side
        stop = car.rack.travel_each_side + 4.0
        assert (-stop, stop) == pytest.approx((sweep.rack.min(), sweep.rack.max()))
        assert (-car.droop_travel, car.bump_travel) == (sweep.travel.min(), sweep.travel.max())
        assert {0.0} <= set(np.round(sweep.rack, 9)) & set(np.round(sweep.travel, 9))


def test_pose_is_what_its_cause_says() -> None:
    """A pose's rack and travel, posed anew, put the wheel where the sweep has it, and steer it as it says."""
    front, sweep = front_end(), sweeps()["right"]
    for number in (0, 17, sweep.count - 1):
        cause = sweep.cause(number)
        pose = front.poses(front.right, np.array([cause.rack]), np.array([cause.travel]))
        assert pose.wheel_centre[0, 0] == pytest.approx(sweep.centres[number], abs=1e-9)
        assert pose.spin_axis[0, 0] == pytest.approx(sweep.axes[number], abs=1e-12)
        x, y, _ = sweep.axes[number]
        assert math.atan2(-x, y) == pytest.approx(cause.steer, abs=1e-12)
    with pytest.raises(IndexError):
        sweep.cause(sweep.count)


def test_rack_steps_move_the_tyre_alike() -> None:
    """Of the two wheels the one that moves more does so by the same, within a tenth, in every step of the rack."""
    front = assemble(REAR, Changes(rack_spacer=8.0))
    radius = front.tyre.outside_diameter / 2

    def largest_steps(rack: Array) -> Array:
        moved = []
        for assembly in front.sides:
            pose = front.poses(assembly, rack, np.zeros(1))
            step = length(np.diff(pose.wheel_centre[:, 0], axis=0))
            moved.append(step + radius * length(np.diff(pose.spin_axis[:, 0], axis=0)))
        return np.maximum(*moved)

    spaced = largest_steps(wheel_sweeps(front, Grid(41, 3))["left"].parts[0].rack)
    assert spaced.max() < 1.1 * spaced.min()
    even = largest_steps(np.linspace(-front.rack_stop, front.rack_stop, 41))
    assert even.max() > 1.5 * even.min()


def test_given_racks() -> None:
    """A sweep to a lock goes so far and no farther, each way its own."""
    sweep = wheel_sweeps(front_end(), QUICK, {"left": 30.0, "right": 40.0})["left"]
    sign = front_end().left_sign
    out = sorted((sign * 30.0, -sign * 40.0))
    assert out == pytest.approx([sweep.rack.min(), sweep.rack.max()])


def test_poses_beyond_over_centre_are_left_out() -> None:
    """With the stop past over-centre only poses that exist are numbered, and all are finite."""
    car = replace(REAR, rack=replace(REAR.rack, travel_each_side=140.0))
    sweep = wheel_sweeps(assemble(car, Changes()), QUICK)["left"]
    assert 0 < sweep.count < 21 * 7
    assert np.isfinite(sweep.centres).all()
    assert np.isfinite(sweep.axes).all()
    assert np.isfinite(sweep.steer).all()


def test_a_drop_keeps_the_bump_stops() -> None:
    """The lowered car has that much less bump travel and more droop, and its poses are told by the drop."""
    sweep = wheel_sweeps(front_end(), replace(QUICK, drops=(0.0, 20.0)))["left"]
    lowered = sweep.parts[1]
    assert (-REAR.droop_travel - 20, REAR.bump_travel - 20) == (lowered.travel[0], lowered.travel[-1])
    # The damper's ends are the same: the wheel's centre comes as high in the body as before.
    high, low = (part.pose.wheel_centre[..., 2] for part in sweep.parts)
    assert float(np.nanmax(high)) == pytest.approx(float(np.nanmax(low)), abs=0.5)
    assert {0.0, 20.0} == {sweep.cause(number).drop for number in (0, sweep.count - 1)}
    with pytest.raises(GeometryError, match="60 mm is outside of the suspension's travel of 55 mm bump"):
        wheel_sweeps(front_end(), replace(QUICK, drops=(60.0,)))


def test_a_roll_adds_the_travels_it_brings() -> None:
    """Rolled by 3° each wheel is up or down by half the track times its tangent, and such a pose says so."""
    sweep = wheel_sweeps(front_end(), replace(QUICK, rolls=(math.radians(3),)))["left"]
    half = REAR.left.wheel_centre[1]
    lift = half * math.tan(math.radians(3))
    travels = sweep.parts[0].travel
    assert 9 == len(travels)
    for wanted in (lift, -lift):
        # The wheel centre at ride height is where it was measured, within the toe's setting.
        at = int(np.abs(travels - wanted).argmin())
        assert wanted == pytest.approx(travels[at], abs=0.1)
        number = int(np.flatnonzero(sweep.travel == travels[at])[0])
        assert math.radians(3) == sweep.cause(number).roll
    assert sweep.cause(0).roll is None
    steep = wheel_sweeps(front_end(), replace(QUICK, rolls=(math.radians(9),)))["left"].parts[0]
    assert (-REAR.droop_travel, REAR.bump_travel) == (steep.travel[0], steep.travel[-1])


@settings(max_examples=15)
@given(car=perturbed(), fixed_to=st.sampled_from(["body", "arm", "knuckle"]))
def test_seen_from_what_it_is_fixed_to(car: Car, fixed_to: str) -> None:
    """A ball fixed to body, arm or knuckle has the same least gap as a point there and as a keep-clear object."""
    place = (-120.0, 560.0, 390.0)
    ball = KeepClear("ball", place, place, 0.0, fixed_to, "left")  # type: ignore[arg-type]
    front = assemble(replace(car, keep_clear=(ball,)), Changes())
    sweep = wheel_sweeps(front, QUICK)["left"]
    found = nearest(np.array([place]), sweep.tyre(fixed_to))  # type: ignore[arg-type]
    obstacle = next(item for item in obstacles(front, front.left) if item.name == "ball")
    least = float(np.nanmin(gap(front.tyre.grown(), obstacle, sweep.parts[0].pose)))
    # A ball has no length to search along: rounding only.
    assert least == pytest.approx(float(found.distance[0]), abs=1e-7)


def test_bars_are_carried() -> None:
    """A bar on the knuckle turns with it, the tie rod keeps its length and runs from the rack to the pickup."""
    front, sweep = front_end(), sweeps()["left"]
    corner = front.left.corner
    rod = sweep.tie_rod(9.0)
    assert corner.tie_rod == pytest.approx(length(rod.ends - rod.starts), abs=1e-9)
    on_knuckle = sweep.bar(np.array(corner.pickup), np.array(corner.wheel_centre), 5.0, "knuckle")
    assert rod.ends == pytest.approx(on_knuckle.starts, abs=1e-9)
    assert sweep.centres == pytest.approx(on_knuckle.ends, abs=1e-9)


def test_places_to_count_from() -> None:
    """Straight ahead at ride height the wheel's centre is the measured one, and the ground is at 0."""
    sweep = sweeps()["left"]
    assert REAR.left.wheel_centre == pytest.approx(ride_height_centre(sweep), abs=0.05)
    assert ground_height(sweep) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("car", [REAR, FRONT], ids=["rear rack", "front rack"])
def test_between_the_poses_within_the_bound(car: Car) -> None:
    """Against a grid sixteen times as fine no distance is short by more than the bound that is stated for it."""
    front = assemble(car, Changes(rack_spacer=5.0))
    rng = np.random.default_rng(3)
    fine, coarse = (wheel_sweeps(front, grid)["left"] for grid in (Grid(161, 57), Grid(41, 15)))
    points = ride_height_centre(coarse) + rng.uniform(-430, 430, (1500, 3))
    exact, found = nearest(points, fine.tyre()).distance, nearest(points, coarse.tyre()).distance
    short = found - exact
    assert short.min() > -1e-9
    for low, high in ((0.0, 4.0), (4.0, 8.0), (8.0, 30.0), (30.0, 300.0)):
        some = (exact >= low) & (exact < high)
        assert some.sum() > 9
        # Next to the rim's sharp edge only the bound without a radius holds; most points are not.
        assert short[some].max() <= between_poses(coarse, low, curvature_radius=0.0)
        assert np.quantile(short[some], 0.99) <= between_poses(coarse, low)
    # The bound tells something: it is met within a factor.
    assert short[(exact >= 8) & (exact < 30)].max() > 0.1 * between_poses(coarse, 8.0)


def test_finer_grids_have_smaller_bounds() -> None:
    """Twice as many poses both ways leave a quarter, and a little more where steps are not small."""
    bounds = [
        between_poses(wheel_sweeps(front_end(), Grid(n, m))["left"], 8.0) for n, m in ((41, 11), (81, 21))
    ]
    assert bounds[0] / 4 <= bounds[1] <= bounds[0] / 3


def test_one_place_looked_at_between_the_poses() -> None:
    """Around the grid's nearest pose the distance found is that of a far finer grid, to a hundredth of a mm."""
    coarse = wheel_sweeps(front_end(), Grid(21, 7))["left"]
    fine = wheel_sweeps(front_end(), Grid(401, 161))["left"]
    rng = np.random.default_rng(6)
    points = ride_height_centre(coarse) + rng.uniform(-430, 430, (60, 3))
    found, exact = nearest(points, coarse.tyre()), nearest(points, fine.tyre()).distance
    outside = exact > 0
    for point, number, least, grid in zip(points, found.pose, exact, found.distance, strict=True):
        distance, cause = closest(point, coarse, int(number))
        assert distance <= grid
        pose = front_end().poses(front_end().left, np.array([cause.rack]), np.array([cause.travel]))
        there = float(coarse.tyre().solid.distance(point, pose.wheel_centre[0, 0], pose.spin_axis[0, 0]))
        assert there == pytest.approx(distance, abs=1e-6)
        if least > 0:
            assert distance <= least + 0.01
    assert outside.sum() > 20


def test_bound_within_a_triangle() -> None:
    """On a flat panel the nearest place of a ball between three corners is no nearer than the bound says."""
    edge, radius, distance = 5.0, 29.0, 8.0
    corners = np.array([[0, 0, 0], [edge, 0, 0], [edge / 2, edge * math.sqrt(0.75), 0]])
    centre = corners.mean(axis=0) + np.array([0, 0, radius + distance])
    at_corners = float(length(corners - centre).min()) - radius
    short = at_corners - distance
    assert 0 < short <= along_surface(edge, distance, radius)
    # By hand: √(37² + 25/3) − 37 = 0.1124, and 25/(6 · 37) = 0.1126.
    assert 0.1124 == pytest.approx(short, abs=1e-4)
    assert 0.1126 == pytest.approx(along_surface(edge, distance, radius), abs=1e-4)


def test_turns_are_both_there() -> None:
    """The left wheel is the inner one of a left turn and the outer of a right one: it steers both ways."""
    for side, sweep in sweeps().items():
        assert sweep.steer.max() > 0.5, side
        assert sweep.steer.min() < -0.5, side
    assert ("left", "right") == TURNS
