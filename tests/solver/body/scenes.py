"""What the tests of the body share: front ends on a quick grid, sheets of any shape, and a scan as bad as they come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from solver.body.revolved import Revolved, tyre_solid
from solver.body.surface import Surface
from solver.body.sweep import Grid, WheelSweep, wheel_sweeps
from solver.body.swept import SweptRevolved
from solver.car import Changes, Side
from solver.front_end import FrontEnd, assemble
from solver.tyre import Tyre
from solver.vectors import Array
from tests.solver.cars import REAR

TYRE = Tyre("205/55R16", 632.0, 214.0, 406.4)
QUICK = Grid(rack_points=21, travel_points=7)


@cache
def front_end(extension: float = 0.0) -> FrontEnd:
    """The rear-rack car, its arms lengthened."""
    return assemble(REAR, Changes(arm_extension=extension))


@cache
def sweeps(rack_points: int = 21, travel_points: int = 7) -> dict[Side, WheelSweep]:
    """Both wheels of the car as it stands."""
    return wheel_sweeps(front_end(), Grid(rack_points, travel_points))


def random_sweep(rng: np.random.Generator, count: int, spread: float = 60.0) -> SweptRevolved:
    """A tyre in poses that no suspension would take."""
    centres = np.array([0.0, 700.0, 300.0]) + spread * rng.standard_normal((count, 3))
    axes = np.array([0.0, 1.0, 0.0]) + 0.4 * rng.standard_normal((count, 3))
    axes /= np.linalg.norm(axes, axis=1, keepdims=True)
    return SweptRevolved(tyre_solid(TYRE), centres, axes)


def one_pose(centre: tuple[float, float, float], axis: tuple[float, float, float]) -> SweptRevolved:
    """A tyre that stands still."""
    return SweptRevolved(tyre_solid(TYRE), np.array([centre]), np.array([axis]))


def ring(inner: float, outer: float, near: float, far: float) -> Revolved:
    """A sharp-edged ring."""
    return Revolved(inner, outer, near, far)


def sheet(
    shape: Callable[[Array, Array], Array],
    rows: int,
    columns: int,
    name: str = "sheet",
    side: Side | None = None,
) -> Surface:
    """A mesh over the unit square: two triangles between four neighbours; ``shape`` gives (k, 3) for u and v."""
    u, v = np.meshgrid(np.linspace(0, 1, rows), np.linspace(0, 1, columns), indexing="ij")
    here = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = here[:-1, :-1].ravel(), here[1:, :-1].ravel(), here[1:, 1:].ravel(), here[:-1, 1:].ravel()
    triangles = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    return Surface(name, shape(u.ravel(), v.ravel()), triangles, "body", side)


def wheel_well(u: Array, v: Array) -> Array:
    """The inside of an arch with a wave along it, round the left wheel of the rear-rack car; mm."""
    turn = -0.3 + (np.pi + 0.6) * u
    radius = 372.0 + 6.0 * np.sin(8 * turn)
    return np.stack([radius * np.cos(turn), 500.0 + 230.0 * v, 302.0 + radius * np.sin(turn)], axis=1)


@dataclass(frozen=True)
class DirtyScan:
    """A scan of the wheel well with everything that a scan may have, in the scanner's frame and unit, and the truth.

    car: its points as they should come out, mm; good: which of them are of the body
    """

    points: Array
    triangles: NDArray[np.int64]
    car: Array
    good: NDArray[np.bool_]
    rotation: Array
    shift: Array
    unit: float

    def picked(self, car: Array) -> Array:
        """Points of the car as they are picked on the scan."""
        picked: Array = (car - self.shift) @ self.rotation / self.unit
        return picked


def dirty_scan(rows: int, columns: int, unit: float = 25.4, noise: float = 0.2, seed: int = 1) -> DirtyScan:
    """Noise, holes, flipped and repeated faces, a second shell, points that are no number or far away, and a speck."""
    rng = np.random.default_rng(seed)
    clean = sheet(wheel_well, rows, columns)
    points = clean.points + noise * rng.standard_normal(clean.points.shape)
    triangles = clean.triangles
    for middle in points[rng.integers(0, len(points), 12)]:
        far = np.linalg.norm(points[triangles].mean(axis=1) - middle, axis=1)
        triangles = triangles[far > rng.uniform(4, 12)]
    flipped = rng.random(len(triangles)) < 0.2
    triangles[flipped] = triangles[flipped][:, ::-1]
    second = points + 0.2 * rng.standard_normal(points.shape)
    triangles = np.concatenate([triangles, triangles[: len(triangles) // 5] + len(points), triangles[:500]])
    strays = np.concatenate(
        [
            3e6 * rng.standard_normal((9, 3)),
            [[np.nan, 0, 0]],
            np.array([-250.0, 640, 400]) + rng.standard_normal((5, 3)),
        ]
    )
    car = np.concatenate([points, second, strays])
    good = np.arange(len(car)) < 2 * len(points)
    turn = np.linalg.qr(rng.standard_normal((3, 3)))[0]
    rotation = turn * np.sign(np.linalg.det(turn))
    shift = np.array([2000.0, -300.0, 120.0])
    return DirtyScan(
        (car - shift) @ rotation / unit, triangles.astype(np.int64), car, good, rotation, shift, unit
    )
