"""What a job can say about marking aids: holes that they are located by, and the plate that they are cut from; mm."""

from __future__ import annotations

from typing import NamedTuple

from solver.car import Vector


class KnuckleHole(NamedTuple):
    """A hole of the left knuckle, beside the pickup's own: its middle in car axes, and its diameter."""

    at: Vector
    diameter: float


class StrutTopPattern(NamedTuple):
    """Stud holes of the left strut tower, forward and outward from the rod's nut, their diameter, and the opening's.

    opening: diameter of the tower's middle opening, 0 to leave it as it is
    """

    studs: tuple[tuple[float, float], ...]
    hole: float
    opening: float = 0.0


class Marking(NamedTuple):
    """All of it; None takes what suits.

    wanted: whether any are made
    plate: thickness of the plate that the welding fixture and the strut-top template are cut from
    slot_fit: by how much the fixture's slots are wider than its plates
    pilot: bore of the drilling gauge's bushes
    cut_angle: of the arm's cut off square, rad, positive where the top is longer on the template's half
    """

    wanted: bool = True
    plate: float | None = None
    slot_fit: float = 0.2
    pilot: float | None = None
    cut_angle: float = 0.0
    knuckle_hole: KnuckleHole | None = None
    strut_top: StrutTopPattern | None = None
