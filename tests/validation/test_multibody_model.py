"""The whole front end against a second model of it in a general-purpose rigid-body library.

Source: MuJoCo, constraint Jacobian of joints and equality constraints; see `tests.validation.multibody` for the
model. Both models start from the same measured points. Ride height, tie-rod length, arm angles for suspension
travel and all poses are found twice, by ways that have nothing in common.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.car import Car, Changes, Move, Side
from solver.corner import over_centre_rack, pose_corner
from solver.front_end import FrontEnd, assemble
from solver.measures import camber_angle, steer_angle
from tests.solver.cars import CARS, FRONT, REAR, perturbed
from tests.validation.multibody import OPEN, MultibodyModel, Numbers, Place, assembled, standing_radius

SIDES: tuple[Side, Side] = ("left", "right")
POINT = 1e-9
"""mm, which is 1e-12 m. Both ways work in double precision on lengths up to 0.8 m, whose last digit is worth
1e-16 m. The largest difference seen over all sweeps is 1.5e-14 m; the rest is for other machines' arithmetic and
for poses at high lock, which magnify what is lost in rounding."""
DIRECTION = 1e-12
"""Without unit; POINT at the end of a lever of a metre."""
BAND = 1e-3
"""mm of rack on both sides of over-centre that are left out of the comparison of what can be reached. The quartic's
roots are known to 1e-6 mm, see `tests/solver/test_corner.py`; the second model's gap of OPEN is worth 1e-7 mm."""

CHANGES = {
    "as measured": Changes(),
    "spacer": Changes(rack_spacer=8.0),
    "longer arms": Changes(arm_extension=40.0),
    "pickup moved": Changes(pickup_move=Move(forward=9.0, outward=-7.0, up=4.0)),
    "ball joint dropped": Changes(ball_joint_drop=25.0),
    "everything": Changes(
        rack_spacer=6.0,
        arm_extension=30.0,
        pickup_move=Move(forward=4.0, outward=-3.0, up=2.0),
        rack_shift=Move(forward=3.0, up=-2.0),
        ball_joint_drop=15.0,
        strut_top_shift=Move(forward=-6.0, outward=-8.0),
        ride_height_drop=20.0,
    ),
}

cars = pytest.mark.parametrize("name", CARS)


def sweep_of(
    model: MultibodyModel, racks: Numbers, travels: Numbers
) -> dict[tuple[int, int], dict[Side, Place]]:
    """Every pose of the second model, by the place of its rack displacement and travel; rack 0 in the middle.

    For each travel the tyres are put to their height with the rack centred and the arms are then held. From there
    the rack is moved to both ends, place by place.
    """
    found: dict[tuple[int, int], dict[Side, Place]] = {}
    middle = len(racks) // 2
    start = model.data.qpos.copy()
    for column, travel in enumerate(travels):
        model.data.qpos[:] = start
        for share in (0.5, 1.0):
            height = model.changes.ride_height_drop + share * float(travel)
            model.stand(dict.fromkeys(SIDES, height), standing_radius(model.car), None)
        stood = model.data.qpos.copy()
        for way in (range(middle, len(racks)), range(middle, -1, -1)):
            model.data.qpos[:] = stood
            for row in way:
                model.set("rack", float(racks[row]))
                assert model.close() < 1e-13, (
                    "the second model's own loops are closed to a tenth of the tolerance"
                )
                found[row, column] = {side: model.place(side) for side in SIDES}
    return found


