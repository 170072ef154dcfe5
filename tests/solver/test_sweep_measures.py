"""Measures over steering × travel, against differences of poses, constructions in front view and the mirror."""

from __future__ import annotations

import math
import warnings
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Side
from solver.corner import Corner, over_centre_angle, pose_corner
from solver.errors import GeometryError
from solver.front_end import FrontEnd, assemble
from solver.measures import camber_angle, contact_centre, kerb_to_kerb, percent_ackermann, steer_angle
from solver.rates import moved_by_arm
from solver.state import state_of
from solver.sweep import TURNS, rack_sign
from solver.sweep_measures import (
    SweepMeasures,
    WheelMeasures,
    extremes,
    lowered,
    measure_sweep,
    roll_centre_height,
)
from solver.sweep_summary import lock_summary, overall_ratio, wheel_summary
from solver.vectors import Array
from tests.solver.cars import CARS, FRONT, GOAL, REAR, mirrored, perturbed

RACKS: dict[Side, float] = {"left": 50.0, "right": 54.0}
TOGETHER = (
    "inner",
    "outer",
    "ideal_outer",
    "percent_ackermann",
    "outer_slip",
    "kerb_to_kerb",
    "wall_to_wall",
    "heave",
    "roll",
    "steering_ratio",
)
TURNED = TOGETHER[2:7]
"""What is defined only where the wheels are turned."""

cars = pytest.mark.parametrize("name", CARS)


def radius_of(front_end: FrontEnd) -> float:
    """Loaded radius, mm."""
    assert front_end.tyre.loaded_radius is not None
    return front_end.tyre.loaded_radius


def arrays_of(wheel: WheelMeasures) -> dict[str, Array]:
    """Everything of one wheel that is an array of numbers."""
    own = {f.name: getattr(wheel, f.name) for f in fields(wheel)}
    numbers = {name: value for name, value in own.items() if isinstance(value, np.ndarray)}
    del numbers["reachable"]
    return {**numbers, **vars(wheel.joints), "toe": wheel.toe}


