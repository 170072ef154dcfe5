"""Whether an old closure plate can stay: its faces against the CAD kernel's, and the verdict against known cases."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from locksweep.body.clearances import clearances_of, with_confidence
from locksweep.body.load import load_bodies
from locksweep.demo_jobs import demo_text
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from solver.body.answer import Answer
from solver.body.sweep import WheelSweep
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part, Placement
from solver.sizing.plate_faces import cut_away, plate_faces
from solver.sizing.plate_stays import PLAY, check_plates
from solver.tyre_change import all_kept, wheel_of
from solver.vectors import Array
from tests.parts.examples import TROUGH

OWN = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


@cache
def solved() -> Solved:
    """The metric demo job, which has a plate on each side."""
    return solve_job(parse_job(demo_text("alder-coupe")))


def plates() -> list[Part]:
    """Its plates."""
    return [part for part in solved().parts if isinstance(part.dimensions, ClosurePlateDimensions)]


@cache
def swept(tyre: str) -> Answer:
    """The same with all kept, on another tyre."""
    wheel = replace(wheel_of(solved().job), tyre=tyre)
    job = all_kept(solved().solution, wheel)
    front_end = solve_job(job).solution.as_modified.front_end
    return clearances_of(front_end, load_bodies(job, Path()), job, job.goal.clearance, lines=False)


FLAT, FOLDED = 1, 3


@pytest.mark.parametrize("facets", [FLAT, FOLDED])
def test_faces_are_the_solid_s_own(facets: int) -> None:
    """Seen from where a tyre may be, the faces are as far away as the kernel's solid, bends within 0.05 mm."""
    cq = pytest.importorskip("cadquery")
    from parts.catalogue import build

    plate = plates()[0].dimensions if facets == FLAT else TROUGH
    assert isinstance(plate, ClosurePlateDimensions)
    solid = build(plate)
    _, triangles = plate_faces(plate, OWN)
    rng = np.random.default_rng(5)
    low, high = np.array(plate.outline).min(axis=0), np.array(plate.outline).max(axis=0)
    # From over the floor of any facet: the highest ends where the lowest wall begins.
    floor = plate.pan.height - min(depth for _, depth in plate.profile)
    heights = rng.uniform(floor + 6.0, plate.pan.height + 60.0, 40)
    points = np.column_stack([rng.uniform(low - 20, high + 20, (40, 2)), heights])
    # From over the floor, or from over the flanges' ends; from behind them no tyre comes.
    inside = cut_away(plate, OWN, np.column_stack([points[:, :2], np.full(40, plate.pan.height)]))
    points = points[inside | (heights > plate.pan.height + plate.tab_height)]
    assert len(points) > 20
    drain = np.array([plate.drain_x, plate.drain_y])
    for point in points:
        # Over the drain hole the floor is taken as whole, and so are walls at their plug-weld holes.
        if np.hypot(*(point[:2] - drain)) < plate.drain_diameter:
            continue
        exact = solid.distance(cq.Vertex.makeVertex(*point.tolist()))
        found = to_triangles(point, triangles)
        assert exact - 0.05 <= found <= exact + 1e-6 or _by_a_plug(plate, point, exact)


def _by_a_plug(plate: ClosurePlateDimensions, point: Array, exact: float) -> bool:
    """Whether a place is as near to a plug-weld hole in a wall as to the solid, give or take the hole."""
    for wall in plate.pan.walls:
        (x, y), (ax, ay) = wall.foot, wall.level
        for h in plate.plugs(wall):
            hole = np.array([x + ax * h, y + ay * h, plate.pan.height - plate.plug_diameter])
            if np.linalg.norm(point - hole) < exact + plate.plug_diameter:
                return True
    return False


def to_triangles(point: Array, triangles: Array) -> float:
    """Least distance of a point from triangles: of its foot where that lies inside, else of the three edges."""
    best = math.inf
    for a, b, c in triangles:
        normal = np.cross(b - a, c - a)
        normal /= np.linalg.norm(normal)
        foot = point - (point - a) @ normal * normal
        sides = [np.cross(q - p, foot - p) @ normal for p, q in ((a, b), (b, c), (c, a))]
        if min(sides) >= 0:
            best = min(best, abs(float((point - a) @ normal)))
        for p, q in ((a, b), (b, c), (c, a)):
            share = np.clip((point - p) @ (q - p) / ((q - p) @ (q - p)), 0, 1)
            best = min(best, float(np.linalg.norm(point - p - share * (q - p))))
    return best


