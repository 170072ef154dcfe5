"""Pieces of the body laid flat: lengths by hand formula on sheets that can be developed, a stated stretch elsewhere."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from solver.body.flatten import laid_flat
from solver.body.surface import Surface
from solver.errors import GeometryError
from solver.vectors import Array
from tests.solver.body.scenes import sheet

RADIUS = 380.0
ROWS, COLUMNS = 61, 41
FAR_SIDE = np.array([0.0, 0.0, 0.0])


def cylinder(u: Array, v: Array) -> Array:
    """1.4 rad of a wheel arch, 250 mm wide, seen from its axis."""
    turn = 0.9 + 1.4 * u
    return np.stack([RADIUS * np.cos(turn), 250 * v - 125, RADIUS * np.sin(turn)], axis=1)


def cone(u: Array, v: Array) -> Array:
    """0.9 rad of a cone whose radius grows from 300 to 400 mm over 150 mm of height."""
    radius = 300 + 100 * v
    return np.stack([radius * np.cos(0.9 * u), radius * np.sin(0.9 * u), 150 * v], axis=1)


def ball(u: Array, v: Array) -> Array:
    """A shallow piece of a ball of 900 mm, as a wing is."""
    east, north = 0.35 * (u - 0.5), 0.3 * (v - 0.5)
    return 900 * np.stack([np.cos(north) * np.cos(east), np.cos(north) * np.sin(east), np.sin(north)], axis=1)


def corners(surface: Surface, shape: Callable[[Array, Array], Array]) -> list[Array]:
    """Flat places of the four corners, (0, 0), (1, 0), (1, 1), (0, 1)."""
    layout = laid_flat(surface, FAR_SIDE)
    u, v = np.array([0.0, 1, 1, 0]), np.array([0.0, 0, 1, 1])
    return list(layout.place(shape(u, v))[0])


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_a_wheel_arch(noise: float) -> None:
    """A cylinder becomes a rectangle of its arc's length by its width, noisy or not, with faces flipped at random."""
    rng = np.random.default_rng(1)
    base = sheet(cylinder, ROWS, COLUMNS)
    triangles = base.triangles.copy()
    flipped = rng.random(len(triangles)) < 0.4
    triangles[flipped] = triangles[flipped][:, ::-1]
    surface = Surface("arch", base.points + noise * rng.standard_normal(base.points.shape), triangles)
    a, b, c, d = corners(surface, cylinder)
    arc, width = 1.4 * RADIUS, 250.0
    # Chords of the coarse mesh are short of the arc by (12/R)²/24, 0.05 mm in all; noise bends the edge.
    for one, other, expected in ((a, b, arc), (d, c, arc), (a, d, width), (b, c, width)):
        assert expected == pytest.approx(math.dist(one, other), abs=0.3 + 3 * noise)
    assert math.hypot(arc, width) == pytest.approx(math.dist(a, c), abs=0.3 + 3 * noise)


def test_a_cone() -> None:
    """A cone becomes a piece of a ring: slant and both arcs have their lengths, and lie on circles about one point."""
    layout = laid_flat(sheet(cone, ROWS, COLUMNS), FAR_SIDE)
    assert layout.developed
    assert layout.stretch < 0.001
    u = np.linspace(0, 1, 9)
    inner, outer = (layout.place(cone(u, np.full(9, v)))[0] for v in (0.0, 1.0))
    slant = math.hypot(100, 150)
    assert slant == pytest.approx(np.hypot(*(outer - inner).T), abs=0.3)
    for line, radius in ((inner, 300.0), (outer, 400.0)):
        assert 0.9 * radius == pytest.approx(float(np.hypot(*np.diff(line, axis=0).T).sum()), abs=0.7)
    # Developed radius: the distance to the apex along the slant.
    apex = np.linalg.lstsq(
        np.diff(inner, axis=0) * 2, (inner[1:] ** 2).sum(1) - (inner[:-1] ** 2).sum(1), rcond=None
    )[0]
    assert 300 * slant / 100 == pytest.approx(np.hypot(*(inner - apex).T), rel=0.01)


