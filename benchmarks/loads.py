"""Loads of all cases over the sweep: how long, what is left unbalanced, and against a general linear solver.

Run as a process of its own. Prints JSON: seconds, a residual and the largest difference.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from time import perf_counter

import numpy as np

from locksweep.demo_jobs import demo_path
from locksweep.job.load import load_job
from solver.car import Side
from solver.corner import pose_corner
from solver.front_end import FrontEnd
from solver.loading.contact import unit_loads
from solver.loading.statics import Holding, holding, react
from solver.loading.sweep import LoadSweep, load_sweep, rack_at
from solver.loading.vehicle import Vehicle
from solver.sizing.context import SizingContext
from solver.solution import solve
from solver.vectors import Array

GRID = (61, 21)
"""Rack displacements × wheel travels."""
ROUNDS = 7


def seconds(work: Callable[[], object]) -> float:
    """The best of a few rounds."""
    spent = []
    for _ in range(ROUNDS):
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return min(spent)


def skew(vectors: Array) -> Array:
    """Matrices (..., 3, 3) that take the cross product with vectors."""
    x, y, z = np.moveaxis(vectors, -1, 0)
    none = np.zeros_like(x)
    rows = [[none, -z, y], [z, none, -x], [-y, x, none]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def solved(hold: Holding, force: Array, moment: Array) -> Array:
    """Seven unknowns of each pose and load by a general solver, (poses, loads, 7).

    Force of the arm and of the body on the knuckle, and the rod's tension; moments about the ball joint.
    """
    shape = hold.lever.shape
    system = np.zeros((*shape, 7, 7))
    one = np.broadcast_to(np.eye(3), (*shape, 3, 3))
    system[..., :3, :3] = system[..., :3, 3:6] = one
    system[..., :3, 6] = hold.rod
    system[..., 3:6, 3:6] = skew(hold.axis * hold.span[..., None])
    system[..., 3:6, 6] = hold.rod_moment
    system[..., 6, :3] = hold.arm
    loads = np.concatenate([-force, -moment, np.zeros((*force.shape[:-1], 1))], axis=-1)
    return np.linalg.solve(system, np.moveaxis(loads, 0, -1))


def compared(front_end: FrontEnd, locks: dict[Side, float], vehicle: Vehicle) -> dict[str, float]:
    """Both ways of working out the unit loads of the left corner: seconds, and the largest difference."""
    corner = front_end.left
    rack = rack_at(front_end, "left", locks, np.linspace(-1.0, 1.0, GRID[0]))[:, None]
    pose = pose_corner(corner.corner, front_end.arm_angles(corner, front_end.travels(GRID[1])), rack)
    hold = holding(pose)
    force, moment = unit_loads(hold, front_end.loaded_radius, vehicle)
    ours, general = react(hold, force, moment), solved(hold, force, moment)
    members = np.concatenate([-ours.ball_joint, -ours.strut_top, ours.tie_rod[..., None]], axis=-1)
    apart = np.abs(np.moveaxis(general, -1, 0) - members)
    return {
        "ours": seconds(lambda: react(hold, force, moment)),
        "general": seconds(lambda: solved(hold, force, moment)),
        "difference": float(apart.max()),
    }


def main() -> None:
    """Measure and print."""
    context = SizingContext(solve(load_job(demo_path("alder-coupe"))))
    front_end, locks, coarse = context.solution.as_modified.front_end, context.locks, context.sweep

    def sweep(*grid: int) -> LoadSweep:
        return load_sweep(front_end, locks, coarse.cases, coarse.vehicle, *grid)

    fine = sweep(*GRID)
    # Each case has its own range of steering and travel; here all are looked at everywhere.
    everywhere = tuple(case._replace(steer=(-1.0, 1.0), travel=(-1.0, 1.0)) for case in coarse.cases)
    found = {
        "cases": len(everywhere),
        "seconds": seconds(lambda: load_sweep(front_end, locks, everywhere, coarse.vehicle, *GRID)),
        "coarse": seconds(sweep),
        "residual": fine.residual,
        "found more": float(np.abs(fine.loads.tie_rod).max() / np.abs(coarse.loads.tie_rod).max()) - 1,
        **compared(front_end, locks, coarse.vehicle),
    }
    print(json.dumps(found))


if __name__ == "__main__":
    main()
