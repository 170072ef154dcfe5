"""Work on meshes: halving long edges, lines of one value, bridging holes, making coarse and smooth."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.body.coarse import coarsened, nearest_on
from solver.body.contour import Loop, contour, rims
from solver.body.height_field import height_field
from solver.body.holes import bridged
from solver.body.refine import refined
from solver.body.smooth import smoothed
from solver.body.surface import NO_TRIANGLES, Surface, areas, edges_of, panel_surface
from solver.errors import GeometryError
from solver.vectors import Array, length
from tests.solver.body.scenes import sheet

trimesh = pytest.importorskip("trimesh")


def plane(u: Array, v: Array) -> Array:
    """300 × 300 mm about the origin."""
    return np.stack([300 * u - 150, 300 * v - 150, 0 * u], axis=1)


def from_origin(points: Array) -> Array:
    """Distance from the origin, which changes by no more than a point moves."""
    return length(points)


def euler(surface: Surface) -> int:
    """Points − edges + triangles."""
    return len(surface.points) - len(edges_of(surface.triangles)[0]) + len(surface.triangles)


def rough(seed: int, rows: int = 14) -> Surface:
    """A sheet with long and short triangles, some faces flipped."""
    rng = np.random.default_rng(seed)
    base = sheet(plane, rows, rows)
    points = base.points + rng.uniform(-6, 6, base.points.shape)
    triangles = base.triangles.copy()
    flipped = rng.random(len(triangles)) < 0.3
    triangles[flipped] = triangles[flipped][:, ::-1]
    return Surface("rough", points, triangles)


@settings(max_examples=20)
@given(seed=st.integers(0, 2**32), interest=st.floats(20, 120), edge=st.floats(4, 30))
def test_refined_where_it_matters(seed: int, interest: float, edge: float) -> None:
    """Near enough no edge is longer than wanted; area, edge and connection of the mesh stay."""
    base = rough(seed)
    fine, values = refined(base, from_origin, interest, edge)
    assert from_origin(fine.points) == pytest.approx(values)
    assert float(areas(base.points, base.triangles).sum()) == pytest.approx(
        float(areas(fine.points, fine.triangles).sum()), rel=1e-9
    )
    assert euler(base) == euler(fine)
    # Conforming: a halved edge is halved for both its triangles, or an edge would have one where it had two.
    assert set(edges_of(fine.triangles)[2].tolist()) <= {1, 2}
    around = sum(
        float(length(np.diff(base.points[np.append(rim, rim[0])], axis=0)).sum()) for rim in rims(base)
    )
    assert around == pytest.approx(
        sum(float(length(np.diff(fine.points[np.append(rim, rim[0])], axis=0)).sum()) for rim in rims(fine))
    )
    pairs, sides, _ = edges_of(fine.triangles)
    span = length(fine.points[pairs[:, 1]] - fine.points[pairs[:, 0]])
    longest, least = span[sides].max(axis=1), values[fine.triangles].min(axis=1)
    assert (longest[least < interest] <= edge + 1e-9).all()
    # Whatever place is under the interest lies in a triangle that is fine.
    share = np.random.default_rng(seed).dirichlet([1, 1, 1], len(fine.triangles))
    places = np.einsum("ki,kij->kj", share, fine.points[fine.triangles])
    assert (longest[from_origin(places) < interest] <= edge + 1e-9).all()


def test_a_large_panel_hides_nothing() -> None:
    """On a panel of four corners, all of them far away, the near middle is found."""
    panel = panel_surface(
        "panel", np.array([[-900, -900, 40], [900, -900, 40], [900, 900, 40], [-900, 900, 40.0]])
    )
    off = Surface("panel", panel.points + np.array([131, 77, 0]), panel.triangles)
    fine, values = refined(off, from_origin, 60.0, 5.0)
    # A place is within 5/√3 mm of a corner, and 40 mm away the distance has bent by 2.9²/80 over that.
    assert 40.0 <= float(values.min()) <= 40.0 + 0.11
    assert len(fine.points) < 5000


@settings(max_examples=20)
@given(seed=st.integers(0, 2**32), radius=st.floats(30, 120))
def test_a_circle_on_a_sheet(seed: int, radius: float) -> None:
    """On a plane the line where the distance from the middle is R is one circle of length 2πR, and lies on it."""
    base = sheet(plane, 60, 60)
    rng = np.random.default_rng(seed)
    points = base.points + np.where(np.abs(base.points) < 149, rng.uniform(-1.2, 1.2, base.points.shape), 0)
    points[:, 2] = 0
    flipped = base.triangles.copy()
    flipped[::3] = flipped[::3, ::-1]
    surface = Surface("plane", points, flipped)
    (loop,) = contour(surface, from_origin(points), radius, from_origin)
    assert radius == pytest.approx(from_origin(loop.points), abs=0.011)
    # Chords of up to 8 mm are short of their arcs by (8/R)²/24 at most.
    assert 2 * math.pi * radius == pytest.approx(loop.length, rel=(8 / radius) ** 2 / 24 + 1e-3)
    assert 0.0 == loop.edge_share
    turn = np.unwrap(np.arctan2(loop.points[:, 1], loop.points[:, 0]))
    assert 2 * math.pi == pytest.approx(abs(turn[-1] - turn[0]), abs=0.3)


def test_a_line_that_runs_off_the_sheet_is_closed_along_its_edge() -> None:
    """A circle about a corner of the sheet closes along both edges, and says which stretches those are."""
    base = sheet(plane, 61, 61)
    corner = np.array([-150.0, -150.0, 0.0])
    values = length(base.points - corner)
    (loop,) = contour(base, values, 80.0, lambda p: length(p - corner))
    assert 80 * math.pi / 2 + 160 == pytest.approx(loop.length, abs=0.5)
    assert 160 == pytest.approx(float(loop.steps[loop.on_edge].sum()), abs=0.1)
    everything = contour(base, values, 1000.0)
    assert [1200.0] == pytest.approx([one.length for one in everything])
    assert 1.0 == everything[0].edge_share
    assert [] == contour(base, values, -5.0)


def test_an_island_has_a_line_of_its_own() -> None:
    """A ring-shaped region has an outer and an inner line, the longer one first."""
    base = sheet(plane, 121, 121)
    loops = contour(
        base, np.abs(from_origin(base.points) - 80.0), 30.0, lambda p: np.abs(from_origin(p) - 80.0)
    )
    assert [2 * math.pi * 110, 2 * math.pi * 50] == pytest.approx([one.length for one in loops], rel=2e-3)


@settings(max_examples=30)
@given(seed=st.integers(0, 2**32), level=st.floats(0, 1))
def test_lines_close_on_any_mesh(seed: int, level: float) -> None:
    """On triangles thrown together at random, with edges of three and more, all lines are closed."""
    rng = np.random.default_rng(seed)
    points = rng.uniform(0, 100, (30, 3))
    triangles = rng.integers(0, 30, (60, 3))
    triangles = triangles[(triangles != np.roll(triangles, 1, axis=1)).all(axis=1)]
    values = rng.random(30)
    loops: list[Loop] = contour(Surface("heap", points, triangles), values, level)
    ends: dict[bytes, int] = {}
    for loop in loops:
        assert len(loop.points) >= 2
        for point in loop.points:
            ends[point.tobytes()] = ends.get(point.tobytes(), 0) + 1
    under = (values < level).sum()
    if not loops:
        assert (
            under in (0, 30)
            or not len(triangles)
            or set(np.unique(triangles)) <= set(np.flatnonzero(values >= level))
        )


def test_small_holes_are_bridged_and_the_outside_is_not() -> None:
    """A sheet with two holes gets them closed; its own edge, and a hole larger than allowed, stay."""
    base = sheet(plane, 61, 61)
    middles = base.points[base.triangles].mean(axis=1)
    kept = np.ones(len(base.triangles), bool)
    for place, radius in (([-60, 0, 0], 12), ([50, 40, 0], 20), ([0, -80, 0], 45)):
        kept &= length(middles - np.array(place)) > radius
    holed = base.with_triangles(base.triangles[kept])
    assert 4 == len(rims(holed))
    closed, places = bridged(holed)
    assert 2 == len(places)
    assert 2 == len(rims(closed))
    assert {(-60, 0), (50, 40)} == {(round(x, -1), round(y, -1)) for x, y, _ in places}
    missing = 300 * 300 - float(areas(closed.points, closed.triangles).sum())
    assert math.pi * 45**2 == pytest.approx(missing, rel=0.1)


def test_a_loose_flake_is_not_capped() -> None:
    """A small piece by itself has one edge, its outside, which stays open."""
    base = sheet(lambda u, v: np.stack([20 * u, 20 * v, 0 * u], axis=1), 5, 5)
    assert [] == bridged(base)[1]


@settings(max_examples=15)
@given(seed=st.integers(0, 2**32), most=st.integers(80, 800))
def test_made_coarse(seed: int, most: int) -> None:
    """A noisy sheet made coarse has about the points wanted, the same connection, and lies nearer to the truth."""
    rng = np.random.default_rng(seed)
    base = sheet(plane, 70, 70)
    noise = 0.5 * rng.standard_normal(len(base.points))
    noisy = Surface("noisy", base.points + noise[:, None] * [0, 0, 1], base.triangles)
    coarse = coarsened(noisy, most, 4.0)
    assert 0.5 * most < len(coarse.points) < 1.8 * most
    assert 1 == euler(coarse)
    assert set(edges_of(coarse.triangles)[2].tolist()) <= {1, 2}
    assert coarse.points[:, 2].std() < 0.6 * noise.std()


def test_nearest_place_as_trimesh_finds_it() -> None:
    """The nearest triangle's distance is that of another library."""
    rng = np.random.default_rng(3)
    base = rough(5)
    points = rng.uniform(-250, 250, (80, 3))
    _, far = nearest_on(base, points)
    mesh = trimesh.Trimesh(base.points, base.triangles, process=False)
    expected = trimesh.proximity.closest_point_naive(mesh, points)[1]
    assert expected == pytest.approx(far, abs=1e-9)