def assert_same_sweep(front_end: FrontEnd, model: MultibodyModel, racks: Numbers) -> None:
    """All points of both knuckles agree at all places."""
    travels = front_end.travels(5)
    poses = {a.side: front_end.poses(a, racks, travels) for a in front_end.sides}
    for place, sides in sweep_of(model, racks, travels).items():
        for side, expected in sides.items():
            pose = poses[side]
            assert pose.reachable[place]
            assert 0.0 == pytest.approx(expected.strut_top_off_damper, abs=POINT)
            assert expected.inner_joint == pytest.approx(pose.inner_joint[place], abs=POINT)
            assert expected.ball_joint == pytest.approx(pose.ball_joint[place], abs=POINT)
            assert expected.pickup == pytest.approx(pose.pickup[place], abs=POINT)
            assert expected.wheel_centre == pytest.approx(pose.wheel_centre[place], abs=POINT)
            damper = pose.point(pose.corner.damper_point)[place]
            assert expected.damper_point == pytest.approx(damper, abs=POINT)
            assert expected.spin_axis == pytest.approx(pose.spin_axis[place], abs=DIRECTION)


@pytest.mark.parametrize("changes", CHANGES)
@cars
def test_sweep(name: str, changes: str) -> None:
    """Both knuckles are where the second model has them, from stop to stop and from droop to bump."""
    front_end = assemble(CARS[name], CHANGES[changes])
    stop = front_end.rack_stop
    assert_same_sweep(front_end, assembled(CARS[name], CHANGES[changes]), np.linspace(-stop, stop, 15))


@pytest.mark.parametrize("link", ["front pivot", "rear pivot"])
def test_sweep_of_a_braced_arm(link: str) -> None:
    """The same for an arm whose extension runs from one of its pivots, and not from between them."""
    car = replace(FRONT, arm=replace(FRONT.arm, link_start=link))
    changes = Changes(arm_extension=35.0)
    assert_same_sweep(assemble(car, changes), assembled(car, changes), np.linspace(-60.0, 60.0, 9))


def test_sweep_to_high_lock() -> None:
    """The same with the pickup moved so close to the steering axis that the wheel goes beyond 60°."""
    changes = Changes(pickup_move=Move(forward=42.0, outward=12.0), rack_spacer=6.0)
    front_end = assemble(REAR, changes)
    racks = np.linspace(-60.0, 60.0, 17)
    steer = [np.degrees(steer_angle(pose)) for pose in front_end.at_ride_height(racks)]
    assert np.abs(steer).max() > 60
    assert_same_sweep(front_end, assembled(REAR, changes), racks)


@pytest.mark.parametrize("changes", CHANGES)
@cars
def test_standing(name: str, changes: str) -> None:
    """Arm angles at ride height and the tie rods that give the measured toe, found a second time."""
    front_end = assemble(CARS[name], CHANGES[changes])
    model = assembled(CARS[name], CHANGES[changes])
    for assembly in front_end.sides:
        # The solver's secant stops at steps of 1e-12 rad.
        assert model.arm(assembly.side) == pytest.approx(assembly.ride_angle, abs=1e-11)
        place = model.place(assembly.side)
        rod = float(np.linalg.norm(place.pickup - place.inner_joint))
        assert rod == pytest.approx(assembly.corner.tie_rod, abs=POINT)


@settings(max_examples=40)
@given(
    car=perturbed(),
    extension=st.floats(0, 45),
    forward=st.floats(-10, 10),
    drop=st.floats(0, 25),
    rack=st.floats(-60, 60),
    travel=st.floats(-55, 50),
)
def test_perturbed_cars(
    car: Car, extension: float, forward: float, drop: float, rack: float, travel: float
) -> None:
    """Steer, camber and points of both wheels for cars with every point moved, changed, at any place."""
    changes = Changes(
        rack_spacer=5.0, arm_extension=extension, pickup_move=Move(forward=forward), ball_joint_drop=drop
    )
    front_end, model = assemble(car, changes), assembled(car, changes)
    model.stand(dict.fromkeys(SIDES, travel), standing_radius(car), None)
    for share in np.linspace(0, 1, 9):
        model.set("rack", float(share * rack))
        model.close()
    for assembly in front_end.sides:
        pose = front_end.poses(assembly, np.array([rack]), np.array([travel]))
        expected = model.place(assembly.side)
        assert expected.ball_joint == pytest.approx(pose.ball_joint[0, 0], abs=POINT)
        assert expected.pickup == pytest.approx(pose.pickup[0, 0], abs=POINT)
        assert expected.wheel_centre == pytest.approx(pose.wheel_centre[0, 0], abs=POINT)
        x, y, z = expected.spin_axis
        outwards = 1 if assembly.side == "left" else -1
        assert math.atan2(-x, y) == pytest.approx(float(steer_angle(pose)[0, 0]), abs=DIRECTION)
        assert -outwards * math.asin(z) == pytest.approx(float(camber_angle(pose)[0, 0]), abs=DIRECTION)