@settings(max_examples=20, deadline=None)
@given(car=perturbed(), left=st.floats(20, 160), right=st.floats(20, 160))
def test_no_nan_leaks(car: Car, left: float, right: float) -> None:
    """A number is finite where its mask says so, NaN where a pose is out of reach, and nothing warns on the way."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = measure_sweep(assemble(car, Changes()), {"left": left, "right": right}, points=5, travels=3)
    assert (2, 5, 3) == found.reachable.shape
    for side in TURNS:
        wheel = found.wheel(side)
        for name, values in arrays_of(wheel).items():
            assert np.array_equal(wheel.reachable, np.isfinite(values)), name
        assert np.array_equal(wheel.reachable, ~np.isnan(found.over_centre_rack(side)))
    assert np.array_equal(found.reachable, found.left.reachable & found.right.reachable)
    for name in TOGETHER:
        mask = found.turned if name in TURNED else found.reachable
        assert np.array_equal(mask, np.isfinite(getattr(found, name))), name
    # Straight ahead every pose is there, and only static toe can make a turn of it.
    assert found.reachable[:, 0].all()
    assert np.array_equal(found.turned, found.reachable & (np.nan_to_num(found.inner) >= math.radians(1)))
    assert np.isfinite(found.turns_lock_to_lock)


@cars
def test_agrees_with_the_state_at_lock(name: str) -> None:
    """At ride height and lock the sweep says what the answer to a job says, for both turns."""
    state = state_of(assemble(CARS[name], Changes()), GOAL)
    found, ride = state.sweep, state.sweep.at_ride_height
    assert 0.0 == found.travel[ride]
    assert state.turns_lock_to_lock == found.turns_lock_to_lock
    for index, turn in enumerate(TURNS):
        lock = state.turn(turn)
        place = (index, -1, ride)
        for expected, values in (
            (lock.lock, found.inner),
            (lock.outer, found.outer),
            (lock.ideal_outer, found.ideal_outer),
            (lock.percent_ackermann, found.percent_ackermann),
            (lock.turning_circle, found.kerb_to_kerb),
            (lock.outer - lock.ideal_outer, found.outer_slip),
        ):
            assert expected == pytest.approx(float(values[place]), rel=1e-9)
        over_centre = [found.wheel(side).over_centre[place] for side in TURNS]
        left = [found.over_centre_rack(side)[place] for side in TURNS]
        assert lock.over_centre == pytest.approx(float(min(over_centre)), abs=1e-9)
        assert lock.over_centre_travel == pytest.approx(float(min(left)), abs=1e-6)
        assert found.wall_to_wall[place] >= found.kerb_to_kerb[place]
    for corner in (state.left, state.right):
        wheel = found.wheel(corner.side)
        straight = (0, 0, ride)
        for expected, values in (
            (corner.camber, wheel.camber),
            (corner.toe, wheel.toe),
            (corner.caster, wheel.caster),
            (corner.inclination, wheel.inclination),
            (corner.scrub_radius, wheel.scrub_radius),
            (corner.trail, wheel.trail),
        ):
            assert expected == pytest.approx(float(values[straight]), abs=1e-8)


@settings(max_examples=20, deadline=None)
@given(car=perturbed(), rack=st.floats(-45, 45), travel=st.floats(-45, 40))
def test_bump_steer_and_camber_gain(car: Car, rack: float, travel: float) -> None:
    """The slopes are those of toe and camber over two travels a tenth of a millimetre apart, the rack held."""
    front_end = assemble(replace(car, bump_travel=travel + 50.0, droop_travel=50.0 - travel), Changes())
    # Ride height moved to the travel in question, which makes it one of the sweep's.
    front_end = lowered(front_end, travel)
    turn: Side = "left" if rack * front_end.left_sign > 0 else "right"
    found = measure_sweep(front_end, dict.fromkeys(TURNS, max(abs(rack), 1.0)), points=2, travels=3)
    signed = np.array([rack_sign(front_end, turn) * max(abs(rack), 1.0)])
    for assembly in front_end.sides:
        wheel = found.wheel(assembly.side)
        pose = front_end.poses(assembly, signed, np.array([-0.05, 0.05]))
        place = (TURNS.index(turn), 1, 1)
        if not wheel.reachable[place] or wheel.over_centre[place] < 0.15:
            continue
        inwards = -1 if assembly.side == "left" else 1
        # The difference's own error: curvatures of 1e-6 rad/mm² over 0.1 mm, and 1e-11 rad of arm angle over it.
        toe = inwards * np.diff(steer_angle(pose)[0])[0] / 0.1
        assert toe == pytest.approx(float(wheel.bump_steer[place]), abs=3e-8, rel=1e-4)
        camber = np.diff(camber_angle(pose)[0])[0] / 0.1
        assert camber == pytest.approx(float(wheel.camber_gain[place]), abs=3e-8, rel=1e-4)


@cars
def test_slopes_add_up(name: str) -> None:
    """Bump steer and camber gain summed over the travel are the change of toe and camber from droop to bump."""
    found = measure_sweep(assemble(CARS[name], Changes()), RACKS, travels=61)
    for side in TURNS:
        wheel = found.wheel(side)
        for slope, values in ((wheel.bump_steer, wheel.toe), (wheel.camber_gain, wheel.camber)):
            summed = np.trapezoid(slope, found.travel, axis=-1)
            # The trapezoid rule over 2 mm steps.
            assert values[..., -1] - values[..., 0] == pytest.approx(summed, abs=2e-5)


@cars
def test_steering_ratio(name: str) -> None:
    """Local: the slope of the steering wheel against the road wheels' mean. Overall: its angle over theirs."""
    car = CARS[name]
    front_end = assemble(car, Changes())
    found = measure_sweep(front_end, RACKS)
    ride, per_mm = found.at_ride_height, 2 * math.pi / car.rack.travel_per_turn
    for index, turn in enumerate(TURNS):
        for at in (0, 4, 8):
            rack = rack_sign(front_end, turn) * found.rack[index, at]
            poses = front_end.at_ride_height(np.array([rack - 0.01, rack + 0.01]))
            mean = sum(np.diff(steer_angle(pose))[0] for pose in poses) / 2
            expected = 0.02 * per_mm / abs(mean)
            # The difference over 0.02 mm is good to some 1e-7 of itself.
            assert expected == pytest.approx(float(found.steering_ratio[index, at, ride]), rel=1e-6)
    inner, outer = found.inner[:, -1, ride], found.outer[:, -1, ride]
    swept = float(inner.sum() + outer.sum()) / 2
    assert (50.0 + 54.0) * per_mm / swept == pytest.approx(float(found.overall_ratio[ride]), rel=1e-12)
    assert (50.0 + 54.0) / car.rack.travel_per_turn == pytest.approx(found.turns_lock_to_lock, rel=1e-12)


