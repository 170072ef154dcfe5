"""Flat patterns: the blank as a view, and what the bender must know."""

from __future__ import annotations

import math

from parts.drawing.layout.rails import Linear
from parts.drawing.layout.tables import Table
from parts.drawing.layout.view import Mark, View
from parts.drawing.values import Size, Units, cell
from parts.drawing.views.axes import Picture
from parts.drawing.views.curves import Arc, Curve, Segment, tidy
from solver.families.base import FlatPattern, Outline
from solver.sheet_metal import Bend

INWARDS = 5.0
"""mm on paper from a bend line to the middle of its name."""


def blank(pattern: FlatPattern, units: Units) -> View:
    """All outlines with bend lines B1, B2 and so on, and the size over all."""
    points = [p[:2] for outline in pattern.outer for p in outline]
    middle = tuple(sum(p[axis] for p in points) / len(points) for axis in (0, 1))
    marks = []
    for number, ((x0, y0), (x1, y1)) in enumerate(pattern.bends, 1):
        long = math.dist((x0, y0), (x1, y1))
        x, y, across = (x0 + x1) / 2, (y0 + y1) / 2, ((y0 - y1) / long, (x1 - x0) / long)
        # To the side where most of the metal is.
        sign = 1.0 if across[0] * (middle[0] - x) + across[1] * (middle[1] - y) > 0 else -1.0
        marks.append(Mark(f"B{number}", (x, y), (sign * INWARDS * across[0], sign * INWARDS * across[1])))
    left, right = min(points), max(points)
    low, high = (f(points, key=lambda p: (p[1], p[0])) for f in (min, max))
    return View(
        picture_of(*pattern.outer, *pattern.inner),
        units,
        caption="Flat pattern",
        bends=pattern.bends,
        marks=tuple(marks),
        dimensions=(
            Linear(left, right, "bottom", Size(reference=True)),
            Linear(low, high, "left", Size(reference=True)),
        ),
    )


def bend_table(bends: tuple[Bend, ...], units: Units) -> Table:
    """A row for each bend."""
    return Table(
        f"Bends, {'mm' if units == 'mm' else 'in [mm]'}",
        ("bend", "angle", "inside R", "K-factor", "allowance", "deduction", "length"),
        tuple(
            (
                f"B{bend.number}",
                f"{round(math.degrees(bend.angle), 1):g}° {bend.direction}",
                cell(bend.radius, units),
                f"{bend.k_factor:.3g}",
                *(cell(each, units) for each in (bend.allowance, bend.deduction, bend.length)),
            )
            for bend in bends
        ),
    )


def picture_of(*outlines: Outline) -> Picture:
    """Outlines of a blank."""
    return Picture(tidy(curve for outline in outlines for curve in curves_of(outline)))


def curves_of(outline: Outline) -> list[Curve]:
    """Lines and arcs of a closed outline, whose edges bulge as those of a DXF polyline do."""
    found: list[Curve] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        chord = math.hypot(x1 - x0, y1 - y0)
        if chord < 1e-6:
            continue
        if not bulge:
            found.append(Segment((x0, y0), (x1, y1)))
            continue
        angle = 4 * math.atan(bulge)
        radius = chord / (2 * math.sin(abs(angle) / 2))
        # The centre stands off the chord's middle, to its left where the arc runs counter-clockwise.
        off = math.copysign(math.sqrt(max(radius**2 - (chord / 2) ** 2, 0.0)), angle)
        if abs(angle) > math.pi:
            off = -off
        cx = (x0 + x1) / 2 - off * (y1 - y0) / chord
        cy = (y0 + y1) / 2 + off * (x1 - x0) / chord
        first, last = (math.atan2(y - cy, x - cx) for x, y in ((x0, y0), (x1, y1)))
        if bulge < 0:
            first, last = last, first
        found.append(Arc((cx, cy), radius, first, first + abs(angle)))
    return found
