"""The solid that is swept: against the CAD kernel, a triangle mesh of another library, and the tyre's own formula."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.body.revolved import Revolved, tyre_solid
from solver.body.swept import SweptRevolved
from tests.solver.body.scenes import TYRE, random_sweep, ring

trimesh = pytest.importorskip("trimesh")

SOLIDS = {
    "tyre": tyre_solid(TYRE),
    "grown tyre": tyre_solid(TYRE.grown()),
    "barrel, off the middle": ring(190.0, 203.0, -95.0, 20.0),
    "disc": ring(65.0, 140.0, -62.0, -40.0),
}


def kernel_solid(solid: Revolved) -> Any:
    """The half section, turned about the z axis by the CAD kernel."""
    from parts.kernel import cq

    r = solid.rounding
    section = cq.Workplane("XZ").moveTo(solid.inner, solid.near).lineTo(solid.outer - r, solid.near)
    if r:
        middle = r * math.sqrt(0.5)
        section = section.threePointArc(
            (solid.outer - r + middle, solid.near + r - middle), (solid.outer, solid.near + r)
        )
    section = section.lineTo(solid.outer, solid.far - r)
    if r:
        section = section.threePointArc(
            (solid.outer - r + middle, solid.far - r + middle), (solid.outer - r, solid.far)
        )
    return section.lineTo(solid.inner, solid.far).close().revolve(360, (0, 0, 0), (0, 1, 0)).val()


@pytest.mark.parametrize("name", SOLIDS)
def test_distance_by_the_cad_kernel(name: str) -> None:
    """Outside and inside, in random poses, the distance is the kernel's to its own surface."""
    from parts.kernel import cq

    rng = np.random.default_rng(7)
    solid = SOLIDS[name]
    shell = kernel_solid(solid).Shells()[0]
    swept = random_sweep(rng, 12)
    poses = SweptRevolved(solid, swept.centres, swept.axes)
    for centre, axis in zip(poses.centres, poses.axes, strict=True):
        aside = np.cross(axis, [1.0, 0.0, 0.0])
        aside /= np.linalg.norm(aside)
        frame = np.stack([aside, np.cross(axis, aside), axis])
        points = centre + rng.uniform(-450, 450, (4, 3))
        for point in points:
            local = frame @ (point - centre)
            expected = shell.distance(cq.Vertex.makeVertex(*local))
            # The kernel finds its nearest points to about 1e-7 mm.
            assert expected == pytest.approx(abs(float(solid.distance(point, centre, axis))), abs=1e-6)


@pytest.mark.parametrize("name", SOLIDS)
def test_inside_is_negative(name: str) -> None:
    """The sign is that of a fine triangle mesh of the same section, by another library."""
    rng = np.random.default_rng(8)
    solid = SOLIDS[name]
    from locksweep.body.mesh_files import tyre_mesh

    points, triangles = tyre_mesh(solid, np.zeros(3), np.array([0.0, 0.0, 1.0]))
    mesh = trimesh.Trimesh(points, triangles, process=False)
    assert mesh.is_watertight
    tried = rng.uniform(-1, 1, (3000, 3)) * [
        solid.outer,
        solid.outer,
        1.3 * max(abs(solid.near), abs(solid.far)),
    ]
    found = solid.distance(tried, np.zeros(3), np.array([0.0, 0.0, 1.0]))
    # A chord of 1/96 of a turn stands off the circle by R(1 − cos(π/96)) = 0.0005 R.
    clear = np.abs(found) > 0.001 * solid.outer
    assert (mesh.contains(tried[clear]) == (found[clear] < 0)).all()


@given(st.integers(0, 2**32))
def test_as_the_tyre_itself(seed: int) -> None:
    """The same as `Tyre.distance`, point by point and in matrix form."""
    rng = np.random.default_rng(seed)
    swept = random_sweep(rng, 5)
    points = swept.centres[0] + rng.uniform(-500, 500, (20, 3))
    expected = TYRE.distance(points[:, None], swept.centres, swept.axes)
    assert expected == pytest.approx(swept.distances(points), abs=1e-8)
    assert expected == pytest.approx(
        swept.solid.distance(points[:, None], swept.centres, swept.axes), abs=1e-9
    )


@given(st.integers(0, 2**32), st.sampled_from(sorted(SOLIDS)))
def test_hull_is_convex_and_no_farther(seed: int, name: str) -> None:
    """The solid without its bore is nowhere farther than with it, and its distance lies over its touching planes."""
    rng = np.random.default_rng(seed)
    solid = SOLIDS[name]
    base = random_sweep(rng, 6)
    swept = SweptRevolved(solid, base.centres, base.axes)
    point, other = base.centres[0] + rng.uniform(-500, 500, (2, 3))
    hull, _ = swept.support(point, np.arange(6), 0)
    assert (hull <= swept.distances(point[None])[0] + 1e-8).all()
    # Along a straight line a convex function stays under its chord.
    half, _ = swept.support((point + other) / 2, np.arange(6), 0)
    end, _ = swept.support(other, np.arange(6), 0)
    assert (half <= (hull + end) / 2 + 1e-8).all()