@settings(max_examples=10)
@given(seed=st.integers(0, 2**31))
def test_a_flat_panel_is_projected(seed: int) -> None:
    """A plane anywhere keeps all its lengths, is not developed, and is seen from the side that is asked for."""
    turn = Rotation.random(random_state=seed)
    shape = lambda u, v: turn.apply(np.stack([400 * u, 300 * v, 0 * u], axis=1)) + np.array([100, 700, 300])  # noqa: E731
    for side in (1.0, -1.0):
        towards = turn.apply(np.array([200.0, 150, 500 * side])) + np.array([100, 700, 300])
        layout = laid_flat(sheet(shape, 21, 16), towards)
        assert not layout.developed
        assert layout.stretch < 1e-9
        a, b, _, d = layout.place(shape(np.array([0.0, 1, 1, 0]), np.array([0.0, 0, 1, 1])))[0]
        assert (400, 300) == pytest.approx((math.dist(a, b), math.dist(a, d)))
        # Seen from above, u to v turns anticlockwise; from below it is the mirror.
        way = (b - a)[0] * (d - a)[1] - (b - a)[1] * (d - a)[0]
        assert side * 400 * 300 == pytest.approx(way)


def test_an_arch_is_not_mirrored() -> None:
    """Developed sheet has its inner face up when it is looked at from the wheel, its outer face otherwise."""
    surface = sheet(cylinder, ROWS, COLUMNS)
    for towards, side in ((np.zeros(3), 1.0), (np.array([0.0, 0.0, 3000.0]), -1.0)):
        layout = laid_flat(surface, towards)
        u, v = np.array([0.45, 0.55, 0.45]), np.array([0.5, 0.5, 0.6])
        places = cylinder(u, v)
        normal = np.cross(places[1] - places[0], places[2] - places[0])
        faces = np.sign(normal @ (towards - places[0]))
        a, b, c = layout.place(places)[0]
        way = (b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]
        assert faces == np.sign(way), side


def test_up_is_up() -> None:
    """On an upright panel what is higher on the car is higher in the layout."""
    layout = laid_flat(
        sheet(lambda u, v: np.stack([300 * u, 0 * u + 500, 200 * v + 100], axis=1), 16, 11),
        np.array([150, 900, 200.0]),
    )
    low, high = layout.place(np.array([[150.0, 500, 110], [150, 500, 290]]))[0]
    assert (0.0, 180.0) == pytest.approx(tuple(high - low), abs=1e-6)


def test_a_wing_is_stretched_and_says_so() -> None:
    """A ball can't be laid flat: the stated stretch covers every length that is off, and is of the size it must be."""
    surface = sheet(ball, ROWS, COLUMNS)
    layout = laid_flat(surface, np.array([2000.0, 0, 0]))
    assert layout.developed
    # A square of half side s on a ball of radius R is off by about s²/(6 R²), here 0.5 %.
    assert 0.001 < layout.stretch < 0.02
    rng = np.random.default_rng(2)
    u, v = rng.random((2, 300))
    here, there = ball(u, v), ball(u + 0.02, v)
    laid = np.hypot(*(layout.place(there)[0] - layout.place(here)[0]).T)
    real = np.linalg.norm(there - here, axis=1)
    inside = (u < 0.97) & (u > 0.02) & (v > 0.02) & (v < 0.98)
    assert np.abs(laid / real - 1)[inside].max() < layout.stretch + 0.004


def test_what_folds_is_refused() -> None:
    """More than half a ball fits no flat template, and is refused with what to do."""

    def deep(u: Array, v: Array) -> Array:
        east, north = 3.0 * (u - 0.5), 2.6 * (v - 0.5)
        return 250 * np.stack(
            [np.cos(north) * np.cos(east), np.cos(north) * np.sin(east), np.sin(north)], axis=1
        )

    with pytest.raises(GeometryError, match=r"'bowl' is bent so much both ways .* one body a panel"):
        laid_flat(sheet(deep, ROWS, COLUMNS, "bowl"), FAR_SIDE)


def test_too_small_to_lay_flat() -> None:
    """Two triangles of a few mm are refused by name."""
    with pytest.raises(GeometryError, match="'crumb' is too small a piece"):
        laid_flat(
            sheet(lambda u, v: np.stack([3 * u, 3 * v, 0 * u], axis=1), 2, 2, "crumb"), np.array([0, 0, 9.0])
        )
