"""Four-bar linkages, with the steering arm as the rocker and the tie rod as the coupler.

Source: R. L. Norton, Design of Machinery, Table P4-1, row a: the inputs were read there; the results are
computed by us and agree with the book from memory. The toggle formula of a linkage whose crank can't turn
fully round is given from memory, its values are computed by us.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from solver.corner import Reach, over_centre_angle, over_centre_rack, pose_corner
from tests.validation.planar import Flat, upright_corner

GROUND, CRANK, COUPLER, ROCKER, THETA_2 = 6.0, 2.0, 7.0, 9.0, 30.0


def crank_end(length: float, degrees: float) -> Flat:
    """End of a crank that turns about the origin."""
    return (length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees)))


def angle_of(x: float, y: float) -> float:
    """Direction in degrees."""
    return math.degrees(math.atan2(y, x))


@pytest.mark.parametrize(
    ("name", "branch", "theta_3", "theta_4"),
    [("open", -1, 88.837, 117.286), ("crossed", 1, -115.211, -143.660)],
)
def test_row_a(name: str, branch: int, theta_3: float, theta_4: float) -> None:
    """Coupler and rocker angles of both assemblies to 0.001°, and a transmission angle of 28.449°."""
    crank = crank_end(CRANK, THETA_2)
    corner = upright_corner((GROUND, 0.0), (GROUND, ROCKER), crank, (0.0, 1.0), COUPLER, branch)
    pose = pose_corner(corner, 0.0, 0.0)
    rocker = pose.pickup - pose.ball_joint
    coupler = pose.pickup - pose.inner_joint
    assert theta_4 == pytest.approx(angle_of(rocker[0], rocker[1]), abs=5e-4), name
    assert theta_3 == pytest.approx(angle_of(coupler[0], coupler[1]), abs=5e-4), name
    # Printed to a thousandth.
    assert 28.449 == pytest.approx(math.degrees(over_centre_angle(pose)), abs=5e-4), name


@pytest.mark.parametrize(
    ("crank", "coupler", "rocker", "ground", "toggle"),
    [(3.0, 2.0, 3.0, 5.0, 72.542), (4.0, 5.0, 6.0, 10.0, 93.583)],
)
@pytest.mark.parametrize("branch", [1, -1])
def test_toggle(
    crank: float, coupler: float, rocker: float, ground: float, toggle: float, branch: int
) -> None:
    """cos θ₂ = (a² + d² − b² − c²)/2ad − bc/ad is where coupler and rocker line up, for both assemblies."""
    cosine = (crank**2 + ground**2 - coupler**2 - rocker**2) / (2 * crank * ground)
    exact = math.degrees(math.acos(cosine - coupler * rocker / (crank * ground)))
    # Printed to a thousandth.
    assert toggle == pytest.approx(exact, abs=5e-4)
    # The rack runs along a chord of the crank's circle from 25° short of toggle through toggle.
    start, end = np.array(crank_end(crank, exact - 25.0)), np.array(crank_end(crank, exact))
    chord = float(np.linalg.norm(end - start))
    along = (end - start) / chord
    corner = upright_corner(
        (ground, 0.0), (ground, rocker), (start[0], start[1]), (along[0], along[1]), coupler, branch
    )
    # The quartic's coefficients come from samples 200 away in a linkage of 10: eight digits are left.
    assert chord == pytest.approx(over_centre_rack(corner, 0.0)[1], abs=1e-6)
    pose = pose_corner(corner, 0.0, chord + np.array([-1e-9, 1e-9]))
    assert [Reach.REACHABLE, Reach.OVER_CENTRE] == pose.reach.tolist()
    assert math.degrees(over_centre_angle(pose)[0]) < 0.01