def gap_at(model: MultibodyModel, side: Side, angle: float, rack: float) -> float:
    """Least gap in m that the second model is left with at an arm angle and a rack displacement.

    Arm and rack are moved there in steps. Where there is no pose the loops come to rest at their narrowest; the
    rod's end runs round the circle of the pickup then, on which there is one such place only.
    """
    ride = model.arm(side)
    for share in np.linspace(0, 1, 4)[1:]:
        model.set(f"{side} arm", float(ride + share * (angle - ride)))
        model.close()
    for share in np.linspace(0, 1, 13)[1:]:
        model.set("rack", float(share * rack))
        model.close()
    return model.close(200)


@settings(max_examples=150)
@given(
    car=perturbed(),
    extension=st.sampled_from((0.0, 30.0)),
    side=st.sampled_from(SIDES),
    angle=st.floats(-0.15, 0.12),
    turn=st.sampled_from((1, -1)),
    size=st.floats(math.log10(BAND), math.log10(90.0)),
    beyond=st.booleans(),
)
def test_over_centre(
    car: Car, extension: float, side: Side, angle: float, turn: int, size: float, beyond: bool
) -> None:
    """Over-centre is reported if and only if the second model finds no pose, from 0.001 mm to 90 mm off it."""
    changes = Changes(arm_extension=extension)
    front_end = assemble(car, changes)
    corner = (front_end.left if side == "left" else front_end.right).corner
    below, above = over_centre_rack(corner, angle)
    end = above if turn > 0 else below
    rack = end + turn * (1 if beyond else -1) * 10**size
    gap = gap_at(assembled(car, changes, (side,)), side, angle, rack)
    pose = pose_corner(corner, angle, rack)
    event("a pose" if pose.reachable else "no pose")
    assert (gap < OPEN) == bool(pose.reachable)
    # Without a pose the parts stay apart by most of what the rack is past it: nothing is close to the limit.
    assert pose.reachable or gap > 1e-4 * BAND


@settings(max_examples=60)
@given(
    car=perturbed(),
    side=st.sampled_from(SIDES),
    angle=st.floats(-0.15, 0.12),
    rack=st.floats(-200.0, 200.0),
)
def test_reach_anywhere(car: Car, side: Side, angle: float, rack: float) -> None:
    """The same for racks anywhere within 200 mm, whatever the solver says about where over-centre is."""
    corner = (assemble(car, Changes()).sides[SIDES.index(side)]).corner
    near = [abs(rack - end) < BAND for end in over_centre_rack(corner, angle)]
    gap = gap_at(assembled(car, Changes(), (side,)), side, angle, rack)
    assert any(near) or (gap < OPEN) == bool(pose_corner(corner, angle, rack).reachable)


def test_sees_a_thousandth() -> None:
    """A pickup drilled a thousandth of a mm off is seen in the second model's poses: it is no rubber stamp."""
    model = assembled(REAR, Changes(pickup_move=Move(up=0.001)))
    front_end = assemble(REAR, Changes())
    model.set("rack", 50.0)
    model.close()
    pose = front_end.poses(front_end.left, np.array([50.0]), np.zeros(1))
    assert np.abs(model.place("left").pickup - pose.pickup[0, 0]).max() > 1e5 * POINT
