"""What is taken out of a scan: strays, specks, doubles. All of it is counted, and what is of the body stays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from solver.body.clusters import clusters, joined
from solver.body.doubles import shells_of, without_doubles, without_second_shells
from solver.body.stray import without_strays
from solver.body.surface import NO_TRIANGLES, Surface, areas, box_surface, edges_of, panel_surface
from solver.vectors import Array
from tests.solver.body.scenes import dirty_scan, sheet


def plane(u: Array, v: Array) -> Array:
    """400 × 300 mm, a metre off the middle of nowhere."""
    return np.stack([400 * u - 200, 300 * v + 500, 0 * u + 300], axis=1)


@given(st.integers(0, 2**32), st.integers(1, 300), st.integers(0, 400))
def test_joined_as_scipy_joins(seed: int, count: int, pairs: int) -> None:
    """Things connected by pairs get one number, as in SciPy's graph components."""
    rng = np.random.default_rng(seed)
    links = rng.integers(0, count, (pairs, 2))
    matrix = coo_matrix((np.ones(pairs), links.T), shape=(count, count))
    number, expected = connected_components(matrix, directed=False)
    found = joined(count, links)
    assert number == found.max() + 1
    assert number == len(set(zip(found.tolist(), expected.tolist(), strict=True)))


@settings(max_examples=30)
@given(st.integers(0, 2**32), st.integers(1, 200))
def test_clusters_by_distance(seed: int, count: int) -> None:
    """Points nearer than the pitch are in one cluster, points of different clusters are farther apart than that."""
    points = np.random.default_rng(seed).uniform(0, 300, (count, 3))
    label = clusters(points, 20.0)
    for a, b in cKDTree(points).query_pairs(20.0):
        assert label[a] == label[b]
    far = cKDTree(points).query_pairs(2 * 20.0 * 3**0.5)
    near_ones = coo_matrix((np.ones(len(far)), np.array(sorted(far)).reshape(-1, 2).T), shape=(count, count))
    coarse = connected_components(near_ones, directed=False)[1]
    # A cluster never spans what is apart by more than two of a cube's diagonals.
    assert len(set(label.tolist())) == len(set(zip(label.tolist(), coarse.tolist(), strict=True)))


def test_long_triangles_hold_clusters_together() -> None:
    """Two clumps joined by a triangle's edge are one cluster with the triangles and two without."""
    clump = np.random.default_rng(0).uniform(0, 5, (30, 3))
    points = np.concatenate([clump, clump + np.array([500, 0, 0])])
    assert 2 == clusters(points, 12.0).max() + 1
    assert 1 == clusters(points, 12.0, np.array([[0, 1, 30]])).max() + 1


def test_every_stray_is_counted_and_every_good_point_kept() -> None:
    """From a dirty scan in place 9 far points, 1 that is no number and a speck of 5 are set aside, nothing else."""
    scan = dirty_scan(90, 60)
    surface, aside = without_strays(Surface("well", scan.car, scan.triangles))
    assert (1, 9, 5, 1) == (aside.no_numbers, aside.far, len(aside.specks), aside.clusters)
    assert 15 == aside.count
    assert aside.farthest > 1e6
    assert scan.car[scan.good] == pytest.approx(surface.points, abs=0)
    assert len(scan.triangles) == len(surface.triangles)
    assert (surface.points[surface.triangles] == scan.car[scan.triangles]).all()


@pytest.mark.parametrize("value", [np.inf, -np.inf, np.nan, 1e300, -1e20])
def test_numbers_beyond_any_car(value: float) -> None:
    """Infinities, no numbers and numbers whose square is infinite are set aside without a warning."""
    base = sheet(plane, 30, 30)
    points = np.concatenate([base.points, [[value, 0, 0], [0, value, value]]])
    with np.errstate(all="raise"):
        kept, aside = without_strays(replace(base, points=points))
    assert 2 == aside.no_numbers + aside.far
    assert base.points == pytest.approx(kept.points, abs=0)


