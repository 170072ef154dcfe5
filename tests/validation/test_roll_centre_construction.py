"""Roll-centre height of a strut front end in front view.

Source: Reimpell, The Automotive Chassis, chapter 3, the construction and its formula from memory:
k = c / sin(σ + β), p = k sin β + d, h = (track / 2) · p / (k cos β + d tan σ + scrub radius), with c the strut
top to ball joint, d the ball joint's height, σ the strut's inclination and β the arm's slope. The points are
ours; the construction drawn with them and the formula agree. Heights of the second case follow from the same.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.corner import pose_corner
from solver.measures import contact_centre
from solver.rates import moved_by_arm
from solver.sweep_measures import roll_centre_height
from tests.validation.test_strut_front_view import BALL_JOINT, HALF_TRACK, MOUNT, PIVOT, RADIUS, pose

HEIGHTS = [(210.0, 136.551), (190.0, 81.536)]
"""Height of the arm's inner pivot and of the roll centre, mm."""


def formula(pivot_height: float) -> float:
    """h as in the source, mm."""
    sigma = math.atan2(BALL_JOINT[0] - MOUNT[0], MOUNT[1] - BALL_JOINT[1])
    beta = math.atan2(pivot_height - BALL_JOINT[1], BALL_JOINT[0] - PIVOT[0])
    reach = math.dist(MOUNT, BALL_JOINT) / math.sin(sigma + beta)
    height = reach * math.sin(beta) + BALL_JOINT[1]
    foot = BALL_JOINT[0] + BALL_JOINT[1] * math.tan(sigma)
    across = reach * math.cos(beta) + BALL_JOINT[1] * math.tan(sigma) + (HALF_TRACK - foot)
    return HALF_TRACK * height / across


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("pivot_height", "height"), HEIGHTS)
def test_height(side: int, pivot_height: float, height: float) -> None:
    """136.551 mm, and 81.536 mm with the inner pivot 20 mm lower: to the digits given, either side."""
    corner = pose(side).corner
    pivot = np.array([0.0, side * PIVOT[0], pivot_height])
    moved = moved_by_arm(pose_corner(replace(corner, pivot=pivot), 0.0, 0.0))
    assert height == pytest.approx(formula(pivot_height), abs=5e-4)
    assert height == pytest.approx(float(roll_centre_height(moved, RADIUS)), abs=5e-4)
    # The construction is exact for a strut in one plane: nothing but rounding is between the two.
    assert formula(pivot_height) == pytest.approx(float(roll_centre_height(moved, RADIUS)), rel=1e-10)


@pytest.mark.parametrize(("pivot_height", "height"), HEIGHTS)
def test_limit_of_small_travel(pivot_height: float, height: float) -> None:
    """The normal to a chord of the contact centre's exact path comes to the construction as the chord shrinks."""
    corner = replace(pose().corner, pivot=np.array([0.0, PIVOT[0], pivot_height]))
    misses = []
    for swing in (0.04, 0.02, 0.01):
        ends = pose_corner(corner, np.array([-swing, swing]), 0.0)
        low, high = contact_centre(ends, RADIUS)[:, 1:]
        middle, chord = (low + high) / 2, high - low
        misses.append(middle[1] + middle[0] * chord[0] / chord[1] - height)
    # A quarter for each halving; the given height has three decimals.
    assert misses[1] == pytest.approx(misses[0] / 4, rel=0.05, abs=1e-3)
    assert misses[2] == pytest.approx(misses[1] / 4, rel=0.05, abs=1e-3)
