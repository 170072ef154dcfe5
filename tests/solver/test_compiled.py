"""Compiled code against the NumPy forms, which are the reference."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.assembling import ARM_SWING
from solver.car import Changes
from solver.compiled import corner as kernels
from solver.compiled.gap import from_bar, not_under, outwards
from solver.compiled.poses import TOGETHER, in_chunks, packed, pose_many
from solver.compiled.start import cache_folder
from solver.compiled.travel import fill_angles
from solver.corner import Corner, Pose, Reach, pose_corner
from solver.front_end import assemble
from solver.stack import Stack
from solver.tyre import nearest_point_distance
from solver.vectors import Array
from tests.solver.cars import CARS, REAR
from tests.solver.test_stack import stacked

FIELDS = ("ball_joint", "steering_axis", "rotation", "inner_joint", "damper_length", "closure")
TYRE = assemble(REAR, Changes()).tyre.grown()
OUTER, INNER = TYRE.outside_diameter / 2, TYRE.rim_diameter / 2
ROW = np.array([TYRE.section_width / 2, (OUTER + INNER) / 2, (OUTER - INNER) / 2, TYRE.shoulder_radius])


def compiled_poses(corner: Corner, angles: Array, racks: Array, monkeypatch: pytest.MonkeyPatch) -> Pose:
    """In compiled code, however few they are."""
    monkeypatch.setattr("solver.compiled.poses.PAYS", 0)
    return pose_many(corner, angles, racks)


def assert_same(reference: Pose, found: Pose) -> None:
    """The same reach everywhere, the same numbers to rounding, NaN in the same places."""
    assert np.array_equal(reference.reach, found.reach)
    for name in FIELDS:
        # mm and radians of some hundreds: a few roundings apart.
        assert getattr(found, name) == pytest.approx(getattr(reference, name), abs=1e-9, nan_ok=True), name
    assert found.pickup == pytest.approx(reference.pickup, abs=1e-9, nan_ok=True)


@pytest.mark.parametrize("name", CARS)
def test_poses_of_one_corner(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Random poses, over-centre ones among them, come out as the NumPy form has them, and in its shape."""
    rng = np.random.default_rng(1)
    for assembly in assemble(CARS[name], Changes(rack_spacer=8.0)).sides:
        angles, racks = rng.uniform(-0.2, 0.2, (70, 1)), rng.uniform(-160, 160, (1, 50))
        reference = pose_corner(assembly.corner, angles, racks)
        assert {Reach.REACHABLE, Reach.OVER_CENTRE} == set(np.unique(reference.reach))
        assert_same(reference, compiled_poses(assembly.corner, angles, racks, monkeypatch))


def test_poses_without_a_strut(monkeypatch: pytest.MonkeyPatch) -> None:
    """A strut that can't reach is told apart in compiled code too."""
    corner = replace(assemble(REAR, Changes()).left.corner, damper_point=np.array([900.0, 641.0, 335.0]))
    angles, racks = np.linspace(-0.1, 0.1, 5), np.zeros(5)
    reference = pose_corner(corner, angles, racks)
    assert {Reach.STRUT_TOO_SHORT} == set(np.unique(reference.reach))
    assert_same(reference, compiled_poses(corner, angles, racks, monkeypatch))


