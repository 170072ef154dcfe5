"""Built closure plates against the swept tyre and against their own blanks, over random jobs.

LOCKSWEEP_JOBS says how many jobs; a thousand take a quarter of an hour.
"""

from __future__ import annotations

import math
import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from locksweep.building import BuildResult, build_job
from locksweep.building.plate_check import FINEST, blank_faults, clearance, refused, swept_tyres
from parts.catalogue import build
from parts.kernel import cq
from parts.probe import distance, revolved
from solver.body.revolved import Revolved
from solver.body.swept import SweptRevolved
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part, Placement
from solver.sizing import closure_plate
from tests.locksweep.pipeline import full_job
from tests.parts.examples import PAN, TROUGH
from tests.parts.strategies import closure_plates
from tests.solver.sizing.plate_jobs import plate_context
from tests.solver.sizing.setting import only_refusal

JOBS = int(os.environ.get("LOCKSWEEP_JOBS", "20"))
HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
LIMITS = {
    "plate would touch the sweep",
    "hole runs off the measured panel",
    "no room behind the panel",
    "dimension limit",
    "first natural frequency of the floor",
    "thickness beside the panel it closes",
}
TYRE = Revolved(190.0, 310.0, -100.0, 100.0, 25.0)


@pytest.mark.parametrize("seed", range(JOBS))
def test_plate_of_a_random_job_clears_or_is_refused(seed: int) -> None:
    """Least distance of the built solid from the swept tyre is the wanted gap at least, in every job or a reason.

    Every fourth plate is held against the tyre by the kernel as well, solid against solid, in the pose that is nearest
    to the solid's corners: an independent way, and never less than the least over all poses.
    """
    context = plate_context(seed)
    found = closure_plate.parts(context)
    if not found or not isinstance(found[0], Part):
        assert not found or (only_refusal(found).limit in LIMITS and only_refusal(found).reason)
        return
    part, gap = found[0], context.solution.job.goal.clearance
    assert isinstance(part.dimensions, ClosurePlateDimensions)
    assert part.placement
    assert len(part.dimensions.pan.facets) >= context.solution.job.part_choices.plate_facets or any(
        "can be folded here" in reason for reason in part.reasons
    )
    solid = build(part.dimensions)
    tyres = swept_tyres(context.solution.as_modified.front_end)
    assert refused(part, solid, tyres, gap) is None
    tyre = tyres["left" if part.placement.origin[1] > 0 else "right"]
    if seed % 4 == 0:
        least = _by_kernel(solid, part.placement, tyre)
        assert gap - 1e-3 <= least
        assert clearance(solid, part.placement, tyre) <= least + 1e-3


def _by_kernel(solid: cq.Solid, placement: Placement, tyre: SweptRevolved) -> float:
    """Distance in the pose that comes nearest to the solid's corners, both moved into the part's frame."""
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    axes = np.stack([x, np.cross(z, x), z])
    corners = np.array([vertex.toTuple() for vertex in solid.Vertices()]) @ axes + placement.origin
    pose = int(tyre.distances(corners).min(axis=0).argmin())
    return distance(solid, _tyre(tyre, pose, axes, np.array(placement.origin)))


def _tyre(tyre: SweptRevolved, pose: int, axes: np.ndarray, origin: np.ndarray) -> cq.Solid:
    centre, axis = axes @ (tyre.centres[pose] - origin), axes @ tyre.axes[pose]
    half = (tyre.solid.far - tyre.solid.near) / 2
    return revolved(tyre.solid.inner, tyre.solid.outer, half, tyre.solid.rounding, tuple(centre), tuple(axis))


def test_distance_to_a_tyre_over_a_wall_by_hand() -> None:
    """A tyre over the plate, its axis along x, 5 mm above the tabs' ends at z = 18."""
    tyre = SweptRevolved(TYRE, np.array([[50.0, 30.0, 18 + 5 + 310.0]]), np.array([[1.0, 0.0, 0.0]]))
    assert clearance(build(PAN), HERE, tyre) == pytest.approx(_over_tabs(), abs=FINEST)


def _over_tabs() -> float:
    """The tabs of the long walls stand at y = 0 and 60, 30 mm beside the tyre's middle: √(315² + 30²) − 310.

    The tabs of the end walls stand below it, at y = 20 to 40, x = −1 to 0: the tread reaches ±75 about x = 50 before
    it is rounded, so they are 5 mm below it.
    """
    return min(math.hypot(315, 30) - 310, 5.0)


