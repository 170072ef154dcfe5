"""Each change to the car does what it says, and leaves alone what it doesn't say.

Static toe is restored by the tie rod's length after every change but a given length.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Move, Wheel
from solver.front_end import FrontEnd, assemble, link_points, points_of
from solver.measures import (
    camber_angle,
    caster_angle,
    contact_centre,
    inclination_angle,
    scrub_radius_and_trail,
    steer_angle,
)
from solver.vectors import length
from tests.solver.cars import CARS, INCH, REAR, perturbed

ANGLE = 1e-9
"""rad. The ride angle is found to 1e-11 rad."""

EVERY = {
    "spacer": Changes(rack_spacer=6.0),
    "extension": Changes(arm_extension=32.0),
    "pickup": Changes(pickup_move=Move(forward=8.0, outward=-6.0, up=3.0)),
    "rack": Changes(rack_shift=Move(forward=6.0, up=-4.0)),
    "ball joint": Changes(ball_joint_drop=20.0),
    "strut top": Changes(strut_top_shift=Move(forward=-8.0, outward=-10.0)),
    "ride height": Changes(ride_height_drop=25.0),
    "wheel": Changes(wheel=Wheel("225/45R17", 7.5 * INCH, 20.0)),
}

cars = pytest.mark.parametrize("name", CARS)


def before_and_after(car: Car, changes: Changes) -> tuple[FrontEnd, FrontEnd]:
    """The car as measured and as changed."""
    return assemble(car, Changes()), assemble(car, changes)


def straight(front_end: FrontEnd) -> dict[str, np.ndarray]:
    """Measures of left and right, rack centred, at ride height; degrees and mm."""
    radius = front_end.tyre.loaded_radius or 0.0
    poses = front_end.at_ride_height(np.zeros(1))
    both = [scrub_radius_and_trail(pose, radius) for pose in poses]
    return {
        "camber": np.degrees([camber_angle(pose)[0] for pose in poses]),
        "caster": np.degrees([caster_angle(pose)[0] for pose in poses]),
        "inclination": np.degrees([inclination_angle(pose)[0] for pose in poses]),
        "scrub": np.array([scrub[0] for scrub, _ in both]),
        "trail": np.array([trail[0] for _, trail in both]),
        "rod": np.array([a.corner.tie_rod for a in front_end.sides]),
        "ball": np.array([pose.ball_joint[0, 2] for pose in poses]),
        "ride": np.array([a.ride_angle for a in front_end.sides]),
    }


@pytest.mark.parametrize("change", EVERY)
@cars
def test_toe_is_kept(name: str, change: str) -> None:
    """After any change but a given rod both wheels have the measured toe, and stand on the ground."""
    car = CARS[name]
    front_end = assemble(car, EVERY[change])
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        toe = points_of(car, assembly.side).toe
        assert toe == pytest.approx(-assembly.corner.side * float(steer_angle(pose)[0]), abs=ANGLE)
        assert toe == assembly.toe
        low = contact_centre(pose, front_end.tyre.loaded_radius or 0.0)[0, 2]
        assert front_end.ground == pytest.approx(low, abs=1e-7)
        assert assembly.corner.tie_rod == pytest.approx(
            float(length(pose.pickup - pose.inner_joint)[0]), abs=1e-7
        )


@cars
@pytest.mark.parametrize("thickness", [3.0, 8.0])
def test_spacer(name: str, thickness: float) -> None:
    """It moves the inner joint outwards along the rack, and the stop; the rod gets that much shorter."""
    before, after = before_and_after(CARS[name], Changes(rack_spacer=thickness))
    for old, new in zip(before.sides, after.sides, strict=True):
        shift = new.corner.inner_joint - old.corner.inner_joint
        assert new.corner.side * thickness * new.corner.rack_direction == pytest.approx(shift, abs=1e-12)
        # The rods are within some 6° of the rack's line, whose cosine is within 1 % of 1.
        assert thickness == pytest.approx(old.corner.tie_rod - new.corner.tie_rod, rel=0.01)
    assert before.rack_stop + thickness == after.rack_stop
    assert straight(before)["camber"] == pytest.approx(straight(after)["camber"], abs=1e-6)


@settings(max_examples=40)
@given(car=perturbed(), extension=st.floats(5.0, 60.0))
def test_extension(car: Car, extension: float) -> None:
    """The ball joint is that much further from the link's start, and track and tie rods grow with it.

    Wider below, the wheel leans further in at its top.
    """
    before, after = before_and_after(car, Changes(arm_extension=extension))
    for old, new in zip(before.sides, after.sides, strict=True):
        start, _ = link_points(car, points_of(car, new.side))
        was, now = (float(length(c.corner.arm_ball - start)) for c in (old, new))
        assert extension == pytest.approx(now - was, abs=1e-9)
        # The link leans by some degrees in front and top view and the strut's top stays where it is.
        assert extension == pytest.approx(new.corner.tie_rod - old.corner.tie_rod, rel=0.15)
    # The contact centre moves as the ball joint does, a little more as the knuckle leans about the strut top.
    assert 2 * extension == pytest.approx(after.track - before.track, rel=0.35)
    assert after.track - before.track > 2 * extension * 0.95
    assert np.all(straight(after)["camber"] < straight(before)["camber"])
    assert np.all(straight(after)["inclination"] > straight(before)["inclination"])


@settings(max_examples=40)
@given(car=perturbed(), forward=st.floats(-15, 15), outward=st.floats(-15, 15), up=st.floats(-10, 10))
def test_pickup_and_rack(car: Car, forward: float, outward: float, up: float) -> None:
    """A moved pickup or rack moves just that point, the same on both sides; the wheel stands as before."""
    before = assemble(car, Changes())
    pickup = assemble(car, Changes(pickup_move=Move(forward, outward, up)))
    rack = assemble(car, Changes(rack_shift=Move(forward=forward, up=up)))
    for side in (0, 1):
        old, sign = before.sides[side].corner, before.sides[side].corner.side
        move = pickup.sides[side].corner.pickup - old.pickup
        assert np.array([forward, sign * outward, up]) == pytest.approx(move, abs=1e-12)
        move = rack.sides[side].corner.inner_joint - old.inner_joint
        assert np.array([forward, 0.0, up]) == pytest.approx(move, abs=1e-12)
    for changed in (pickup, rack):
        for measure in ("camber", "caster", "inclination", "scrub", "trail", "ride"):
            assert straight(before)[measure] == pytest.approx(straight(changed)[measure], abs=1e-6), measure


@cars
def test_pickup_closer_turns_further(name: str) -> None:
    """A pickup nearer to the steering axis turns the wheel further for the same rack travel."""
    toward = 1.0 if CARS[name].left.pickup[0] < 0 else -1.0
    locks = []
    for move in (0.0, 10.0, 20.0):
        front_end = assemble(CARS[name], Changes(pickup_move=Move(forward=toward * move)))
        left, _ = front_end.at_ride_height(np.array([front_end.left_sign * 50.0]))
        locks.append(float(steer_angle(left)[0]))
    assert locks[0] < locks[1] < locks[2]


@cars
@pytest.mark.parametrize("longer", [4.0, -4.0])
def test_given_rod(name: str, longer: float) -> None:
    """A given rod is kept and toe is what results: with the rack behind a longer rod toes in, else out."""
    car = CARS[name]
    before = assemble(car, Changes())
    rod = before.left.corner.tie_rod + longer
    after = assemble(car, Changes(tie_rod_length=rod))
    behind = car.left.pickup[0] < 0
    for old, new, pose in zip(before.sides, after.sides, after.at_ride_height(np.zeros(1)), strict=True):
        assert rod == new.corner.tie_rod
        assert rod == pytest.approx(float(length(pose.pickup - pose.inner_joint)[0]), abs=1e-9)
        assert (longer > 0) == (new.toe > old.toe if behind else new.toe < old.toe)
        assert new.toe == pytest.approx(-new.corner.side * float(steer_angle(pose)[0]), abs=ANGLE)
        # The steering arm is some 105 mm long and nearly square to the rod.
        assert abs(longer) / 105 == pytest.approx(abs(new.toe - old.toe), rel=0.15)
        low = contact_centre(pose, after.tyre.loaded_radius or 0.0)[0, 2]
        assert after.ground == pytest.approx(low, abs=1e-7)


@cars
def test_given_rod_is_the_solved_one(name: str) -> None:
    """Giving the rod that the solver found gives back the toe that it was found for."""
    changes = Changes(arm_extension=25.0, ball_joint_drop=10.0)
    solved = assemble(CARS[name], changes)
    given_rod = assemble(CARS[name], replace(changes, tie_rod_length=solved.left.corner.tie_rod))
    assert solved.left.toe == pytest.approx(given_rod.left.toe, abs=ANGLE)
    assert solved.left.ride_angle == pytest.approx(given_rod.left.ride_angle, abs=ANGLE)


@cars
def test_ball_joint_drop(name: str) -> None:
    """The ball joint sits that much lower in the knuckle, and at the same ride height over the ground.

    As the knuckle leans by a degree or two, by 5 % more or less.
    """
    drop = 20.0
    before, after = before_and_after(CARS[name], Changes(ball_joint_drop=drop))
    for old, new in zip(before.sides, after.sides, strict=True):
        assert drop == pytest.approx(old.corner.knuckle_ball[2] - new.corner.knuckle_ball[2], abs=1e-12)
        assert np.array_equal(old.corner.arm_ball, new.corner.arm_ball)
        assert new.ride_angle < old.ride_angle
    fall = straight(before)["ball"] - straight(after)["ball"]
    assert drop == pytest.approx(fall[0], rel=0.05)
    assert drop == pytest.approx(fall[1], rel=0.05)


@cars
def test_strut_top(name: str) -> None:
    """Back: more caster and trail. In: more inclination, camber more negative. Each by the right angle."""
    car = CARS[name]
    before = straight(assemble(car, Changes()))
    back = straight(assemble(car, Changes(strut_top_shift=Move(forward=-10.0))))
    inwards = straight(assemble(car, Changes(strut_top_shift=Move(outward=-10.0))))
    # 10 mm over the strut's height of some 534 mm are 1.07°, a little less where the axis leans already.
    turn = math.degrees(math.atan(10 / 534))
    for side in (0, 1):
        assert turn == pytest.approx(back["caster"][side] - before["caster"][side], rel=0.15)
        assert turn == pytest.approx(inwards["inclination"][side] - before["inclination"][side], rel=0.15)
        # The wheel leans with the strut about the ball joint, and the arm goes along a little.
        assert -turn == pytest.approx(inwards["camber"][side] - before["camber"][side], rel=0.15)
        assert back["trail"][side] > before["trail"][side]
        assert abs(back["camber"][side] - before["camber"][side]) < 0.1
        assert abs(inwards["caster"][side] - before["caster"][side]) < 0.1


@settings(max_examples=40)
@given(car=perturbed(), drop=st.floats(-25, 40))
def test_ride_height(car: Car, drop: float) -> None:
    """A body lowered by so much has the ground that much higher in its axes, and the arms go up for it."""
    before, after = before_and_after(car, Changes(ride_height_drop=drop))
    assert before.ground + drop == pytest.approx(after.ground, abs=1e-9)
    for old, new in zip(before.sides, after.sides, strict=True):
        if abs(drop) > 0.01:
            assert (drop > 0) == (new.ride_angle > old.ride_angle)
        # The same as wheel travel, but with the toe restored: bump steer of some degrees is worth up to a
        # millimetre of height at the end of the arm.
        travelled = float(before.arm_angles(old, np.array([drop]))[0])
        assert travelled == pytest.approx(new.ride_angle, abs=1.0 / 330)


@cars
@pytest.mark.parametrize("size", ["195/50R15", "225/45R17", "215/60R16"])
def test_other_tyre(name: str, size: str) -> None:
    """The springs hold the body over the wheel centres: another tyre lifts both and moves no arm.

    The tyre is pressed in as far as the measured one. With the wheel leaning by a degree its lowest point
    goes by the cosine, so the arm moves by less than 0.02 mm.
    """
    car = CARS[name]
    wheel = Wheel(size, 7.0 * INCH, car.wheel.offset)
    before, after = before_and_after(car, Changes(wheel=wheel))
    old, new = (end.tyre.outside_diameter / 2 - (end.tyre.loaded_radius or 0.0) for end in (before, after))
    assert old == pytest.approx(new, abs=1e-9)
    grown = (after.tyre.loaded_radius or 0.0) - (before.tyre.loaded_radius or 0.0)
    assert before.ground - grown == pytest.approx(after.ground, abs=1e-9)
    for a, b in zip(before.sides, after.sides, strict=True):
        assert a.ride_angle == pytest.approx(b.ride_angle, abs=0.02 / 330)
        assert a.corner.tie_rod == pytest.approx(b.corner.tie_rod, abs=0.02)


def test_measured_radius_of_the_new_tyre() -> None:
    """A loaded radius given for the new tyre goes before the pressed-in one."""
    wheel = Wheel("225/45R17", 7.0 * INCH, REAR.wheel.offset, loaded_radius=303.0)
    assert 303.0 == assemble(REAR, Changes(wheel=wheel)).tyre.loaded_radius


@cars
@pytest.mark.parametrize("further_out", [12.0, -8.0])
def test_wheel_offset(name: str, further_out: float) -> None:
    """An offset less by so much moves the wheel out: track grows by twice, scrub radius by once as much."""
    car = CARS[name]
    wheel = replace(car.wheel, offset=car.wheel.offset - further_out)
    before, after = before_and_after(car, Changes(wheel=wheel))
    # The wheel's axis leans by a degree at most, so cosines differ from 1 by less than 1e-3.
    assert 2 * further_out == pytest.approx(after.track - before.track, rel=2e-3)
    for side in (0, 1):
        change = straight(after)["scrub"][side] - straight(before)["scrub"][side]
        assert further_out == pytest.approx(change, rel=2e-2)


@cars
def test_nothing_changed(name: str) -> None:
    """Changes of zero, and the measured wheel given as the new one, change nothing."""
    before = assemble(CARS[name], Changes())
    after = assemble(CARS[name], Changes(wheel=CARS[name].wheel))
    for measure, values in straight(before).items():
        assert values == pytest.approx(straight(after)[measure], abs=1e-9), measure
