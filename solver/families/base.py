"""What every part family's dimensions have in common."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from numbers import Real
from types import MappingProxyType
from typing import Any, ClassVar, Literal, NamedTuple

from solver.errors import DimensionError
from solver.sheet_metal import Bend

Outline = tuple[tuple[float, float, float], ...]
"""A closed outline as vertices ``(x, y, bulge)`` in mm; the bulge belongs to the edge that starts at the vertex.

The bulge is the tangent of a quarter of the arc's angle, positive counter-clockwise, 0 for a straight
edge: the way DXF defines it.
"""

MAKEABLE = 0.05
"""mm; a smaller difference of two parts is none: a tenth is what ISO 2768-m leaves the smallest size."""
SHARES = ("k_factor",)
"""Dimensions that are no lengths."""
NOTHING: Mapping[str, str] = MappingProxyType({})
Line = tuple[tuple[float, float], tuple[float, float]]
"""A straight line between two points, mm."""


@dataclass(frozen=True)
class FlatPattern:
    """What a cutter needs of a flat part: closed outlines and bend lines, all in mm.

    ``outer`` outlines run counter-clockwise, ``inner`` ones too; ``bends`` are straight lines between two
    points, and so are ``marks``, which are engraved or printed. ``thickness`` is the plate's, ``angles`` the bends' in
    rad: right angles, where there are none.
    """

    thickness: float
    outer: tuple[Outline, ...]
    inner: tuple[Outline, ...] = ()
    bends: tuple[Line, ...] = ()
    angles: tuple[float, ...] = ()
    marks: tuple[Line, ...] = ()

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


def outline_box(outline: Outline) -> tuple[tuple[float, float], tuple[float, float]]:
    """Lower left and upper right corner in mm of a closed outline, arcs with their bulges."""
    xs, ys = [x for x, _, _ in outline], [y for _, y, _ in outline]
    for (x0, y0, bulge), (x1, y1, _) in _edges(outline):
        if not bulge:
            continue
        # The centre lies on the chord's perpendicular, (1 − b²)/4b chords to its left.
        off = (1 - bulge**2) / (4 * bulge)
        cx, cy = (x0 + x1) / 2 - off * (y1 - y0), (y0 + y1) / 2 + off * (x1 - x0)
        radius = math.hypot(x0 - cx, y0 - cy)
        start, sweep = math.atan2(y0 - cy, x0 - cx), 4 * math.atan(bulge)
        for quarter in range(4):
            angle = quarter * math.pi / 2
            if (angle - start if sweep > 0 else start - angle) % (2 * math.pi) < abs(sweep):
                xs.append(cx + radius * math.cos(angle))
                ys.append(cy + radius * math.sin(angle))
    return (min(xs), min(ys)), (max(xs), max(ys))


def circle_outline(x: float, y: float, diameter: float) -> Outline:
    """A circle as two half-circle arcs, counter-clockwise, so that a cutter sees one closed polyline."""
    return ((x - diameter / 2, y, 1.0), (x + diameter / 2, y, 1.0))


_QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle."""


def rounded_rectangle(x0: float, y0: float, x1: float, y1: float, radius: float) -> Outline:
    """A rectangle with its four corners rounded alike, counter-clockwise; mm."""
    r = radius
    return (
        (x0 + r, y0, 0.0), (x1 - r, y0, _QUARTER), (x1, y0 + r, 0.0), (x1, y1 - r, _QUARTER),
        (x1 - r, y1, 0.0), (x0 + r, y1, _QUARTER), (x0, y1 - r, 0.0), (x0, y0 + r, _QUARTER),
    )  # fmt: skip


def slot_outline(start: tuple[float, float], end: tuple[float, float], width: float) -> Outline:
    """A slot with round ends from one middle to another, counter-clockwise; a circle where both are one; mm."""
    (x0, y0), (x1, y1) = start, end
    length = math.dist(start, end)
    if not length:
        return circle_outline(x0, y0, width)
    across = width / 2 / length
    nx, ny = (y1 - y0) * across, (x0 - x1) * across
    return (
        (x0 + nx, y0 + ny, 0.0), (x1 + nx, y1 + ny, 1.0),
        (x1 - nx, y1 - ny, 0.0), (x0 - nx, y0 - ny, 1.0),
    )  # fmt: skip