@pytest.mark.parametrize("shape", [(4, 1, 1), (4, 3, 1)])
def test_poses_of_a_stack(shape: tuple[int, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """Every corner of a stack keeps its own poses, whatever is broadcast."""
    stack = stacked("front rack")
    rng = np.random.default_rng(2)
    angles, racks = rng.uniform(-0.2, 0.2, shape), rng.uniform(-70, 70, (1, 3, 6))
    for side in stack.sides:
        reference = pose_corner(side.corner, angles, racks)
        assert_same(reference, compiled_poses(side.corner, angles, racks, monkeypatch))


@pytest.mark.parametrize("count", [0, 1, 7, TOGETHER + 3])
def test_small_batches_are_not_compiled(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A batch that is not worth the compiler's start goes through the NumPy form, chunk by chunk, unchanged."""
    monkeypatch.setattr("solver.compiled.poses._compiled", lambda: pytest.fail("compiled"))
    corner = assemble(REAR, Changes()).left.corner
    angles, racks = np.linspace(-0.1, 0.1, count), np.linspace(-60, 60, count)
    assert_same(pose_corner(corner, angles, racks), pose_many(corner, angles, racks))


def test_chunks_of_a_stack_without_a_compiler(monkeypatch: pytest.MonkeyPatch) -> None:
    """Chunks cut a stack between its corners."""
    monkeypatch.setattr("solver.compiled.poses.TOGETHER", 20)
    stack = stacked("rear rack")
    angles, racks = np.full((4, 1), 0.05), np.linspace(-60, 60, 15)[None, :]
    for side in stack.sides:
        assert_same(pose_corner(side.corner, angles, racks), pose_many(side.corner, angles, racks))


def test_chunks_cover_everything() -> None:
    """Every number is in one chunk on any number of threads, and an error in one is not lost."""
    for cores in (1, 2, 5):
        seen: list[int] = []
        in_chunks(lambda first, last, seen=seen: seen.extend(range(first, last)), 103, 10, cores)  # type: ignore[misc]
        assert list(range(103)) == sorted(seen)
        with pytest.raises(ZeroDivisionError):
            in_chunks(lambda first, last: first // 0, 103, 10, cores)
    in_chunks(lambda first, last: pytest.fail("nothing to do"), 0, 10)


@pytest.mark.skipif(sys.platform != "linux", reason="peak memory in kilobytes")
@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is read from the proc file system")
def test_memory_of_a_million_poses(checkout: Path) -> None:
    """A process that poses a million corners, all of them kept, stays under 500 MB at its largest."""
    code = (
        "import re, numpy as np\n"
        "from solver.car import Changes\n"
        "from solver.front_end import assemble\n"
        "from solver.compiled.poses import pose_many\n"
        "from tests.solver.cars import REAR\n"
        "corner = assemble(REAR, Changes()).left.corner\n"
        "pose = pose_many(corner, np.linspace(-0.1, 0.1, 1000)[:, None], np.linspace(-60, 60, 1000))\n"
        "assert pose.reachable.all()\n"
        # Not resource.getrusage: what that tells starts at the size of the process that this one was forked from.
        "print(int(re.search(r'VmHWM:\\s+(\\d+) kB', open('/proc/self/status').read())[1]) / 1024)"
    )
    # Compiling takes memory of its own, once on a machine: the first process may have to, the second one doesn't.
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=checkout, capture_output=True, text=True, check=True
        )
    assert 500 > float(done.stdout)


@pytest.mark.parametrize("name", CARS)
def test_arm_angles(name: str) -> None:
    """Arm angles for wheel travels are those of the arrays, and NaN where an arm can't travel that far."""
    stack: Stack = stacked(name)
    travel = np.array([-60.0, -20.0, 0.0, 0.3, 45.0, 900.0])
    for side in stack.sides:
        found = np.empty((len(stack), len(travel)))
        ride, ground = np.ascontiguousarray(side.ride_angle), np.ascontiguousarray(stack.ground)
        radius, most = stack.loaded_radius, 2 * ARM_SWING
        fill_angles(packed(side.corner), ride, radius, ground, travel, most, 0, len(stack), found)
        # Both end their steps far below this; mrad are hundredths of millimetres of travel.
        assert found == pytest.approx(stack.arm_angles(side, travel), abs=1e-9, nan_ok=True)
        assert np.isnan(found[:, -1]).all()


coordinate = st.floats(-600.0, 600.0)
direction = st.tuples(st.floats(-0.6, 0.6), st.floats(0.7, 1.0), st.floats(-0.3, 0.3))


def bar_row(start: Array, end: Array) -> Array:
    """A bar as the compiled code takes it."""
    along = end - start
    span = float(np.linalg.norm(along))
    return np.array([*start, *(along / span if span else along), span])


@given(*[st.tuples(coordinate, coordinate, coordinate)] * 2, direction, st.floats(0.0, 1.0))
def test_gap_to_a_bar(start: Array, end: Array, axis: Array, guess: float) -> None:
    """The distance from a bar is the reference's, which may be high by 0.19 mm; planes put between never exceed it."""
    start, end, axis = np.array(start), np.array(end), np.array(axis) / np.linalg.norm(axis)
    row = bar_row(start, end)
    placed = (ROW, 0.0, 0.0, 0.0, *axis)
    found, place = from_bar(*placed, row, guess * row[6], math.inf)
    zero = np.zeros(3)
    reference = float(nearest_point_distance(TYRE, start, end, zero, axis))
    dense = start + np.linspace(0, 1, 4001)[:, None] * (end - start)
    sampled = float(TYRE.distance(dense, zero, axis).min())
    # A distance changes by no more than the point moves: half of the pitch of the dense samples.
    assert sampled - row[6] / 8000 - 1e-9 <= found
    # At a sharp edge the search ends within half a millimetre of the place, and so of the distance.
    assert found <= min(reference, sampled) + 0.5
    at = start + place * row[3:6]
    assert found == pytest.approx(float(TYRE.distance(at, zero, axis)), abs=1e-6)
    normal = outwards(*placed, *at)
    assert 1.0 == pytest.approx(float(np.linalg.norm(normal)), abs=1e-9)
    assert not_under(*placed, row, *normal) <= found + 1e-6


@given(*[st.tuples(coordinate, coordinate, coordinate)] * 2, direction, st.floats(0.0, 120.0))
def test_bar_that_is_far_enough(start: Array, end: Array, axis: Array, enough: float) -> None:
    """What is called far enough without a search is so at every place of the bar."""
    start, end, axis = np.array(start), np.array(end), np.array(axis) / np.linalg.norm(axis)
    row = bar_row(start, end)
    found, place = from_bar(ROW, 0.0, 0.0, 0.0, *axis, row, 0.0, enough)
    if place < 0:
        assert found == enough
        dense = start + np.linspace(0, 1, 1001)[:, None] * (end - start)
        assert enough <= float(TYRE.distance(dense, np.zeros(3), axis).min()) + 1e-9


def test_bar_that_is_a_ball() -> None:
    """A bar without length is a point."""
    found, _ = from_bar(
        ROW,
        0.0,
        0.0,
        0.0,
        0.0,
        1.0,
        0.0,
        bar_row(np.array([400.0, 0, 0]), np.array([400.0, 0, 0])),
        0.0,
        math.inf,
    )
    assert 400.0 - OUTER == pytest.approx(found, abs=1e-9)


def test_cache_is_the_users() -> None:
    """What is compiled is kept in the user's cache and not beside the source."""
    folder = cache_folder()
    source = Path(kernels.__file__).parent
    assert folder is not None
    assert source not in folder.parents
    assert not list(source.rglob("*.nb[ic]"))


@pytest.mark.skipif(os.name != "posix", reason="a home that can't be written to, POSIX style")
def test_without_a_place_to_cache(tmp_path: Path, checkout: Path) -> None:
    """Where nothing can be written the code is compiled for the one process, and nothing is complained of."""
    blocked = tmp_path / "no folder"
    blocked.write_text("a file where the cache would have to be", encoding="utf-8")
    code = (
        "import numpy as np\n"
        "from solver.compiled.corner import fill_poses\n"
        "from solver.compiled.poses import packed\n"
        "from solver.car import Changes\n"
        "from solver.front_end import assemble\n"
        "from tests.solver.cars import REAR\n"
        "row = packed(assemble(REAR, Changes()).left.corner)\n"
        "reach = np.empty(1, np.int8)\n"
        "out = np.empty((1, 9)), np.empty((1, 9)), np.empty((2, 1))\n"
        "fill_poses(row, 1, np.zeros(1), np.zeros(1), 0, 1, reach, *out)\n"
        "print(reach[0])"
    )
    environment = {**os.environ, "NUMBA_CACHE_DIR": str(blocked)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=checkout,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ("0\n", "") == (done.stdout, done.stderr)