@given(
    st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda axis: np.linalg.norm(axis) > 0.3),
    st.tuples(st.floats(-100, 300), st.floats(-200, 300), st.floats(350, 500)),
)
@settings(max_examples=4)
def test_distance_is_the_kernels(axis: tuple[float, ...], centre: tuple[float, ...]) -> None:
    """Branch and bound over the faces agrees with the kernel's own distance of two solids in any pose."""
    unit = np.array(axis) / np.linalg.norm(axis)
    solid = build(TROUGH)
    expected = distance(solid, revolved(190.0, 310.0, 100.0, 25.0, centre, tuple(unit)))
    found = clearance(solid, HERE, SweptRevolved(TYRE, np.array([centre]), unit[None]))
    if expected > 0:
        # Low by the smallest triangle, and off by how far a bend's triangles are from it.
        assert expected == pytest.approx(found, abs=FINEST + 0.01)
    else:
        assert found <= 0.01


def test_plate_moved_into_the_sweep_is_refused() -> None:
    """Placed 5 mm nearer to the tyre than it was sized for, a plate is refused with both distances."""
    part, tyres, gap = _made()
    assert part.placement
    nearer = np.array(part.placement.origin) + 5 * np.array(part.placement.z_axis)
    moved = replace(part, placement=replace(part.placement, origin=tuple(nearer)))
    refusal = refused(moved, build(part.dimensions), tyres, gap)
    assert refusal
    assert "plate would touch the sweep" == refusal.limit
    assert f"{gap:.2f} mm are wanted" in refusal.reason


def test_blank_of_another_plate_is_refused() -> None:
    """A blank that folds to something else than the solid is told by places that lie off its faces."""
    part, tyres, gap = _made()
    assert isinstance(part.dimensions, ClosurePlateDimensions)
    other = build(replace(part.dimensions, bend_radius=part.dimensions.bend_radius - 0.05))
    refusal = refused(part, other, tyres, gap)
    assert refusal
    assert "blank does not fold to the plate" == refusal.limit
    assert "of the solid" in refusal.reason


@given(st.one_of(closure_plates(1), *map(closure_plates, (2, 3, 4))))
@settings(max_examples=6)
def test_any_blank_folds_back(dimensions: ClosurePlateDimensions) -> None:
    """The folded blank's edges lie on the solid's faces, metal inside of them and none outside."""
    assert [] == list(blank_faults(dimensions, build(dimensions)))


def test_refused_plate_leaves_the_rest_of_the_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate whose solid comes too near is told among what was refused and is in no file; the others are built."""
    job = tmp_path / "car.toml"
    job.write_text(full_job(), encoding="utf-8")
    distances = iter((1.0, 50.0))
    monkeypatch.setattr("locksweep.building.plate_check.clearance", lambda *_, **__: next(distances))
    result = build_job(job, tmp_path / "sets")
    assert isinstance(result, BuildResult)
    (refusal,) = [item for item in result.solved.refusals if item.name == "closure-plate-left"]
    assert "come to 1.00 mm of the swept tyre, 8.00 mm are wanted" in refusal.reason
    assert not [name for name in result.files if "closure-plate-left" in name]
    for name in ("assembly.step", "mock-ups.md"):
        text = (result.folder / name).read_text(encoding="utf-8")
        assert "closure-plate-left" not in text
        assert "closure-plate-right" in text
    assert [name for name in result.files if name.startswith("closure-plate-right")]
    assert "come to 1.00 mm of the swept tyre" in (result.folder / "summary.md").read_text(encoding="utf-8")
    plates = {name for name in result.revisions if name.startswith("closure-plate")}
    assert {"closure-plate-right"} == plates
    assert result.solved.complete is False


def _made() -> tuple[Part, dict[str, SweptRevolved], float]:
    """The first random job's plate."""
    for seed in range(100):
        context = plate_context(seed)
        found = closure_plate.parts(context)
        if found and isinstance(found[0], Part):
            return (
                found[0],
                swept_tyres(context.solution.as_modified.front_end),
                context.solution.job.goal.clearance,
            )
    raise AssertionError("no job makes a plate")
