"""Gaps between the tyre and what is near it, in the frame of what it is fixed to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from solver.car import Car, Changes, KeepClear
from solver.clearance import arm_angle_of, gap, in_arm, obstacles
from solver.corner import pose_corner
from solver.front_end import FrontEnd, assemble
from solver.vectors import Array
from tests.solver.cars import REAR, perturbed

ANGLES = np.linspace(-0.15, 0.12, 4)


def swung(front_end: FrontEnd, point: Array, angle: float) -> Array:
    """A point of the left arm, swung about the arm's axis by SciPy."""
    corner = front_end.left.corner
    turned: Array = Rotation.from_rotvec(angle * corner.pivot_axis).apply(point - corner.pivot)
    return turned + corner.pivot


@settings(max_examples=40)
@given(car=perturbed(), rack=st.floats(-60, 60), extension=st.floats(0, 40))
def test_arm_frame(car: Car, rack: float, extension: float) -> None:
    """A point of the arm swings by the arm's angle, which is read back from where the ball joint is."""
    front_end = assemble(car, Changes(arm_extension=extension))
    corner = front_end.left.corner
    pose = pose_corner(corner, ANGLES, rack)
    assert ANGLES == pytest.approx(arm_angle_of(pose), abs=1e-12)
    point = np.array([20.0, 500.0, 185.0])
    placed = in_arm(np.broadcast_to(point, (4, 3)), pose)
    for i, angle in enumerate(ANGLES):
        assert swung(front_end, point, angle) == pytest.approx(placed[i], abs=1e-10)
    assert pose.ball_joint == pytest.approx(in_arm(np.broadcast_to(corner.arm_ball, (4, 3)), pose), abs=1e-10)


@pytest.mark.parametrize("fixed_to", ["body", "arm", "knuckle"])
def test_gap(fixed_to: str) -> None:
    """The gap of a ball is its middle's distance, carried by what it is fixed to, less its radius."""
    middle, radius = np.array([-150.0, 540.0, 420.0]), 15.0
    ball = KeepClear("ball", tuple(middle), tuple(middle), radius, fixed_to, "left")  # type: ignore[arg-type]
    front_end = assemble(replace(REAR, keep_clear=(ball,)), Changes())
    corner, tyre = front_end.left.corner, front_end.tyre.grown()
    obstacle = next(item for item in obstacles(front_end, front_end.left) if item.name == "ball")
    for angle, rack in ((0.0, 0.0), (0.1, -50.0), (-0.12, 40.0)):
        pose = pose_corner(corner, np.array([angle]), rack)
        turned = pose.rotation[0] @ (middle - corner.knuckle_ball) + pose.ball_joint[0]
        carried = {"body": middle, "arm": swung(front_end, middle, angle), "knuckle": turned}[fixed_to]
        expected = float(tyre.distance(carried, pose.wheel_centre[0], pose.spin_axis[0])) - radius
        # A ball has no length to search along: rounding only.
        assert expected == pytest.approx(float(gap(tyre, obstacle, pose)[0]), abs=1e-9)


def test_fixed_to_the_knuckle_never_moves_to_the_tyre() -> None:
    """The strut tube turns with the wheel: its gap is the same in every pose, NaN where there is none."""
    front_end = assemble(REAR, Changes())
    tube = next(item for item in obstacles(front_end, front_end.left) if item.name == "strut tube")
    pose = pose_corner(front_end.left.corner, ANGLES, np.array([[-300.0], [-50.0], [0.0], [50.0]]))
    found = gap(front_end.tyre.grown(), tube, pose)
    assert np.isnan(found[0]).all()
    alone = gap(front_end.tyre.grown(), tube, pose_corner(front_end.left.corner, 0.0, np.zeros(1)))
    # The search stops at the same places of the tube up to rounding, each within 0.19 mm of the least.
    assert float(alone[0]) == pytest.approx(found[1:], abs=0.19)
    assert float(alone[0]) == pytest.approx(float(found[2, 1]), abs=1e-6)


def test_obstacles() -> None:
    """Each side has its arm, its strut tube and its own keep-clear objects, the right ones mirrored."""
    front_end = assemble(REAR, Changes(arm_extension=30.0))
    left, right = (list(obstacles(front_end, side)) for side in front_end.sides)
    assert ["lower arm", "strut tube", "rail"] == [item.name for item in left]
    for here, there in zip(left, right, strict=True):
        assert here.name == there.name
        for point, other in ((here.start, there.start), (here.end, there.end)):
            assert point * [1, -1, 1] == pytest.approx(other, abs=1e-9)
    plain = next(obstacles(assemble(REAR, Changes()), front_end.left))
    longer = left[0]
    # 85 % of the link is taken as the arm, so that is the share of the extension it grows by.
    grown = np.linalg.norm(longer.end - longer.start) - np.linalg.norm(plain.end - plain.start)
    assert 0.85 * 30.0 == pytest.approx(float(grown), abs=1e-9)
