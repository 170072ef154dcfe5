"""The nearest pose of many: nothing that is left out can change the answer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.body.nearest import least, nearest
from solver.body.swept import Swept, SweptBar
from solver.vectors import Array
from tests.solver.body.scenes import random_sweep, sweeps


def everything(points: Array, swept: Swept) -> Array:
    """All distances, (k, n), some points at a time."""
    return np.concatenate([swept.distances(points[i : i + 200]) for i in range(0, len(points), 200)])


def bars(rng: np.random.Generator, count: int) -> SweptBar:
    """A bar in poses of its own, some without length."""
    starts = np.array([0.0, 400.0, 200.0]) + 40 * rng.standard_normal((count, 3))
    ends = starts + 200 * rng.standard_normal((count, 3)) * (rng.random((count, 1)) < 0.9)
    return SweptBar(starts, ends, 12.0)


@settings(max_examples=25)
@given(
    seed=st.integers(0, 2**32),
    count=st.integers(1, 300),
    spread=st.floats(0, 300),
    far=st.sampled_from([0.0, 500.0, 5e3, 3e6]),
    bar=st.booleans(),
)
def test_as_all_poses_at_all_points(seed: int, count: int, spread: float, far: float, bar: bool) -> None:
    """Every distance is the least of all poses', inside, outside and kilometres away, and its pose has it."""
    rng = np.random.default_rng(seed)
    swept = bars(rng, count) if bar else random_sweep(rng, count, spread)
    middle = np.array([0.0, 700.0, 300.0])
    # A sheet, a cloud, a clump on one spot, and a few lost ones.
    points = np.concatenate(
        [
            middle + rng.uniform(-1, 1, (600, 3)) * [400, 1, 400] + np.array([0, -180, 0]),
            middle + rng.uniform(-450, 450, (300, 3)),
            np.tile(middle + np.array([150.0, 100.0, 0.0]), (40, 1)),
            middle + far * rng.standard_normal((20, 3)),
        ]
    )
    found = nearest(points, swept)
    expected = everything(points, swept)
    # Rounding of the matrix form grows with the square of the coordinates.
    tolerance = 1e-8 + 1e-9 * far
    assert expected.min(axis=1) == pytest.approx(found.distance, abs=tolerance)
    assert expected[np.arange(len(points)), found.pose] == pytest.approx(found.distance, abs=tolerance)


def test_a_real_sweep_in_a_fraction_of_the_work() -> None:
    """On a suspension's own poses a sheet round the wheel takes less than a third of all distances."""
    swept = sweeps(51, 15)["left"].tyre()
    rng = np.random.default_rng(4)
    turn, across = rng.uniform(0, np.pi, 8000), rng.uniform(500, 750, 8000)
    points = np.stack([380 * np.cos(turn), across, 302 + 380 * np.sin(turn)], axis=1)
    found = nearest(points, swept)
    assert everything(points, swept).min(axis=1) == pytest.approx(found.distance, abs=1e-9)
    assert found.evaluated < 0.3 * len(points) * swept.count


def test_far_points_cost_less() -> None:
    """The farther away a cloud is, the fewer distances it takes."""
    swept = sweeps()["left"].tyre()
    points = np.random.default_rng(5).uniform(-300, 300, (20_000, 3))
    costs = [
        nearest(points + np.array([0, 700 + far, 300]), swept).evaluated for far in (800.0, 3e3, 3e4, 3e6)
    ]
    assert sorted(costs, reverse=True) == costs
    assert costs[-1] < 0.2 * costs[0]


def test_no_points() -> None:
    """Nothing asked, nothing found."""
    found = nearest(np.empty((0, 3)), random_sweep(np.random.default_rng(0), 5))
    assert (0, 0, 0) == (len(found.distance), len(found.pose), found.evaluated)


def test_of_equal_poses_the_first() -> None:
    """A pose that is there twice is told by its first number, whatever the order of the points."""
    one = random_sweep(np.random.default_rng(1), 4)
    twice = type(one)(one.solid, np.tile(one.centres, (2, 1)), np.tile(one.axes, (2, 1)))
    points = np.random.default_rng(2).uniform(0, 900, (500, 3))
    assert (nearest(points, twice).pose < 4).all()


@settings(max_examples=20)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4000))
def test_least_of_all(seed: int, count: int) -> None:
    """The one nearest point and its pose are those of the whole map."""
    rng = np.random.default_rng(seed)
    swept = random_sweep(rng, 60)
    points = rng.uniform(-900, 900, (count, 3))
    distance, point, pose = least(points, swept)
    whole = nearest(points, swept)
    assert float(whole.distance.min()) == pytest.approx(distance, abs=1e-9)
    assert distance == pytest.approx(float(swept.distances(points[[point]])[0, pose]), abs=1e-9)