def test_hole_is_the_outline_outside_of_the_flanges() -> None:
    """Metal up to a thickness outside of the walls' inside faces goes, at the panel; what is behind the plate stays."""
    plate = plates()[0].dimensions
    assert isinstance(plate, ClosurePlateDimensions)
    (x, y), (ax, ay), length = edges(plate)[0]
    out = plate.thickness
    middle = np.array([x + ax * length / 2, y + ay * length / 2])
    outward = np.array([ay, -ax])

    def at(distance: float, height: float) -> Array:
        return np.array([*(middle + distance * outward), height])[None]

    assert cut_away(plate, OWN, at(out - 0.01, plate.pan.height))[0]
    assert not cut_away(plate, OWN, at(out + 0.01, plate.pan.height))[0]
    assert not cut_away(plate, OWN, at(0.0, -1.0))[0]
    assert not cut_away(plate, OWN, at(0.0, plate.pan.height + 30.0))[0]


def edges(plate: ClosurePlateDimensions) -> list[tuple[tuple[float, float], tuple[float, float], float]]:
    """Start, direction and length of each edge of the outline."""
    found = []
    for a, b in zip(plate.outline, plate.outline[1:] + plate.outline[:1], strict=True):
        size = math.dist(a, b)
        found.append((a, ((b[0] - a[0]) / size, (b[1] - a[1]) / size), size))
    return found


def brute(part: Part, sweep: WheelSweep) -> float:
    """Least distance of a plate's inner faces from the tyre in all poses, by points 6 mm apart and another formula."""
    plate, placement = part.dimensions, part.placement
    assert isinstance(plate, ClosurePlateDimensions)
    assert placement is not None
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    axes, origin = np.array([x, np.cross(z, x), z]), np.array(placement.origin)
    local: list[tuple[float, float, float]] = []
    for (px, py), (ax, ay), length in edges(plate):
        for s in np.arange(1.0, length - 1.0, 6.0).tolist():
            for h in np.arange(plate.thickness + plate.bend_radius, plate.pan.height, 6.0).tolist():
                local.append((px + ax * s, py + ay * s, h))
    low, high = np.array(plate.outline).min(axis=0), np.array(plate.outline).max(axis=0)
    for fx in np.arange(low[0], high[0], 6.0).tolist():
        for fy in np.arange(low[1], high[1], 6.0).tolist():
            if all((fx - px) * ay - (fy - py) * ax <= 0 for (px, py), (ax, ay), _ in edges(plate)):
                local.append((fx, fy, plate.thickness))
    points = np.array(local) @ axes + origin
    tyre = sweep.front_end.tyre.grown()
    near = [
        tyre.distance(some[:, None], sweep.centres, sweep.axes).min()
        for some in np.array_split(points, len(points) // 50)
    ]
    return float(min(near))


def test_the_old_plate_keeps_its_gap_on_its_own_tyre() -> None:
    """On the tyre that it was sized for each plate can stay, and so can the panel round it."""
    found = check_plates(plates(), swept(wheel_of(solved().job).tyre))
    assert ["closure-plate-left", "closure-plate-right"] == [check.name for check in found]
    assert ["left", "right"] == [check.side for check in found]
    for check in found:
        assert check.stays
        assert check.beside is not None
        # The rest of the panel lies outside of flanges and tabs that keep the gap.
        assert check.beside.gap >= check.wanted - PLAY


@pytest.mark.parametrize(("tyre", "stays"), [("205/45R17", True), ("225/50R17", False)])
def test_smaller_stays_and_larger_does_not(tyre: str, stays: bool) -> None:
    """A plate stays under a tyre that is smaller all round and must go under one that is larger."""
    one = swept(tyre)
    found = check_plates(plates(), one)
    for check in found:
        assert stays == check.stays == (not check.short)
        assert check.faces.cause is not None
    # Another sampling of the plate's inner faces confirms it; its tabs and outer faces may come nearer by a few mm.
    assert -3.0 < found[0].faces.gap - brute(plates()[0], one.sweeps["left"]) < 0.05


def test_with_confidence_a_plate_has_less_room() -> None:
    """At 90 of 100 cars every face has less room, by at least the tyre's and the body's own share: 3.2 mm."""
    job = with_confidence(solved().job, 0.9)
    front_end = solved().solution.as_modified.front_end
    banded = clearances_of(front_end, load_bodies(job, Path()), job, job.goal.clearance, lines=False)
    plain = check_plates(plates(), swept(wheel_of(job).tyre))
    # The one-sided normal quantile of 0.9, with 2 mm for the tyre and 1.5 mm for the body.
    least = 1.2816 * math.hypot(2.0, 1.5)
    for before, after in zip(plain, check_plates(plates(), banded), strict=True):
        assert after.faces.gap < before.faces.gap - least + 1e-3
        assert after.beside is not None
        assert before.beside is not None
        assert after.beside.gap < before.beside.gap - least + 1e-3
        assert not after.stays


def test_without_plates_there_is_nothing_to_say() -> None:
    """Parts without a closure plate give no verdict."""
    others = [part for part in solved().parts if not isinstance(part.dimensions, ClosurePlateDimensions)]
    assert others
    assert () == check_plates(others, swept(wheel_of(solved().job).tyre))