def test_smoothing_takes_noise_and_leaves_the_sheet() -> None:
    """Noise falls to under half; a bend of 300 mm radius keeps its place to a twentieth of a mm."""
    rng = np.random.default_rng(4)

    def bent(u: Array, v: Array) -> Array:
        turn = u - 0.5
        return np.stack([300 * np.sin(turn), 300 * np.cos(turn), 200 * v], axis=1)

    base = sheet(bent, 100, 70)
    away = 0.3 * rng.standard_normal(len(base.points))
    outward = base.points * [1, 1, 0] / 300
    smooth = smoothed(Surface("noisy", base.points + away[:, None] * outward, base.triangles))
    inner = np.ones(len(base.points), bool)
    inner[np.concatenate(rims(base))] = False
    off = (length(smooth.points * [1, 1, 0]) - 300)[inner]
    assert off.std() < 0.5 * away.std()
    still = smoothed(base)
    assert float(np.abs(length(still.points * [1, 1, 0]) - 300)[inner].max()) < 0.05
    assert base.points[~inner] == pytest.approx(still.points[~inner], abs=0)


def test_a_cloud_becomes_a_sheet() -> None:
    """Sixty thousand noisy points on a tilted panel give a mesh of its area, with the noise averaged away."""
    rng = np.random.default_rng(5)
    u, v = rng.random((2, 60_000))
    across, up = np.array([0.6, 0.8, 0.0]), np.array([-0.3, 0.2, 0.93])
    up /= length(up)
    normal = np.cross(across, up)
    normal /= length(normal)
    cloud = (
        400 * u[:, None] * across + 300 * v[:, None] * up + 0.4 * rng.standard_normal((60_000, 1)) * normal
    )
    mesh = height_field(Surface("cloud", cloud, NO_TRIANGLES))
    area = 400 * 300 * float(length(np.cross(across, up)))
    # The outermost cells' means lie half a cell inside of the edge.
    assert area == pytest.approx(float(areas(mesh.points, mesh.triangles).sum()), rel=0.03)
    assert np.abs(mesh.points @ normal).std() < 0.3
    # By chance a few cells are empty; bridged, the sheet is one without holes.
    whole, holes = bridged(mesh)
    assert len(holes) < 40
    assert 1 == euler(whole)


def test_a_cloud_in_layers_is_refused() -> None:
    """Two layers 15 mm apart, and an angle seen along one leg, are no single sheet; a few points are too few."""
    rng = np.random.default_rng(6)
    flat = np.stack([400 * rng.random(20_000), 300 * rng.random(20_000), np.zeros(20_000)], axis=1)
    layers = np.concatenate([flat, flat + np.array([0, 0, 15.0])])
    with pytest.raises(GeometryError, match=r"'cloud' is no single sheet .* has points in layers"):
        height_field(Surface("cloud", layers, NO_TRIANGLES))
    with pytest.raises(GeometryError, match="'cloud' has 5 points near the cut, too few"):
        height_field(Surface("cloud", flat[:5], NO_TRIANGLES))
