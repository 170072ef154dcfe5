"""What every part family's dimensions have in common."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from numbers import Real
from typing import ClassVar

from solver.errors import DimensionError
from solver.sheet_metal import Bend

Outline = tuple[tuple[float, float, float], ...]
"""A closed outline as vertices ``(x, y, bulge)`` in mm; the bulge belongs to the edge that starts at the vertex.

The bulge is the tangent of a quarter of the arc's angle, positive counter-clockwise, 0 for a straight
edge: the way DXF defines it.
"""


@dataclass(frozen=True)
class FlatPattern:
    """What a cutter needs of a flat part: closed outlines and bend lines, all in mm.

    ``outer`` outlines run counter-clockwise, ``inner`` ones too; ``bends`` are straight lines between two
    points. ``thickness`` is the plate's, ``angles`` the bends' in rad: right angles, where there are none.
    """

    thickness: float
    outer: tuple[Outline, ...]
    inner: tuple[Outline, ...] = ()
    bends: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()
    angles: tuple[float, ...] = ()

    @property
    def area(self) -> float:
        """Metal that is left after cutting, in mm²: outer outlines less inner ones."""
        return sum(map(outline_area, self.outer)) - sum(map(outline_area, self.inner))

    @property
    def cut_length(self) -> float:
        """Length of all outlines, in mm."""
        return sum(map(outline_length, self.outer + self.inner))


def outline_area(outline: Outline) -> float:
    """Area in mm² of a closed outline with arcs, positive counter-clockwise.

    Shoelace formula for the chords, and for each arc its circular segment r²(θ − sin θ)/2.
    """
    area = 0.0
    for (x0, y0, bulge), (x1, y1, _) in _edges(outline):
        area += (x0 * y1 - x1 * y0) / 2
        if bulge:
            theta = 4 * math.atan(bulge)
            radius = math.hypot(x1 - x0, y1 - y0) / (2 * math.sin(theta / 2))
            area += radius**2 * (theta - math.sin(theta)) / 2
    return area


def outline_length(outline: Outline) -> float:
    """Length in mm of a closed outline with arcs."""
    length = 0.0
    for (x0, y0, bulge), (x1, y1, _) in _edges(outline):
        chord = math.hypot(x1 - x0, y1 - y0)
        if bulge:
            half = 2 * math.atan(bulge)
            chord *= half / math.sin(half)
        length += chord
    return length


def circle_outline(x: float, y: float, diameter: float) -> Outline:
    """A circle as two half-circle arcs, counter-clockwise, so that a cutter sees one closed polyline."""
    return ((x - diameter / 2, y, 1.0), (x + diameter / 2, y, 1.0))


def _edges(
    outline: Outline,
) -> Iterator[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    return zip(outline, outline[1:] + outline[:1], strict=True)


@dataclass(frozen=True)
class PartDimensions(ABC):
    """Dimensions of one part, in mm: frozen, free of CAD, with the limits that keep the part makeable.

    A subclass adds its fields, its limits (`problems`), a `volume` in closed form that does not come
    from the CAD kernel, and its `envelope`. `flat_pattern` is None for a part that is not cut from plate.
    """

    family: ClassVar[str]
    title: ClassVar[str]
    tolerances: ClassVar[Mapping[str, tuple[float, float]]] = {}
    """Upper and lower deviation in mm of dimensions for which the general tolerance is not enough."""

    def check(self) -> None:
        """Refuse dimensions that can't be made.

        Raises:
            DimensionError: names the part, and every dimension out of its limits with value and limit.
        """
        found = self._not_finite() or list(self.problems())
        if found:
            raise DimensionError(f"{self.title} can't be made: " + "; ".join(found))

    def _not_finite(self) -> list[str]:
        found = []
        for field in fields(self):
            value = getattr(self, field.name)
            # True would pass for 1 and text would fail somewhere inside a formula.
            if field.type in ("float", "int") and (isinstance(value, bool) or not isinstance(value, Real)):
                found.append(f"{field.name} is {value!r}, it must be a number")
                continue
            for number in _numbers(value):
                if isinstance(number, bool):
                    continue
                if not math.isfinite(number):
                    found.append(f"{field.name} is {number}, it must be a finite number")
        return found

    @abstractmethod
    def problems(self) -> Iterator[str]:
        """One sentence for each limit that is broken; nothing when the part can be made."""

    @property
    @abstractmethod
    def volume(self) -> float:
        """Volume of the solid in mm³, in closed form."""

    @property
    @abstractmethod
    def envelope(self) -> tuple[float, float, float]:
        """Size in mm of the box round the solid along its own x, y and z axes."""

    def flat_pattern(self) -> FlatPattern | None:
        """Outlines for cutting from plate; None when the part is no flat part."""
        return None

    def bend_table(self) -> tuple[Bend, ...]:
        """A row for each bend line of the flat pattern, in its order."""
        return ()


def _numbers(value: object) -> Iterator[float]:
    if isinstance(value, (int, float)):
        yield value
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from _numbers(item)


def least(name: str, value: float, limit: float, why: str) -> Iterator[str]:
    """A finding when ``value`` (mm) is below ``limit``."""
    if value < limit - 1e-9:
        yield f"{name} {value:.2f} mm is below {limit:.2f} mm ({why})"


def most(name: str, value: float, limit: float, why: str) -> Iterator[str]:
    """A finding when ``value`` (mm) is above ``limit``."""
    if value > limit + 1e-9:
        yield f"{name} {value:.2f} mm is above {limit:.2f} mm ({why})"
