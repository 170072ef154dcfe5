"""Whether a closure plate that is there already can stay when the tyre changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.body.answer import Answer, BodyResult
from solver.body.solid_gap import least_gap
from solver.body.sweep import Cause
from solver.car import Side
from solver.families.closure_plate import ClosurePlateDimensions
from solver.part import Part
from solver.sizing.plate_faces import cut_away, plate_faces
from solver.vectors import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

PLAY = 0.1
"""mm that may lack of the wanted gap: a plate is sized on fewer poses than it is looked at in here, and nobody bends
sheet closer."""


@dataclass(frozen=True, eq=False)
class Nearness:
    """Where the swept tyre comes nearest to something; mm and car axes.

    what: the face, or the body; cause: None where all poses are alike
    """

    what: str
    gap: float
    point: Array
    cause: Cause | None


@dataclass(frozen=True, eq=False)
class PlateCheck:
    """One plate as it is against a sweep.

    faces: its own nearest face; beside: of the bodies that its hole is cut in, what is left beside the hole, None where
        nothing was measured there
    """

    name: str
    side: Side
    wanted: float
    faces: Nearness
    beside: Nearness | None

    @property
    def stays(self) -> bool:
        """Whether it and what is left round it keep the wanted gap."""
        return not self.short

    @property
    def short(self) -> tuple[Nearness, ...]:
        """What does not keep the wanted gap."""
        looked = (self.faces,) if self.beside is None else (self.faces, self.beside)
        return tuple(item for item in looked if item.gap < self.wanted - PLAY)


def check_plates(parts: Sequence[Part], swept: Answer) -> tuple[PlateCheck, ...]:
    """Each closure plate among some parts, with its own dimensions and place, against another sweep.

    The gap is that of the sweep's answer; where that has a band all gaps are those at its bad end.
    """
    plates = [
        part for part in parts if isinstance(part.dimensions, ClosurePlateDimensions) and part.placement
    ]
    return tuple(_check(plate, plates, swept) for plate in plates)


def _check(plate: Part, plates: Sequence[Part], swept: Answer) -> PlateCheck:
    assert isinstance(plate.dimensions, ClosurePlateDimensions)
    assert plate.placement is not None
    side: Side = "left" if plate.placement.origin[1] > 0 else "right"
    names, triangles = plate_faces(plate.dimensions, plate.placement)
    sweep = swept.sweeps[side]
    band = next((body.map.field.band for body in swept.bodies), None)
    if band is None:
        found = least_gap(triangles, sweep)
        faces = Nearness(names[found.face], found.distance, found.point, found.cause)
        return PlateCheck(plate.name, side, swept.gap, faces, _beside(plate, plates, swept))
    # Each face by itself: with what the uncertainty takes off another one may come nearest.
    each = []
    for name in dict.fromkeys(names):
        found = least_gap(triangles[np.array(names) == name], sweep)
        spread = band.spread(found.point[None], side, np.array([found.pose]))[0]
        each.append(Nearness(name, found.distance - band.factor * float(spread), found.point, found.cause))
    faces = min(each, key=lambda item: item.gap)
    return PlateCheck(plate.name, side, swept.gap, faces, _beside(plate, plates, swept))


def _beside(plate: Part, plates: Sequence[Part], swept: Answer) -> Nearness | None:
    """What is left of the bodies that a plate's hole is cut in, without the holes of all plates."""
    worst: Nearness | None = None
    for body in swept.bodies:
        if body.map.surface.fixed_to != "body" or not _cut(plate, body).any():
            continue
        left = np.flatnonzero(~np.any([_cut(one, body) for one in plates], axis=0))
        if not len(left):
            continue
        number = int(left[body.map.clearance[left].argmin()])
        gap = float(body.map.clearance[number])
        if worst is None or gap < worst.gap:
            surface = body.map.surface
            worst = Nearness(surface.name, gap, surface.points[number], body.map.cause(number))
    return worst


def _cut(plate: Part, body: BodyResult) -> NDArray[np.bool_]:
    assert isinstance(plate.dimensions, ClosurePlateDimensions)
    assert plate.placement is not None
    return cut_away(plate.dimensions, plate.placement, body.map.surface.points)
