"""What a job says about the body round the wheels, before any file of it is read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from solver.car import FixedTo, Side, Vector

BodySide = Literal["left", "right", "both", "whole"]


@dataclass(frozen=True)
class PlacePoint:
    """A point picked on a scan, in the scan's unit, and measured on the car, mm."""

    name: str
    scan: Vector
    car: Vector


@dataclass(frozen=True)
class BodySource:
    """One body: a file, or points, a panel's edge, or a box given in the job itself; mm and car axes.

    side: near which wheel it lies; "both" is a left one whose mirror lies on the right; "whole" holds both sides
    file: of a scan, from the job file's folder on; units: of its numbers, None to recognise them
    place: points that put the scan on the car; none for a scan in car axes
    tolerance: mm that a placement point may be off, None for the usual
    box: a corner and the ends of the three edges that leave it
    """

    name: str
    side: BodySide
    fixed_to: FixedTo = "body"
    file: str | None = None
    units: str | None = None
    place: tuple[PlacePoint, ...] = ()
    tolerance: float | None = None
    points: tuple[Vector, ...] | None = None
    panel: tuple[Vector, ...] | None = None
    box: tuple[Vector, ...] | None = None


@dataclass(frozen=True)
class RingSource:
    """What turns with a wheel, such as the rim's barrel, a brake disc or its shield; mm.

    inner_face, outer_face: from the rim's centre plane along the axis, away from the car positive, inner < outer
    """

    name: str
    inside_diameter: float
    outside_diameter: float
    inner_face: float
    outer_face: float
    side: Side


@dataclass(frozen=True)
class ReferencePoint:
    """A point that can be found on one side of the car; mm."""

    name: str
    at: Vector
    side: Side


@dataclass(frozen=True)
class Surroundings:
    """All that a job says about what the wheels come near; mm and radians.

    rolls, drops: that the sweep covers beside the plain travel
    confidence: share of cars, measured alike, that are to have no less clearance than is told; 0.5 for the plain value
    tie_rod_diameter, tie_rod_end_diameter: None where not measured
    """

    bodies: tuple[BodySource, ...] = ()
    rings: tuple[RingSource, ...] = ()
    references: tuple[ReferencePoint, ...] = ()
    rolls: tuple[float, ...] = ()
    drops: tuple[float, ...] = ()
    confidence: float = 0.5
    tie_rod_diameter: float | None = None
    tie_rod_end_diameter: float | None = None