def _edges(
    outline: Outline,
) -> Iterator[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    return zip(outline, outline[1:] + outline[:1], strict=True)


class RawShape(NamedTuple):
    """What a part is cut out of, before anything is left on for sawing and cleaning up; mm.

    across, deep: its section, equal for round ones and the sheet's sides for a plate or paper; bore: hole that may be
    there already, 0 for none; length: along the bar or tube, thickness of a plate or of paper
    """

    kind: Literal["plate", "round", "block", "paper"]
    across: float
    deep: float
    bore: float
    length: float


@dataclass(frozen=True)
class PartDimensions(ABC):
    """Dimensions of one part, in mm: frozen, free of CAD, with the limits that keep the part makeable.

    A subclass adds its fields, its limits (`problems`), a `volume` in closed form that does not come
    from the CAD kernel, and its `envelope`. `flat_pattern` is None for a part that is not cut from plate.

    may_be_larger: dimensions that a finished part may exceed and still stand in for the wanted one, with the reason;
        all others must be alike
    can_be_reduced: dimensions that a shop can take down to the wanted value afterwards, with how
    fits_by: derived sizes that must be alike as well, since something on the car meets them
    """

    family: ClassVar[str]
    title: ClassVar[str]
    tolerances: ClassVar[Mapping[str, tuple[float, float]]] = {}
    """Upper and lower deviation in mm of dimensions for which the general tolerance is not enough."""
    may_be_larger: ClassVar[Mapping[str, str]] = NOTHING
    can_be_reduced: ClassVar[Mapping[str, str]] = NOTHING
    fits_by: ClassVar[tuple[str, ...]] = ()
    halved_across: ClassVar[tuple[float, float, float] | None] = None
    """Normal of the plane through the envelope's middle at which a mock-up comes in halves, if it does."""

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

    def for_printing(self, clearance: float) -> PartDimensions:
        """The same part as a mock-up, with room on each side of its holes and of the faces that mate; mm.

        What is made for metal alone, such as a least wall, need not hold for it.
        """
        return self

    def mates(self, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
        """Whether a face lies against another part; by its middle in mm and its outward normal there."""
        return False

    def flat_pattern(self) -> FlatPattern | None:
        """Outlines for cutting from plate; None when the part is no flat part."""
        return None

    def bend_table(self) -> tuple[Bend, ...]:
        """A row for each bend line of the flat pattern, in its order."""
        return ()

    def raw_shape(self) -> RawShape:
        """What it is cut out of: plate that holds all of its flat pattern, else a block round it."""
        pattern = self.flat_pattern()
        if pattern is None:
            return RawShape("block", self.envelope[0], self.envelope[1], 0.0, self.envelope[2])
        xs, ys = zip(*((x, y) for outline in pattern.outer for x, y in outline_box(outline)), strict=True)
        return RawShape("plate", max(xs) - min(xs), max(ys) - min(ys), 0.0, pattern.thickness)

    def silhouette(self) -> FlatPattern | None:
        """What two revisions are laid over one another by: the flat pattern, else outlines of a telling view."""
        return self.flat_pattern()

    def larger_than(self, wanted: PartDimensions) -> Iterator[tuple[str, str]]:
        """Dimensions in which this part exceeds ``wanted`` and may, with the reason."""
        for name, why in self.may_be_larger.items():
            if getattr(self, name) > getattr(wanted, name) + MAKEABLE:
                yield name, why

    def reduced_to(self, wanted: PartDimensions) -> Iterator[tuple[str, str]]:
        """Dimensions that would have to be taken down to those of ``wanted``, with how it is done."""
        for name, how in self.can_be_reduced.items():
            if getattr(self, name) > getattr(wanted, name) + MAKEABLE:
                yield name, how

    def in_the_way(self, wanted: PartDimensions) -> Iterator[str]:
        """Dimensions for which a part made to these can't stand in for ``wanted``, nor be made to.

        Conservative: whatever differs by more than `MAKEABLE` is in the way unless the family says why it isn't.
        """
        for name in (*(field.name for field in fields(self)), *self.fits_by):
            mine, theirs = getattr(self, name), getattr(wanted, name)
            if alike(name, mine, theirs):
                continue
            if name in {*self.may_be_larger, *self.can_be_reduced} and mine > theirs:
                continue
            yield name


def alike(name: str, one: Any, other: Any, within: float = MAKEABLE) -> bool:
    """Whether two values of a dimension are the same to ``within`` mm; shares to a millionth."""
    if name in SHARES:
        within = 1e-6
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= within
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(
            alike("", a, b, within) for a, b in zip(one, other, strict=True)
        )
    return bool(one == other)


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
