"""Clearances of a scan: how long, how large, and against another library's signed distance.

Run as a process of its own. Prints JSON: seconds, megabytes and ratios. The scan is a wheel well of our own making
with a scanner's noise.
"""

from __future__ import annotations

import json
import resource
import sys
from dataclasses import replace
from time import perf_counter

import numpy as np
import trimesh

from locksweep.body.load import LoadedBody
from locksweep.body.mesh_files import tyre_mesh
from locksweep.demo_jobs import demo_path
from locksweep.job.load import load_job
from locksweep.retyre.change import swept
from locksweep.solved import solve_job
from solver.body.answer import INTEREST
from solver.body.clearance_map import clearance_map
from solver.body.nearest import nearest
from solver.body.surface import NO_TRIANGLES, Surface
from solver.body.sweep import Grid, WheelSweep, wheel_sweeps
from solver.front_end import FrontEnd, assemble
from solver.tyre_change import all_kept, wheel_of
from solver.vectors import Array

POINTS, POSES = 1_000_000, Grid(81, 31)
"""Of the large scan, and 2511 poses a wheel."""
MAP_POINTS = 100_000
"""Of the scan that is mapped anew for another tyre."""
ASKED = 4
"""Poses that the other library is asked about; it takes the same for each."""
ASKED_POINTS = 2_000
FAR = (0.0, 1_000.0, 3_000.0, 10_000.0)
"""mm that the scan is moved inboard of where it belongs, past the wheel and away from it."""


def front_end(tyre: str) -> FrontEnd:
    """The demo car with its changes, on another tyre."""
    job = load_job(demo_path("alder-coupe"))
    changes = replace(job.fixed, rack_spacer=4.0, arm_extension=20.0)
    assert changes.wheel is not None
    return assemble(job.car, replace(changes, wheel=replace(changes.wheel, tyre=tyre)))


def wheel_well(count: int) -> Array:
    """Arch and inner wall of a left wheel well, points in no order, mm."""
    rng = np.random.default_rng(1)
    turn = rng.uniform(-0.3, np.pi + 0.3, count // 2)
    radius = 375.0 + rng.normal(0.0, 0.5, count // 2)
    arch = np.stack(
        [radius * np.cos(turn), rng.uniform(480, 760, count // 2), 300 + radius * np.sin(turn)], axis=1
    )
    rest = count - count // 2
    wall = np.stack(
        [rng.uniform(-450, 450, rest), 480 + rng.normal(0.0, 0.5, rest), rng.uniform(0, 700, rest)], axis=1
    )
    points = np.concatenate([arch, wall])
    rng.shuffle(points)
    return points


def other_library(sweep: WheelSweep, points: Array) -> tuple[float, float]:
    """Seconds for one point and one pose by signed distance to a meshed tyre, and the largest difference in mm.

    The tyre stands still and the points are turned, so that the library prepares its mesh once.
    """
    tyre = sweep.tyre()
    solid = tyre.solid
    corners, triangles = tyre_mesh(solid, np.zeros(3), np.array([0.0, 0.0, 1.0]))
    mesh = trimesh.Trimesh(corners, triangles, process=False)
    query = trimesh.proximity.ProximityQuery(mesh)
    query.signed_distance(points[:10])
    spent, worst = 0.0, 0.0
    for pose in np.linspace(0, sweep.count - 1, ASKED).astype(int):
        axis, centre = tyre.axes[pose], tyre.centres[pose]
        aside = np.cross(axis, [1.0, 0.0, 0.0])
        aside /= np.linalg.norm(aside)
        local = (points - centre) @ np.stack([aside, np.cross(axis, aside), axis]).T
        start = perf_counter()
        # That library counts inside as positive.
        found = -query.signed_distance(local)
        spent += perf_counter() - start
        exact = solid.distance(points, centre, axis)
        worst = max(worst, float(np.abs(found - exact).max()))
    return spent / (ASKED * len(points)), worst


def tyre_change() -> tuple[float, float]:
    """Seconds that another tyre takes on a solved job with its scan loaded: to the map, and with places and gaps."""
    job = load_job(demo_path("alder-coupe"))
    solved = solve_job(job)
    body = Surface("scan", wheel_well(MAP_POINTS), NO_TRIANGLES, "body", "left")
    loaded = [LoadedBody(body, None, "", None, None, ())]
    wheel = replace(wheel_of(job), tyre="235/40R17")
    start = perf_counter()
    front = solve_job(all_kept(solved.solution, wheel)).solution.as_modified.front_end
    clearance_map(body, wheel_sweeps(front, POSES), job.goal.clearance + INTEREST)
    mapped = perf_counter() - start
    start = perf_counter()
    swept(solve_job(all_kept(solved.solution, wheel)), loaded, job.goal.clearance, lines=False)
    return mapped, perf_counter() - start


def main() -> None:
    """Measure and print."""
    sweep = wheel_sweeps(front_end("225/45R17"), POSES)["left"]
    tyre = sweep.tyre()
    points = wheel_well(POINTS)
    seconds = {}
    shares = {}
    for far in FAR:
        moved = points - np.array([0.0, far, 0.0])
        start = perf_counter()
        found = nearest(moved, tyre)
        seconds[far] = perf_counter() - start
        shares[far] = found.evaluated / (POINTS * sweep.count)
    # All poses at some of the points: what is left out must not be missed.
    some = points[:500]
    difference = float(np.abs(tyre.distances(some).min(axis=1) - nearest(some, tyre).distance).max())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (
        1024**2 if sys.platform == "darwin" else 1024
    )
    each, apart = other_library(sweep, points[:ASKED_POINTS])
    mapped, told = tyre_change()
    print(
        json.dumps(
            {
                "poses": sweep.count,
                "seconds": [seconds[far] for far in FAR],
                "shares": [shares[far] for far in FAR],
                "megabytes": peak,
                "difference": difference,
                "other each": each,
                "other apart": apart,
                "ratio": each * sweep.count * POINTS / seconds[0.0],
                "tyre change": mapped,
                "tyre change told": told,
            }
        )
    )


if __name__ == "__main__":
    main()