def rim_height(front_end: FrontEnd, side: Side, rack: float, travel: float) -> float:
    """Height of the lowest of many points of the disc that stands for the tyre, mm."""
    assembly = front_end.left if side == "left" else front_end.right
    pose = front_end.poses(assembly, np.array([rack]), np.array([travel]))
    spin, hub = pose.spin_axis[0, 0], pose.wheel_centre[0, 0]
    ahead = np.cross(spin, [0.0, 0.0, 1.0])
    ahead /= np.linalg.norm(ahead)
    angle = np.radians(np.arange(0.0, 360.0, 0.01))[:, None]
    rim = hub + radius_of(front_end) * (np.cos(angle) * ahead + np.sin(angle) * np.cross(ahead, spin))
    return float(rim[:, 2].min())


@cars
def test_jacking(name: str) -> None:
    """Heave and roll are mean and difference of how far the lowest points of both discs went down."""
    front_end = assemble(CARS[name], Changes())
    found = measure_sweep(front_end, RACKS, points=4, travels=3)
    for index, turn in enumerate(TURNS):
        for at, travel in enumerate(found.travel):
            rack = rack_sign(front_end, turn) * RACKS[turn]
            down = {
                side: rim_height(front_end, side, 0.0, travel) - rim_height(front_end, side, rack, travel)
                for side in TURNS
            }
            inner, outer = down[turn], down["right" if turn == "left" else "left"]
            # Half a hundredth of a degree round the disc is 1e-6 mm of height.
            assert (inner + outer) / 2 == pytest.approx(float(found.heave[index, -1, at]), abs=1e-5)
            assert inner - outer == pytest.approx(float(found.roll[index, -1, at]), abs=1e-5)
    assert np.zeros((2, 3)) == pytest.approx(found.heave[:, 0], abs=1e-9)


@settings(max_examples=15, deadline=None)
@given(car=perturbed())
def test_mirror(car: Car) -> None:
    """A car in the mirror turns left as the car turns right, wheel for wheel and number for number."""
    one = measure_sweep(assemble(car, Changes()), RACKS, points=4, travels=3)
    swapped: dict[Side, float] = {"left": RACKS["right"], "right": RACKS["left"]}
    other = measure_sweep(assemble(mirrored(car), Changes()), swapped, points=4, travels=3)
    odd = {"steer"}
    for side, across in (("left", other.right), ("right", other.left)):
        seen = arrays_of(across)
        for name, values in arrays_of(one.wheel("left" if side == "left" else "right")).items():
            sign = -1 if name in odd else 1
            # Arm angles are found to 1e-11 rad; near over-centre that is magnified.
            assert values == pytest.approx(sign * seen[name][::-1], rel=1e-5, abs=1e-5, nan_ok=True), name
    for name in TOGETHER:
        mask = one.turned
        assert np.array_equal(mask, other.turned[::-1])
        assert getattr(one, name)[mask] == pytest.approx(getattr(other, name)[::-1][mask], rel=1e-5, abs=1e-5)


