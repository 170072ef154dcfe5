"""Chooses one closure plate: its outline, its floor with the fewest facets that will do, or why there is none."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from solver.body.swept import SweptRevolved
from solver.car import Vector, WheelWell
from solver.families.closure_plate import ClosurePlateDimensions
from solver.panel import depths, outside_by, panel_frame
from solver.part import REQUIRED_MARGIN, Placement, Refusal
from solver.sizing.context import SizingContext
from solver.sizing.plate_dimensions import (
    TAB_HEIGHT,
    as_tuple,
    lowest_frequency,
    plate_dimensions,
    plate_placement,
)
from solver.sizing.plate_floor import (
    MOST_FACETS,
    Floor,
    Room,
    Setting,
    fits_behind,
    flat_floor,
    folded_floors,
)
from solver.sizing.plate_outline import grown, hole_outline
from solver.stock import round_up
from solver.strength.materials import Material, material

BETWEEN_POSES = 0.15
"""mm that walls and floor keep beyond the wanted gap for what lies between poses of that grid; the finer one that a
built plate is held against has come up to 0.1 mm nearer."""
FLATTEST = 5.0
"""Greatest distance, mm, of a measured point from the panel's mean plane: a tab's height, or tabs would not reach."""
HUM = 30.0
"""Hz: second order of a four-cylinder engine at 900 rpm, and above any wheel hop. Common practice, no source."""
TRIED = 12
"""Floors of each number of facets that are worked out in full, the least metal first."""


class Sized(NamedTuple):
    """One plate; mm.

    depth: of the tyre through the panel; gap: least one of the inside faces to the swept tyre
    cut: corners of the cut line in the panel, car axes; why: what more than one facet is for
    """

    dimensions: ClosurePlateDimensions
    placement: Placement
    depth: float
    gap: float
    cut: tuple[Vector, ...]
    why: str


def sized_plate(context: SizingContext, well: WheelWell, swept: SweptRevolved) -> Sized | Refusal | None:
    """The plate of one panel; None where the swept tyre stays clear of it."""
    solution = context.solution
    goal, choices, units = solution.job.goal, solution.job.part_choices, solution.job.shelf
    name = plate_name(solution.job.car.wheel_wells, well)
    pose = solution.as_modified.front_end.at_ride_height(np.zeros(1))[0 if well.side == "left" else 1]
    frame = panel_frame(well, pose.wheel_centre[0])
    if frame.flatness > FLATTEST:
        return Refusal(
            name,
            "panel not flat",
            f"a point of '{well.name}' is {frame.flatness:.0f} mm off its mean plane, {FLATTEST:.0f} mm is the most",
            "measure a smaller piece of the panel, or two panels with a table each",
        )
    through = depths(swept.solid, swept.centres, swept.axes, frame)
    near = through > -goal.clearance - TAB_HEIGHT
    swept = SweptRevolved(swept.solid, swept.centres[near], swept.axes[near])
    if not swept.count:
        return None
    depth = float(through.max())
    t = choices.plate_thickness
    bend = max(1.5 * t, 2.0)
    shallowest = 4 * t + bend
    gap = goal.clearance + BETWEEN_POSES
    level = round_up(max(max(depth, 0.0) + gap, shallowest), units)
    hole = hole_outline(swept, frame, gap, level, TAB_HEIGHT, units)
    if hole is None:
        return Refusal(
            name,
            "plate would touch the sweep",
            f"no outline keeps {goal.clearance:.1f} mm from the swept tyre round the hole in '{well.name}'",
            "less clearance, less lock, or a panel measured further out",
        )
    outline, walls = hole
    if not len(outline):
        return None
    cut = grown(outline, t)
    margin = max(outside_by(frame.outline, corner) for corner in cut)
    if margin > 0:
        return Refusal(
            name,
            "hole runs off the measured panel",
            f"the hole in '{well.name}' with its flange reaches {margin:.0f} mm beyond the points that were measured",
            f"measure the panel at least {math.ceil(margin + 10)} mm further out, or take a smaller tyre or less lock",
        )
    room = Room(frame.outline, np.array(well.room)) if well.room else None
    setting = Setting(swept, frame, outline, gap, level, t, shallowest, room)
    steel = material(choices.plate_material)
    chosen = _chosen(setting, bend, steel, choices.plate_facets, name, well)
    if isinstance(chosen, Refusal):
        return chosen
    floor, dimensions, why = chosen
    return Sized(
        dimensions,
        plate_placement(frame, outline, floor.turn, dimensions),
        depth,
        min(walls, gap + floor.slack) - BETWEEN_POSES,
        tuple(as_tuple(corner) for corner in frame.to_car(cut)),
        why,
    )


def _chosen(
    setting: Setting, bend: float, steel: Material, facets: int, name: str, well: WheelWell
) -> tuple[Floor, ClosurePlateDimensions, str] | Refusal:
    """The floor that can be made, fits behind the panel and does not hum: of fewest facets, then of least metal."""
    flat = flat_floor(setting)
    dimensions = plate_dimensions(setting, flat, bend)
    over = fits_behind(setting, flat)
    hums = lowest_frequency(dimensions, steel) < HUM * REQUIRED_MARGIN
    if over <= 0 and not hums and facets <= 1:
        return flat, dimensions, ""
    why = (
        f"a flat floor would reach {over:.0f} mm beyond the room behind the panel"
        if over > 0
        else "a flat floor would hum"
        if hums
        else "asked for by plate_facets"
    )
    for count in range(max(facets, 2), MOST_FACETS + 1):
        for number, floor in enumerate(folded_floors(setting, count)):
            if number >= TRIED:
                break
            folded = plate_dimensions(setting, floor, bend)
            if not list(folded.problems()) and lowest_frequency(folded, steel) >= HUM * REQUIRED_MARGIN:
                return floor, folded, why
    if over > 0:
        return Refusal(
            name,
            "no room behind the panel",
            f"the plate behind '{well.name}' would reach {over:.0f} mm deeper than the room that was measured there, "
            f"with up to {MOST_FACETS} facets as well",
            "less clearance, less lock, a narrower tyre; or make room there and measure it again",
        )
    # No fold helps: the flat one with what falls short, or with a wish that can't be met.
    return (
        flat,
        dimensions,
        "" if hums else f"no floor of {_count(facets)} facets can be folded here",
    )


def _count(facets: int) -> str:
    return f"{facets}" if facets == MOST_FACETS else f"{facets} to {MOST_FACETS}"


def plate_name(wells: tuple[WheelWell, ...], well: WheelWell) -> str:
    """Numbered where one side has several panels."""
    same = [other for other in wells if other.side == well.side]
    number = f"-{same.index(well) + 1}" if len(same) > 1 else ""
    return f"{ClosurePlateDimensions.family}-{well.side}{number}"
