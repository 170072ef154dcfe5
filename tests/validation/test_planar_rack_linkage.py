"""A rack linkage in one plane.

Source: computed by us from the intersection of two circles, so these are regression values. They are checked
here against that intersection once more, written out by hand.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.corner import Reach, over_centre_angle, over_centre_rack, pose_corner
from solver.measures import steer_angle
from tests.validation.planar import upright_corner

KINGPIN, ARM_TIP, RACK_X, INNER_Y = (0.0, 700.0), (-140.0, 670.0), -110.0, 330.0
ROD, ARM = math.hypot(30.0, 340.0), math.hypot(140.0, 30.0)

TABLE = [
    # rack, steer, angle between steering arm and tie rod
    (0.0, 0.0, 97.05),
    (-20.0, 8.151, 106.16),
    (-40.0, 16.729, 116.23),
    (-60.0, 26.179, 127.87),
    (-80.0, 37.556, 142.56),
    (-100.0, 57.101, 169.17),
    (100.0, -41.832, 57.86),
]
OVER_CENTRE = -101.847

# The lever of the tie rod about the kingpin is positive, which is the assembly −1.
CORNER = upright_corner(KINGPIN, ARM_TIP, (RACK_X, INNER_Y), (0.0, 1.0), ROD, branch=-1)


def test_lengths() -> None:
    """Rod 341.321 and arm 143.178, as printed with the table to a thousandth."""
    assert ROD == pytest.approx(341.321, abs=5e-4)
    assert ARM == pytest.approx(143.178, abs=5e-4)


@pytest.mark.parametrize(("rack", "steer", "between"), TABLE)
def test_table(rack: float, steer: float, between: float) -> None:
    """Steer angle and arm-to-rod angle at seven rack displacements, to the digits of the table."""
    pose = pose_corner(CORNER, 0.0, rack)
    assert Reach.REACHABLE == pose.reach
    assert steer == pytest.approx(math.degrees(steer_angle(pose)), abs=5e-4)
    margin = min(between, 180.0 - between)
    assert margin == pytest.approx(math.degrees(over_centre_angle(pose)), abs=5e-3)


@pytest.mark.parametrize("rack", [row[0] for row in TABLE])
def test_intersection_of_circles(rack: float) -> None:
    """The pickup is where the arm's circle and the rod's circle meet, to rounding at 700 mm."""
    dx, dy = RACK_X - KINGPIN[0], INNER_Y + rack - KINGPIN[1]
    apart = math.hypot(dx, dy)
    along = (ARM**2 - ROD**2 + apart**2) / (2 * apart)
    aside = math.sqrt(ARM**2 - along**2)
    # Of the two points the one further back is the arm as drawn.
    expected = min(
        (
            KINGPIN[0] + (along * dx + sign * aside * dy) / apart,
            KINGPIN[1] + (along * dy - sign * aside * dx) / apart,
        )
        for sign in (1, -1)
    )
    assert expected == pytest.approx(tuple(pose_corner(CORNER, 0.0, rack).pickup[:2]), abs=1e-10)


def test_over_centre() -> None:
    """Over-centre at −101.847: arm and rod in line there, reachable before and unreachable after."""
    below, _ = over_centre_rack(CORNER, 0.0)
    assert OVER_CENTRE == pytest.approx(below, abs=5e-4)
    # Arm and rod in one line span from the kingpin to the rack's line.
    straight = INNER_Y - (KINGPIN[1] - math.sqrt((ARM + ROD) ** 2 - RACK_X**2))
    assert -straight == pytest.approx(below, abs=1e-8)
    pose = pose_corner(CORNER, 0.0, below + np.array([1e-6, -1e-6]))
    assert [Reach.REACHABLE, Reach.OVER_CENTRE] == pose.reach.tolist()
    # The margin falls as the root of the travel left: a millionth of a mm leaves some hundredths of a degree.
    assert math.degrees(over_centre_angle(pose)[0]) < 0.02


def test_unreachable() -> None:
    """A rack displacement of −120 has no pose and says so."""
    assert Reach.OVER_CENTRE == pose_corner(CORNER, 0.0, -120.0).reach