def test_alike_both_ways() -> None:
    """A car whose sides are alike does in the right turn what it does in the left one."""
    found = measure_sweep(assemble(REAR, Changes()), dict.fromkeys(TURNS, 50.0))
    for name in TOGETHER:
        values = getattr(found, name)
        assert values[0][found.turned[0]] == pytest.approx(values[1][found.turned[1]], abs=1e-6), name


def in_front_view(pivot: Array, ball: Array, top: Array, lean: float, contact: float) -> Corner:
    """A corner whose points all lie in one plane across the car, (y, z) in mm; ``lean`` of the damper, rad."""
    flat = [np.array([0.0, *point]) for point in (pivot, ball, top)]
    along = np.array([0.0, -math.sin(lean), math.cos(lean)])
    pickup, inner = np.array([-120.0, ball[0] - 10.0, 190.0]), np.array([-125.0, 330.0, 205.0])
    return Corner(
        side=1,
        pivot=flat[0],
        pivot_axis=np.array([1.0, 0.0, 0.0]),
        arm_ball=flat[1],
        strut_top=flat[2],
        inner_joint=inner,
        rack_direction=np.array([0.0, 1.0, 0.0]),
        knuckle_ball=flat[1],
        damper_point=flat[2] - 350.0 * along,
        damper_direction=along,
        pickup=pickup,
        wheel_centre=np.array([0.0, contact, 300.0]),
        spin_axis=np.array([0.0, 1.0, 0.0]),
        tie_rod=float(np.linalg.norm(pickup - inner)),
        branch=-1,
    )


@settings(max_examples=100)
@given(
    pivot=st.tuples(st.floats(280, 380), st.floats(150, 260)),
    ball=st.tuples(st.floats(640, 700), st.floats(150, 230)),
    top=st.tuples(st.floats(500, 580), st.floats(600, 720)),
    lean=st.floats(-0.1, 0.4),
    contact=st.floats(700, 780),
)
def test_roll_centre_against_instant_centre(
    pivot: tuple[float, float],
    ball: tuple[float, float],
    top: tuple[float, float],
    lean: float,
    contact: float,
) -> None:
    """In one plane: contact centre to the crossing of the arm's line with the square to the damper at its top."""
    corner = in_front_view(np.array(pivot), np.array(ball), np.array(top), lean, contact)
    arm = np.array(ball) - pivot
    square = np.array([math.cos(lean), math.sin(lean)])
    crossing = np.linalg.det([arm, square])
    found = float(roll_centre_height(moved_by_arm(pose_corner(corner, 0.0, 0.0)), 300.0))
    if abs(crossing) < 1.0:
        # Parallel to within 0.2°: the crossing is more than 100 m away and the construction itself is ill-posed.
        return
    # pivot + s·arm = top + t·square
    share = np.linalg.det([np.array(top) - pivot, square]) / crossing
    centre = pivot + share * arm
    expected = centre[1] * contact / (contact - centre[0])
    # Rounding, magnified where the crossing is far away.
    assert expected == pytest.approx(found, rel=1e-8, abs=1e-6)


@cars
def test_roll_centre_is_the_limit_of_chords(name: str) -> None:
    """Normals to shorter and shorter chords of the contact centre's path meet the centre plane nearer and nearer."""
    front_end = assemble(CARS[name], Changes())
    found = measure_sweep(front_end, RACKS, points=2, travels=3)
    for assembly in front_end.sides:
        height = float(found.wheel(assembly.side).roll_centre[0, 0, 1])
        misses = []
        for travel in (16.0, 8.0, 4.0):
            pose = front_end.poses(assembly, np.zeros(1), np.array([-travel, travel]))
            low, high = contact_centre(pose, radius_of(front_end))[0, :, 1:]
            middle, chord = (low + high) / 2, high - low
            # Down from the chord's middle along its normal to the centre plane, over the ground.
            meets = middle[1] + middle[0] * chord[0] / chord[1] - front_end.ground
            misses.append(abs(meets - height))
        # Halving a chord about one point leaves a quarter of the miss.
        assert misses[1] == pytest.approx(misses[0] / 4, rel=0.05)
        assert misses[2] == pytest.approx(misses[1] / 4, rel=0.05)


