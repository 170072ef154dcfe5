"""All of it for one front end: maps, worst places, cut lines of every body, and the gaps of the rest."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.body.band import Band, Errors
from solver.body.clearance_map import ClearanceMap, clearance_map
from solver.body.cut_line import CutLine, NoCutLine, cut_lines
from solver.body.hardware import HardwareGap, Rods, both_corners
from solver.body.placement import Placement
from solver.body.regions import Region, regions
from solver.body.resolution import along_surface, between_poses
from solver.body.source import Surroundings
from solver.body.surface import Surface
from solver.body.sweep import Grid, WheelSweep, wheel_sweeps
from solver.car import Side
from solver.front_end import FrontEnd, link_of
from solver.vectors import Array

EDGE = 5.0
"""Longest edge of a mesh near the tyre, mm."""
INTEREST = 30.0
"""mm beyond the wanted gap up to which meshes are refined and pictures tell clearances apart."""


@dataclass(frozen=True, eq=False)
class Body:
    """A body as it was measured, with the placement of its scan where it has one."""

    surface: Surface
    placement: Placement | None = None


@dataclass(frozen=True, eq=False)
class BodyResult:
    """What was found for one body."""

    map: ClearanceMap
    regions: tuple[Region, ...]
    lines: tuple[CutLine | NoCutLine, ...]


@dataclass(frozen=True, eq=False)
class Answer:
    """Clearances of one front end; mm.

    gap: wanted; confidence: share of cars, measured alike, that have no less clearance than is told
    resolution: that a clearance between two poses of the grid, or two points of a mesh, may be less by at most
    """

    front_end: FrontEnd
    sweeps: Mapping[Side, WheelSweep]
    gap: float
    confidence: float
    resolution: float
    bodies: tuple[BodyResult, ...]
    hardware: tuple[HardwareGap, ...]

    @property
    def worst(self) -> tuple[Region, ...]:
        """Places of all bodies, the worst first."""
        found = [region for body in self.bodies for region in body.regions]
        return tuple(sorted(found, key=lambda region: region.clearance))

    @property
    def clear(self) -> bool:
        """Whether the wanted gap is kept from every body by the tyre."""
        return all(region.clearance >= self.gap for region in self.worst)


Progress = Callable[[str], None]


def answer(
    front_end: FrontEnd,
    bodies: Sequence[Body],
    gap: float,
    surroundings: Surroundings | None = None,
    *,
    grid: Grid | None = None,
    racks: dict[Side, float] | None = None,
    errors: Errors | None = None,
    lines: bool = True,
    progress: Progress = lambda _: None,
) -> Answer:
    """Everything about the body of one front end. Bodies may be handed over again for another front end.

    grid, racks: as for `solver.body.sweep.wheel_sweeps`; the job's own drops and rolls are added to the grid
    errors: of the measured points, for the band; without them the confidence asked for has no effect
    lines: False leaves the cut lines out, for a quick look

    Raises:
        GeometryError: from the sweep.
    """
    told = surroundings or Surroundings()
    grid = grid or Grid()
    grid = replace(grid, drops=(*grid.drops, *told.drops), rolls=(*grid.rolls, *told.rolls))
    progress("sweeping both wheels from lock to lock")
    sweeps = wheel_sweeps(front_end, grid, racks)
    band = Band(told.confidence, sweeps, errors) if errors is not None and told.confidence > 0.5 else None
    references = _references(told, bodies)
    results = []
    for body in bodies:
        surface = _as_modified(body.surface, front_end)
        progress(f"{surface.name}: {len(surface.points):,} points against {_poses(sweeps):,} poses")
        found = clearance_map(surface, sweeps, gap + INTEREST, edge=EDGE, band=band, placement=body.placement)
        progress(f"{surface.name}: worst places{' and cut lines' if lines else ''}")
        places = tuple(regions(found, gap))
        cut = tuple(cut_lines(found, gap, references)) if lines else ()
        results.append(BodyResult(found, places, cut))
    progress("arm, tie rod and rim against each other")
    surfaces = [result.map.surface for result in results]
    resolution = max(between_poses(sweep, max(gap, 0.0)) for sweep in sweeps.values())
    if any(surface.is_mesh for surface in surfaces):
        resolution += along_surface(EDGE, max(gap, 0.0), front_end.tyre.grown().shoulder_radius)
    return Answer(
        front_end=front_end,
        sweeps=sweeps,
        gap=gap,
        confidence=0.5 if band is None else told.confidence,
        resolution=resolution,
        bodies=tuple(results),
        hardware=tuple(both_corners(sweeps, told.rings, surfaces, _rods(told))),
    )


def _poses(sweeps: Mapping[Side, WheelSweep]) -> int:
    return sum(sweep.count for sweep in sweeps.values())


def _rods(told: Surroundings) -> Rods:
    end = told.tie_rod_end_diameter
    usual = Rods(end_radius=None if end is None else end / 2)
    return usual if told.tie_rod_diameter is None else replace(usual, radius=told.tie_rod_diameter / 2)


def _as_modified(surface: Surface, front_end: FrontEnd) -> Surface:
    """What is fixed to an arm's outer half moves outwards with it where the arm is lengthened."""
    extension = front_end.changes.arm_extension
    if surface.fixed_to != "arm" or surface.side is None or extension == 0.0:
        return surface
    link = link_of(front_end.car, surface.side)
    from_ball = link.length - (surface.points - link.start) @ link.along
    moved: Array = np.where((from_ball < link.cut)[:, None], extension * link.along, 0.0)
    return replace(surface, points=surface.points + moved)


def _references(told: Surroundings, bodies: Sequence[Body]) -> dict[str, Array]:
    """Points that can be found on the car, by name: the job's own, those that scans were placed by, panels' corners."""
    found = {f"{point.name} ({point.side})": np.array(point.at) for point in told.references}
    for body in bodies:
        if body.placement is not None:
            placed = body.placement
            for name, point in zip(placed.names, placed.points, strict=True):
                found.setdefault(name, point)
    for body in bodies:
        if body.placement is None and body.surface.is_mesh and len(body.surface.points) <= MOST_CORNERS:
            for number, point in enumerate(body.surface.points[:-1], 1):
                found[f"{body.surface.name} ({body.surface.side}), point {number}"] = point
    return found


MOST_CORNERS = 40
"""Of a panel that was measured point by point, up to which its corners serve as references."""


def share_words(confidence: float) -> str:
    """A confidence in words, such as "90 of 100"."""
    return f"{math.floor(1000 * confidence + 0.5) / 10:g} of 100"
