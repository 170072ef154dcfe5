"""How a view looks at the part, and what it then shows."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drawing.views.curves import Curve, Point

Direction = tuple[float, float, float]


@dataclass(frozen=True)
class Axes:
    """How a view looks at the part, in the part's own frame.

    towards: from the part to the eye; right: what points to the right on the sheet; up is towards × right
    """

    towards: Direction
    right: Direction

    @property
    def up(self) -> Direction:
        """What points up on the sheet."""
        (a, b, c), (x, y, z) = self.towards, self.right
        return (b * z - c * y, c * x - a * z, a * y - b * x)

    def point(self, x: float, y: float, z: float) -> Point:
        """Where a point of the part is in the view."""
        r, u = self.right, self.up
        return (r[0] * x + r[1] * y + r[2] * z, u[0] * x + u[1] * y + u[2] * z)

    def from_above(self) -> Axes:
        """Of the view from above this one."""
        return Axes(self.up, self.right)

    def from_right(self) -> Axes:
        """Of the view from the right of this one."""
        return Axes(self.right, _reversed(self.towards))

    def from_left(self) -> Axes:
        """Of the view from the left of this one."""
        return Axes(_reversed(self.right), self.towards)


def _reversed(direction: Direction) -> Direction:
    x, y, z = direction
    return (-x + 0.0, -y + 0.0, -z + 0.0)


@dataclass(frozen=True)
class Picture:
    """What a view shows, mm in its own plane.

    visible, hidden: edges and outlines that are seen and that are behind something
    smooth: seen edges where faces run into each other without an angle, as at both ends of a bend
    """

    visible: tuple[Curve, ...]
    hidden: tuple[Curve, ...] = ()
    smooth: tuple[Curve, ...] = ()