@cars
def test_rack_left_to_over_centre(name: str) -> None:
    """Moved on by the rack that is left, steering arm and tie rod lie in one line, at every travel."""
    front_end = assemble(CARS[name], Changes())
    found = measure_sweep(front_end, RACKS, points=3, travels=3)
    for assembly in front_end.sides:
        left = found.over_centre_rack(assembly.side)
        for index, turn in enumerate(TURNS):
            for at in np.argwhere(np.isfinite(left[index, 1:])):
                rack, travel = found.rack[index, 1 + at[0]], found.travel[at[1] : at[1] + 1]
                # A hair before it, where the pose still exists.
                onwards = rack_sign(front_end, turn) * (rack + left[index, 1 + at[0], at[1]] - 1e-6)
                angle = over_centre_angle(front_end.poses(assembly, np.array([onwards]), travel))
                # The angle goes with the square root of what is left: 1e-6 mm of a 100 mm arm.
                assert 0.0 == pytest.approx(float(angle[0, 0]), abs=1e-3)


@settings(max_examples=15, deadline=None)
@given(car=perturbed(), drop=st.floats(-30, 30))
def test_lowered(car: Car, drop: float) -> None:
    """A lowered car is the same linkage: every pose is that of the car before, counted from another ride height."""
    before = assemble(car, Changes())
    after = lowered(before, drop)
    travel = np.array([-10.0, 0.0, 15.0])
    for here, there in zip(before.sides, after.sides, strict=True):
        for rack in (0.0, 30.0):
            expected = before.poses(here, np.array([rack]), travel + drop).wheel_centre
            # Both arm angles are found to 1e-11 rad.
            assert expected == pytest.approx(
                after.poses(there, np.array([rack]), travel).wheel_centre, abs=1e-7
            )
        assert here.corner == there.corner or here.corner.tie_rod == there.corner.tie_rod
    assert before.travels(3) - drop == pytest.approx(after.travels(3) + np.array([0.0, -drop, 0.0]), abs=1e-9)
    assert drop == after.changes.ride_height_drop


def test_lowered_is_assembled_with_its_rods() -> None:
    """The car assembled at another ride height with the tie rods it had is the lowered one, toe and all."""
    before = assemble(REAR, Changes())
    rod = before.left.corner.tie_rod
    after = lowered(before, 20.0)
    again = assemble(REAR, Changes(ride_height_drop=20.0, tie_rod_length=rod))
    for here, there in zip(after.sides, again.sides, strict=True):
        assert here.toe == pytest.approx(there.toe, abs=1e-9)
        assert here.ride_angle == pytest.approx(there.ride_angle, abs=1e-9)
    assert abs(after.left.toe - before.left.toe) > 1e-4


@pytest.mark.parametrize("drop", [-65.0, 55.0, 300.0])
def test_lowered_out_of_travel(drop: float) -> None:
    """A ride height beyond the suspension's travel is refused, with the drop and the travel."""
    with pytest.raises(GeometryError, match=rf"drop of {drop:.0f} mm .* 55 mm bump and 65 mm droop"):
        lowered(assemble(REAR, Changes()), drop)


@pytest.mark.parametrize("travels", [1, 4])
def test_travels_without_ride_height(travels: int) -> None:
    """A number of travels that leaves ride height out is refused."""
    with pytest.raises(ValueError, match=f"{travels} wheel travels"):
        measure_sweep(assemble(REAR, Changes()), RACKS, travels=travels)


