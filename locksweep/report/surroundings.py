"""The body round the wheels, coloured by how near the swept tyre comes to it, for a look; with its worst places."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from locksweep.body.load import LoadedBody, load_bodies
from locksweep.report.body_gaps import far_of
from locksweep.report.numbers import plain
from solver.body.answer import INTEREST
from solver.body.clearance_map import clearance_map
from solver.body.regions import Region, regions
from solver.body.surface import Surface
from solver.body.sweep import Cause, Grid, wheel_sweeps
from solver.car import FixedTo, Job, Side
from solver.errors import LocksweepError
from solver.state import State
from solver.sweep import TURNS

GRID = Grid(rack_points=41, travel_points=9)
EDGE = 25.0
"""Longest edge of a mesh near the tyre, mm: coarse, as colours tell no more."""
MOST_POINTS = 6000
"""Of one body that are shown; a scan with more is thinned."""
MOST_PLACES = 6


def surroundings(job: Job, state: State, folder: Path) -> tuple[dict[str, Any], list[Surface]]:
    """Every body with the clearance of each of its points in one condition of the car, and the worst places of all.

    The surfaces come along as they are shown.

    folder: of the job file. A scan that can't be used is named with the reason: the parts don't hang on it.
    """
    gap = job.goal.clearance
    racks: dict[Side, float] = {turn: state.turn(turn).rack for turn in TURNS}
    remarks: list[str] = []
    try:
        loaded = load_bodies(job, folder)
    except LocksweepError as error:
        loaded, remarks = [], [f"Not shown: {error}"]
    sweeps = wheel_sweeps(state.front_end, GRID, racks) if loaded else {}
    bodies, places, surfaces = [], [], []
    for one in loaded:
        found = clearance_map(thinned(one, remarks), sweeps, gap + INTEREST, edge=EDGE)
        surface = found.surface
        bodies.append(
            {
                "name": surface.name,
                "side": surface.side or "whole",
                "frame": frame_of(surface.fixed_to, surface.side),
                "vertices_mm": plain(surface.points.ravel(), 1),
                "triangles": surface.triangles.ravel().tolist(),
                "clearance_mm": plain(found.clearance, 1),
            }
        )
        places += regions(found, gap)
        surfaces.append(surface)
    places.sort(key=lambda region: region.clearance)
    shown = {
        "wanted_mm": round(gap, 2),
        "interest_mm": round(gap + INTEREST, 2),
        "far_mm": round(far_of(job.goal), 2),
        "bodies": bodies,
        "places": [_place(number, region) for number, region in enumerate(places[:MOST_PLACES], 1)],
        "remarks": remarks,
    }
    return shown, surfaces


def thinned(body: LoadedBody, remarks: list[str]) -> Surface:
    """A body's surface, or so many of its points as a page can hold, evenly over their order."""
    surface = body.surface
    if len(surface.points) <= MOST_POINTS:
        return surface
    kept = np.zeros(len(surface.points), np.bool_)
    kept[np.linspace(0, len(surface.points) - 1, MOST_POINTS).astype(int)] = True
    remarks.append(
        f"{surface.name}: {MOST_POINTS:,} of its {len(surface.points):,} points are shown; 'locksweep clearance' looks "
        "at all of them."
    )
    return Surface(
        surface.name, surface.points[kept], np.empty((0, 3), np.int64), surface.fixed_to, surface.side
    )


def frame_of(fixed_to: FixedTo, side: Side | None) -> str:
    """The frame that something moves with."""
    return "body" if fixed_to == "body" or side is None else f"{side} {fixed_to}"


def _place(number: int, region: Region) -> dict[str, Any]:
    return {
        "number": number,
        "name": region.name,
        "at_mm": plain(region.point, 1),
        "clearance_mm": round(region.clearance, 1) + 0.0,
        "when": None if region.cause is None else _when(region.cause),
    }


def _when(cause: Cause) -> dict[str, float]:
    return {
        "steer_deg": round(float(np.degrees(cause.steer)), 1) + 0.0,
        "travel_mm": round(cause.travel, 1) + 0.0,
    }
