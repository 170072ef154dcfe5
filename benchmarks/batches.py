"""Large batches: poses by the million in compiled code, and ten thousand cars swept from lock to lock.

Run as a process of its own, so that its peak memory is that of a million poses. Prints JSON.
"""

from __future__ import annotations

import json
import resource
import sys
from time import perf_counter

import numpy as np

from benchmarks.poses import root_finding
from locksweep.demo_jobs import demo_path
from locksweep.job.load import load_job
from solver.car import Changes
from solver.compiled.poses import cores_here, pose_many
from solver.corner import Corner, pose_corner
from solver.front_end import assemble
from solver.solution import solve
from solver.uncertainty.assess import SAMPLES, plan_of
from solver.uncertainty.run import Means, run_cars
from solver.uncertainty.sources import sources_of

MILLION = 1_000_000
ROUNDS = 7


def rate(corner: Corner, count: int, cores: int) -> float:
    """Poses per second, random in rack and arm, all of each pose kept; the best of several rounds."""
    rng = np.random.default_rng(0)
    racks, angles = rng.uniform(-66.0, 66.0, count), rng.uniform(-0.15, 0.15, count)
    best = np.inf
    for _ in range(ROUNDS):
        start = perf_counter()
        pose_many(corner, angles, racks, cores)
        best = min(best, perf_counter() - start)
    return count / best


def megabytes() -> float:
    """Peak memory of this process so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (
        1024**2 if sys.platform == "darwin" else 1024
    )


def main() -> None:
    """Measure and print."""
    job = load_job(demo_path("alder-coupe"))
    corner = assemble(job.car, Changes()).left.corner
    found: dict[str, float] = {"cores": cores_here()}
    start = perf_counter()
    found["one core"] = rate(corner, MILLION, 1)
    found["first"] = perf_counter() - start - ROUNDS * MILLION / found["one core"]
    found["megabytes"] = megabytes()
    found["two cores"] = rate(corner, MILLION, 2)
    found["four million"] = rate(corner, 4 * MILLION, 1)
    rng = np.random.default_rng(1)
    racks, angles = rng.uniform(-66.0, 66.0, 400_000), rng.uniform(-0.15, 0.15, 400_000)
    many, few = pose_many(corner, angles, racks), pose_corner(corner, angles, racks)
    found["difference"] = float(np.abs(many.pickup - few.pickup).max())
    found["root-finding"], _ = root_finding(
        corner, np.linspace(-66.0, 66.0, 200), np.linspace(-0.15, 0.15, 50)
    )
    solution = solve(job)
    sources, plan = sources_of(job), plan_of(solution)
    design = solution.as_modified.front_end
    run_cars(design, sources, plan, 100, Means())
    for name, cores in (("sure, one core", 1), ("sure, two cores", 2)):
        spent = []
        for _ in range(3):
            start = perf_counter()
            run_cars(design, sources, plan, SAMPLES, Means(cores=cores)).bands()
            spent.append(perf_counter() - start)
        found[name] = min(spent)
    print(json.dumps(found))


if __name__ == "__main__":
    main()
