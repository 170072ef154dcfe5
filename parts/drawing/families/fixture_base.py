"""Sheet of the welding fixture's base: where its slots and the arm's joints are, and what a slot takes."""

from __future__ import annotations

import math

from parts.drawing.content import Content
from parts.drawing.layout.arrangement import Method
from parts.drawing.layout.callouts import rounding
from parts.drawing.layout.rails import Linear
from parts.drawing.layout.tables import Table
from parts.drawing.layout.view import Mark, View
from parts.drawing.plate_views import CUT, ENGRAVED, face_picture, with_edge
from parts.drawing.title_block import Surface
from parts.drawing.values import Size, Units, cell
from parts.kernel import cq
from solver.families.weld_fixture import FixtureBaseDimensions

JOINTS = ("pivot", "cut, pivot's half", "cut, ball joint's half", "ball joint")
ABOVE = 4.0
"""mm on paper from a slot to its name."""


def content(solid: cq.Solid, d: FixtureBaseDimensions, units: Units, method: Method) -> Content:
    """The plate with one slot's size, and tables of where the others and the engraved lines are."""
    half, r = d.width / 2, d.corner_radius
    x, low = d.stations[0], d.slot_offset - d.slot_length / 2
    across = d.slot_thickness / 2
    face = View(
        face_picture(d.flat_pattern()),
        units,
        marks=tuple(
            Mark(str(number), (station, d.slot_offset + d.slot_length / 2), (0.0, ABOVE))
            for number, station in enumerate(d.stations, 1)
        ),
        dimensions=(
            Linear((0.0, -half), (x, -half), "bottom"),
            Linear((0.0, -half), (d.length, -half), "bottom", far=True),
            Linear((x - across, half), (x + across, half), "top"),
            Linear((0.0, low), (0.0, low + d.slot_length), "left"),
            Linear((0.0, -d.slot_offset), (0.0, d.slot_offset), "left"),
            Linear((0.0, -half), (0.0, half), "left"),
        ),
        callouts=(rounding((d.length - r, half - r), r, math.pi / 4, "right", units, size=Size(4, "R")),),
    )
    unit = "mm" if units == "mm" else "in [mm]"
    slots = Table(
        f"Middles of the slots, {unit}",
        ("slots", "from the left end"),
        tuple((str(number), cell(station, units)) for number, station in enumerate(d.stations, 1)),
    )
    joints = Table(
        f"Engraved across the axis, {unit}",
        ("line", "from the left end"),
        tuple((name, cell(place, units)) for name, place in zip(JOINTS, d.joints, strict=True)),
    )
    return Content(
        blocks=(with_edge(solid, face, units, method), slots, joints),
        notes=(
            f"{2 * len(d.stations)} slots alike, in pairs over against each other. Their narrow size is the plate's "
            "and the fit: measure the plate before it is cut.",
            CUT,
            ENGRAVED,
        ),
        surface=Surface("any_surface", 25.0),
        least=0.2,
        largest=1.0,
    )
