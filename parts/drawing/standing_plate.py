"""What the plates that stand in a welding fixture's base have in common on their sheets."""

from __future__ import annotations

from parts.drawing.layout.bodies import note
from parts.drawing.layout.callouts import Callout
from parts.drawing.layout.rails import Linear
from parts.drawing.values import Units, cell
from parts.drawing.views.curves import Point
from solver.families.weld_fixture import FixtureStopDimensions, FixtureVeeDimensions

Standing = FixtureVeeDimensions | FixtureStopDimensions
MIDDLE = 0.1
"""How far notch or hole may be off the tabs' middle, mm."""


def tab_dimensions(d: Standing) -> tuple[Linear, ...]:
    """Both tabs, their length below the shoulders, and the height over the base."""
    half, low = d.width / 2, -d.thickness
    top = d.axis_height if isinstance(d, FixtureVeeDimensions) else d.height
    near, far = (d.tab_offset + way * d.tab_width / 2 for way in (-1, 1))
    return (
        Linear((near, low), (far, low), "bottom"),
        Linear((-near, low), (near, low), "bottom"),
        Linear((-half, low), (-half, 0.0), "left"),
        Linear((-half, 0.0), (-half, top), "left"),
    )


def tab_callout(d: Standing, units: Units) -> Callout:
    """The tabs' corners."""
    corner = (d.tab_offset + d.tab_width / 2 - d.chamfer / 2, d.chamfer / 2 - d.thickness)
    return Callout(corner, note(f"4 × {cell(d.chamfer, units)} × 45°"), "right")


def centre_line(top: float) -> tuple[Point, Point]:
    """The tabs' middle, up to a height."""
    return ((0.0, 0.0), (0.0, top))
