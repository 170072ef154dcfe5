"""The job file's tables about the body round the wheels, and about what else moves there.

Loaded only for a file that has one of them.
"""

from typing import Annotated, Literal

from pydantic import Field as Key

from locksweep.job.body_fields import Confidence, FileName, Points, ScanPoint, Some
from locksweep.job.fields import Choice, Panel, Quantity
from locksweep.job.schema import FixedToPart, Measured, Name, SideOrBoth, SmallSize, Table
from solver.car import Vector

ScanUnits = Annotated[Literal["mm", "cm", "in", "ft", "m"], Choice("mm", "cm", "in", "ft", "m")]
BodySide = Annotated[Literal["left", "right", "both", "whole"], Choice("left", "right", "both", "whole")]
Diameter = Annotated[float, Quantity("length", 1, 1000)]
Face = Annotated[float, Quantity("length", -400, 400)]


class PlaceTable(Table):
    """[[body.place]]: a point that was picked on the scan and measured on the car"""

    name: Name
    scan: Annotated[Vector, ScanPoint()]
    car: Measured


class BodyTable(Table):
    """[[body]]: one of file, points, panel and box"""

    name: Name
    side: BodySide
    fixed_to: FixedToPart = "body"
    file: Annotated[str, FileName()] | None = None
    units: ScanUnits | None = None
    place: list[PlaceTable] = Key(default_factory=list)
    tolerance: Annotated[float, Quantity("length", 0.5, 50)] | None = None
    points: Annotated[tuple[Vector, ...], Points(1, 5000, "")] | None = None
    panel: Annotated[tuple[Vector, ...], Panel()] | None = None
    box: (
        Annotated[
            tuple[Vector, ...], Points(4, 4, ": a corner, and the ends of the three edges that leave it")
        ]
        | None
    ) = None


class RingTable(Table):
    """[[ring]]: what turns with the wheel, such as the rim's barrel, the brake disc or its shield"""

    name: Name
    side: SideOrBoth = "both"
    inside_diameter: Diameter
    outside_diameter: Diameter
    inner_face: Face
    outer_face: Face


class ReferenceTable(Table):
    """[[reference]]: a point that can be found on the car, for dimensions on a template"""

    name: Name
    at: Measured
    side: SideOrBoth = "both"


class SweepTable(Table):
    """[sweep]: how wide the tyre is swept, and how sure the answer is to be"""

    rolls: Annotated[tuple[float, ...], Some(Quantity("angle", -10, 10), 8)] = ()
    drops: Annotated[tuple[float, ...], Some(Quantity("length", -100, 100), 8)] = ()
    confidence: Annotated[float, Confidence()] = 0.5
    tie_rod_diameter: SmallSize | None = None
    tie_rod_end_diameter: SmallSize | None = None
