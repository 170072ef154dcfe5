"""Random jobs with a panel that the swept tyre comes through, or nearly."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.body.sweep import Grid, wheel_sweeps
from solver.car import CornerPoints, Goal, Job, PartChoices, Side, Vector, Wheel, WheelWell
from solver.errors import LocksweepError
from solver.front_end import assemble
from solver.panel import reach
from solver.sizing.context import SizingContext
from solver.solution import Changes, solve
from tests.solver.cars import CARS, INCH

TYRES = (("195/50R15", 6.0), ("205/55R16", 6.5), ("225/45R17", 7.5), ("245/40R17", 8.5), ("265/35R18", 9.5))


def plate_context(seed: int) -> SizingContext:
    """The job of a number, solved; points that don't fit together are drawn again.

    Random are: the car and all of its points by 6 mm, tyre and offset, both sides alike or not, travel, clearance,
    sheet, units; the panel's place ahead of the wheel or behind it, its direction, how far the tyre comes through, and
    how much of it was measured; how many facets are asked for, and what room there is behind it.
    """
    draw = np.random.default_rng(seed)
    for _ in range(50):
        context = _drawn(draw)
        if context is not None:
            return context
    raise AssertionError(f"no front end in 50 draws from {seed}")


def _drawn(draw: np.random.Generator) -> SizingContext | None:
    car = CARS[str(draw.choice(sorted(CARS)))]
    left = _moved(car.left, draw)
    right = left.mirrored() if draw.random() < 0.4 else _moved(car.right, draw)
    size, rim = TYRES[int(draw.integers(len(TYRES)))]
    wheel = Wheel(size, rim * INCH, float(draw.uniform(5, 35)))
    car = replace(
        car,
        left=left,
        right=right,
        wheel=wheel,
        bump_travel=float(draw.uniform(20, 70)),
        droop_travel=float(draw.uniform(20, 70)),
    )
    side: Side = "left" if draw.random() < 0.5 else "right"
    try:
        front_end = assemble(car, Changes())
        swept = wheel_sweeps(front_end, Grid(17, 5))[side].tyre()
    except LocksweepError:
        return None
    out = 1.0 if side == "left" else -1.0
    # Which way the panel looks: towards the tyre, from behind or ahead of it and from the car's middle.
    turn = float(draw.uniform(math.radians(15), math.radians(80)))
    ahead = 1.0 if draw.random() < 0.5 else -1.0
    lean = float(draw.uniform(-0.3, 0.3))
    towards = np.array([-ahead * math.sin(turn), out * math.cos(turn), lean])
    towards /= np.linalg.norm(towards)
    depth = float(draw.uniform(-12, 70))
    through = reach(swept.solid, swept.centres, swept.axes, -towards)
    pose = int(through.argmax())
    plane = -float(through[pose]) + depth
    middle = swept.centres[pose] - towards * (swept.centres[pose] @ towards - plane)
    across = np.cross([0.0, 0.0, 1.0], towards)
    across /= np.linalg.norm(across)
    up = np.cross(towards, across)
    wide, high = draw.uniform(200, 420), draw.uniform(200, 420)
    corners = ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    panel = tuple(
        _point(middle + a * across + b * up + draw.uniform(-1.5, 1.5) * towards) for a, b in corners
    )
    room: tuple[float, ...] = ()
    if draw.random() < 0.5:
        room = tuple(float(value) for value in max(depth, 0.0) + draw.uniform(5, 60, len(panel)))
    choices = PartChoices(
        plate_thickness=float(draw.choice([0.8, 1.0, 1.5, 2.0, 3.0])), plate_facets=int(draw.integers(1, 5))
    )
    goal = Goal(math.radians(20), float(draw.uniform(2, 16)), math.radians(5))
    job = Job(
        replace(car, keep_clear=(), wheel_wells=(WheelWell("panel", panel, side, 0.8, room),)),
        goal,
        Changes(),
        True,
        True,
        stock_units="mm" if draw.random() < 0.5 else "in",
        part_choices=choices,
    )
    return SizingContext(solve(job))


def _moved(points: CornerPoints, draw: np.random.Generator) -> CornerPoints:
    moved = {
        name: _point(np.array(value) + draw.uniform(-6, 6, 3))
        for name, value in vars(points).items()
        if isinstance(value, tuple) and name != "wheel_centre"
    }
    return replace(points, **moved)  # type: ignore[arg-type]


def _point(point: np.ndarray) -> Vector:
    x, y, z = (float(value) for value in point)
    return (x, y, z)