def test_body_corner() -> None:
    """The body's front corner reaches the circle between walls, in both turns alike."""
    found = measure_sweep(
        assemble(REAR, Changes()), dict.fromkeys(TURNS, 50.0), body_corner=(780.0, 700.0), points=3, travels=3
    )
    alone = measure_sweep(assemble(REAR, Changes()), dict.fromkeys(TURNS, 50.0), points=3, travels=3)
    wider = found.wall_to_wall[:, -1, 1]
    assert (wider > alone.wall_to_wall[:, -1, 1] + 100.0).all()
    assert wider[0] == pytest.approx(float(wider[1]), abs=1e-6)
    assert np.array_equal(alone.kerb_to_kerb, found.kerb_to_kerb, equal_nan=True)


def test_extremes() -> None:
    """Least and greatest of what the mask lets through; None where it lets nothing through."""
    values = np.array([1.0, np.nan, -2.0, 5.0])
    assert (-2.0, 1.0) == extremes(values, np.array([True, False, True, False]))
    assert extremes(values, np.zeros(4, dtype=bool)) is None


def test_summary() -> None:
    """The summary's numbers are those of the sweep at their places, and the ranges hold what lies between."""
    front_end = assemble(FRONT, Changes())
    found: SweepMeasures = measure_sweep(front_end, RACKS)
    ride = found.at_ride_height
    wheel = wheel_summary(found, "right")
    toe = found.right.toe[0, 0]
    assert float(toe.max() - toe.min()) == wheel.toe_change
    assert found.right.roll_centre[1, 0, ride] == wheel.roll_centre
    low, high = wheel.roll_centre_range
    assert low < wheel.roll_centre < high
    assert found.right.joints.rod_outer.max() == wheel.rod_outer
    assert found.right.joints.rod_inner.max() == wheel.rod_inner
    assert found.right.bump_steer[0, 0, ride] == wheel.bump_steer
    assert found.right.camber_gain[0, 0, ride] == wheel.camber_gain
    lock = lock_summary(found, "right")
    poses = front_end.at_ride_height(np.array([rack_sign(front_end, "right") * RACKS["right"]]))
    outer, inner = (float(abs(steer_angle(pose)[0])) for pose in poses)
    assert outer - float(found.ideal_outer[1, -1, ride]) == pytest.approx(lock.outer_slip, abs=1e-12)
    ackermann = percent_ackermann(inner, outer, outer - lock.outer_slip)
    assert ackermann == pytest.approx(float(found.percent_ackermann[1, -1, ride]), rel=1e-9)
    ahead = float(contact_centre(poses[0], radius_of(front_end))[0, 0])
    kerb = kerb_to_kerb(outer, ahead, FRONT.wheelbase, front_end.tyre.section_width)
    # A tyre stands out of the line between kerbs by no more than its section and what its front corner adds.
    assert kerb <= lock.wall_to_wall < kerb + 100.0
    assert found.right.bump_steer[1, -1, ride] == lock.bump_steer_inner
    assert found.left.bump_steer[1, -1, ride] == lock.bump_steer_outer
    assert found.steering_ratio[1, -1, ride] == lock.steering_ratio
    assert (found.heave[1, -1, ride], found.roll[1, -1, ride]) == (lock.heave, lock.roll)


def test_no_lock_at_all() -> None:
    """Where a limit is met straight ahead there is no turn to measure: None, not a number and not an error."""
    found = measure_sweep(assemble(REAR, Changes()), {"left": 0.0, "right": 0.0})
    assert 0.0 == found.turns_lock_to_lock
    assert overall_ratio(found) is None
    for turn in TURNS:
        lock = lock_summary(found, turn)
        assert lock.outer_slip is None
        assert lock.wall_to_wall is None
        assert (0.0, 0.0) == (lock.heave, lock.roll)
        assert math.isfinite(lock.steering_ratio)