def test_a_few_measured_points_are_never_specks() -> None:
    """A handful of points, each far from the others, is what a builder measured with a tape."""
    points = np.array([[-400, 600, 300], [0, 550, 700], [380, 640, 200], [-420, 700, 90.0]])
    kept, aside = without_strays(Surface("tape", points, NO_TRIANGLES))
    assert (4, 0) == (len(kept.points), aside.count)


def test_a_sparse_cloud_is_no_heap_of_specks() -> None:
    """A cloud whose points all lie 80 mm apart is the scan, not a thousand specks."""
    grid = np.stack(np.meshgrid(*[np.arange(-400, 401, 80.0)] * 3), axis=-1).reshape(-1, 3)
    kept, aside = without_strays(Surface("sparse", grid, NO_TRIANGLES))
    assert (len(grid), 0) == (len(kept.points), aside.count)


def test_doubles_are_merged() -> None:
    """A mesh as STL has it, three corners a triangle, repeated and flipped, becomes the sheet it was."""
    base = sheet(plane, 12, 9)
    soup = base.points[base.triangles.ravel()]
    again = np.concatenate([soup, soup[:300]])
    triangles = np.arange(len(again)).reshape(-1, 3)
    triangles[::2] = triangles[::2, ::-1]
    empty = np.array([[0, 0, 1], [0, 1, 1]])
    clean, doubles = without_doubles(Surface("soup", again, np.concatenate([triangles, empty])))
    assert len(base.points) == len(clean.points)
    assert len(base.triangles) == len(clean.triangles)
    assert (len(again) - len(base.points), 100, 2) == (doubles.points, doubles.triangles, doubles.empty)
    assert 400 * 300 == pytest.approx(float(areas(clean.points, clean.triangles).sum()))
    inner = edges_of(clean.triangles)[2]
    assert {1, 2} == set(inner.tolist())


def test_merging_tells_unlike_points_apart() -> None:
    """Points a hundredth of a mm apart stay two, also where their codes could be mixed up."""
    rng = np.random.default_rng(2)
    points = np.round(rng.uniform(-900, 900, (4000, 3)), 2)
    clean, doubles = without_doubles(Surface("cloud", np.concatenate([points, points]), NO_TRIANGLES))
    assert len(np.unique(points, axis=0)) == len(clean.points)
    assert 8000 - len(clean.points) == doubles.points


def test_a_second_shell_is_recognised() -> None:
    """A copy of part of a sheet half a millimetre off is its double; a parallel sheet 12 mm off is none."""
    base = sheet(plane, 40, 30)
    some = base.triangles[: len(base.triangles) // 3]
    copy = base.points + np.array([0, 0, 0.5])
    both = replace(
        base,
        points=np.concatenate([base.points, copy]),
        triangles=np.concatenate([base.triangles, some + len(base.points)]),
    )
    assert 2 == shells_of(both).max() + 1
    single, count = without_second_shells(both)
    assert 1 == count
    assert 400 * 300 == pytest.approx(float(areas(single.points, single.triangles).sum()))
    apart = replace(both, points=np.concatenate([base.points, base.points + np.array([0, 0, 12.0])]))
    assert 0 == without_second_shells(apart)[1]


def test_shapes_given_in_the_job() -> None:
    """A box has its volume's surface, faces outwards and is closed; a panel's fan has the panel's area."""
    box = box_surface("hose", np.array([1.0, 2, 3]), np.array([[11.0, 2, 3], [1, 22, 3], [1, 2, 33]]))
    assert 2 * (10 * 20 + 20 * 30 + 30 * 10) == pytest.approx(float(areas(box.points, box.triangles).sum()))
    assert {2} == set(edges_of(box.triangles)[2].tolist())
    a, b, c = (box.points[box.triangles[:, i]] - [6, 12, 18] for i in range(3))
    assert 10 * 20 * 30 == pytest.approx(float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6))
    mirrored = box.mirrored()
    a, b, c = (mirrored.points[mirrored.triangles[:, i]] for i in range(3))
    assert 10 * 20 * 30 == pytest.approx(float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6))
    outline = np.array([[0, 0, 0], [400, 0, 0], [400, 0, 300], [0, 0, 300.0]])
    panel = panel_surface("panel", outline)
    assert 400 * 300 == pytest.approx(float(areas(panel.points, panel.triangles).sum()))
