"""Views by hidden-line removal, sections, and where a view goes on a sheet."""

from __future__ import annotations

import math
from collections.abc import Iterable

import pytest
from shapely import Polygon

from parts.catalogue import build
from parts.drawing.layout.arrangement import Method, Orthographic
from parts.drawing.layout.bodies import Extent
from parts.drawing.paper.ink import Ink
from parts.drawing.views.axes import Axes
from parts.drawing.views.curves import Arc, Curve, Point, Polyline, Segment
from parts.drawing.views.projection import project
from parts.drawing.views.ray_casting import cast_rays
from parts.drawing.views.section import cut_through
from tests.parts.examples import (
    BOLTED_STOP,
    EXAMPLES,
    PAN,
    RECTANGULAR_SLEEVE,
    RING,
    ROUND_SLEEVE,
    WELDED_STOP,
)

FRONT = Axes(towards=(0.0, -1.0, 0.0), right=(1.0, 0.0, 0.0))
LYING = Axes(towards=(0.0, -1.0, 0.0), right=(0.0, 0.0, 1.0))
"""A part's z axis points to the right."""

Line = tuple[float, float, float, float]


def lines(curves: Iterable[Curve]) -> set[Line]:
    """Straight lines by both ends, the lower left one first; mm, to 1 µm."""
    return {_line(curve) for curve in curves if isinstance(curve, Segment)}


def _line(segment: Segment) -> Line:
    (a, b), (c, d) = sorted((round(x, 3) + 0.0, round(y, 3) + 0.0) for x, y in (segment.start, segment.end))
    return (a, b, c, d)


def length(curves: Iterable[Curve]) -> float:
    """Of all of them together, mm."""
    total = 0.0
    for curve in curves:
        if isinstance(curve, Segment):
            total += math.dist(curve.start, curve.end)
        elif isinstance(curve, Arc):
            total += curve.radius * (curve.end - curve.start)
        else:
            assert isinstance(curve, Polyline)
            total += sum(math.dist(a, b) for a, b in zip(curve.points, curve.points[1:], strict=False))
    return total


def test_ring_along_its_axis() -> None:
    """Four full circles: outside and bore, each with its chamfer; no seam, nothing twice, nothing hidden."""
    picture = project(build(RING), LYING.from_left())
    assert () == picture.hidden
    assert all(isinstance(curve, Arc) and curve.closed for curve in picture.visible)
    found = sorted(curve.radius for curve in picture.visible if isinstance(curve, Arc))
    assert [5.0, 6.0, 14.0, 15.0] == pytest.approx(found)


def test_ring_from_the_side() -> None:
    """The outline with its chamfers; the bore and its chamfers are hidden."""
    picture = project(build(RING), LYING)
    outline = {
        *((0.0, -14.0, 0.0, 14.0), (6.0, -14.0, 6.0, 14.0), (1.0, -15.0, 5.0, -15.0), (1.0, 15.0, 5.0, 15.0)),
        *((0.0, 14.0, 1.0, 15.0), (5.0, 15.0, 6.0, 14.0), (0.0, -14.0, 1.0, -15.0), (5.0, -15.0, 6.0, -14.0)),
        *((1.0, -15.0, 1.0, 15.0), (5.0, -15.0, 5.0, 15.0)),
    }
    assert outline == lines(picture.visible)
    assert {(1.0, -5.0, 5.0, -5.0), (1.0, 5.0, 5.0, 5.0)} <= lines(picture.hidden)


def test_section_of_a_ring() -> None:
    """The cut metal is hatched; behind it only the bore is seen, not what the metal hides or what was cut away."""
    picture, loops = cut_through(build(RING), (0.0, 0.0, 0.0), LYING)
    upright = {line for line in lines(picture.visible) if line[0] == line[2]}
    whole = {(0.0, -14.0, 0.0, 14.0), (6.0, -14.0, 6.0, 14.0)}
    assert whole | {(1.0, -5.0, 1.0, 5.0), (5.0, -5.0, 5.0, 5.0)} == upright
    # 10 mm by 6 mm less four chamfers of 1 mm.
    assert [58.0, 58.0] == pytest.approx([Polygon(loop).area for loop in loops])


def test_section_off_the_middle() -> None:
    """Cut 8 mm before its axis a ring shows the half behind the plane, and metal as wide as the chord there."""
    _, loops = cut_through(build(RING), (0.0, -8.0, 0.0), LYING)
    (loop,) = loops
    ys = [y for _, y in loop]
    assert 2 * math.sqrt(15.0**2 - 8.0**2) == pytest.approx(max(ys) - min(ys), abs=0.02)


def test_hole_through_a_round_sleeve() -> None:
    """Seen along its axis a plug hole is a full circle, and those square to it show as hidden walls."""
    picture = project(build(ROUND_SLEEVE), LYING)
    circles = [curve for curve in picture.visible if isinstance(curve, Arc) and curve.closed]
    # Both holes of either wall lie one behind the other, 25.6 mm from either tip.
    assert [(25.6, 0.0, 5.0), (122.4, 0.0, 5.0)] == [
        pytest.approx((*curve.centre, curve.radius), abs=1e-3) for curve in circles
    ]
    # The bore, 20 mm from the axis, from tongue to tongue, broken by two holes 10 mm wide in each wall.
    bore = [line for line in lines(picture.hidden) if line[1] == line[3] and abs(abs(line[1]) - 20.0) < 1e-3]
    assert bore
    assert 2 * (148.0 - 2 * 24.0 * 20.0 / 24.0 - 2 * 10.0) == pytest.approx(
        sum(line[2] - line[0] for line in bore), abs=0.5
    )


@pytest.mark.parametrize("name", [name for name, d in EXAMPLES.items() if d not in (RING, ROUND_SLEEVE)])
def test_rays_agree_with_the_kernel(name: str) -> None:
    """Where the kernel's own hidden-line removal is quick enough, rays find the same lines, seen, hidden and smooth."""
    solid = build(EXAMPLES[name])
    for axes in (FRONT, FRONT.from_above(), FRONT.from_left()):
        kernel, rays = project(solid, axes), cast_rays(solid, axes, hidden=True)
        # A ray starts 0.1 mm off its edge, which counts wherever one edge hides another: some places in a folded plate.
        assert length(kernel.visible) == pytest.approx(length(rays.visible), abs=0.4)
        assert length(kernel.hidden) == pytest.approx(length(rays.hidden), abs=0.4)
        assert length(kernel.smooth) == pytest.approx(length(rays.smooth), abs=0.4)
        assert lines(kernel.smooth) == lines(rays.smooth)


@pytest.mark.parametrize("dimensions", [RECTANGULAR_SLEEVE, BOLTED_STOP, WELDED_STOP, PAN])
def test_nothing_is_drawn_twice(dimensions: object) -> None:
    """No two lines lie on each other, and no hidden line on a visible one."""
    solid = build(dimensions)  # type: ignore[arg-type]
    for axes in (FRONT, FRONT.from_above(), FRONT.from_right()):
        picture = project(solid, axes)
        found = [*lines(picture.visible), *lines(picture.hidden)]
        for i, one in enumerate(found):
            for other in found[:i]:
                assert _common(one, other) < 1e-2, (one, other)


def _common(one: Line, other: Line) -> float:
    """Length that two level or upright lines have in common, mm."""
    for axis in (0, 1):
        across = 1 - axis
        if len({round(line[k], 2) for line in (one, other) for k in (across, across + 2)}) == 1:
            spans = [sorted((line[axis], line[axis + 2])) for line in (one, other)]
            return min(s[1] for s in spans) - max(s[0] for s in spans)
    return 0.0


class _Noted:
    """A block that notes where it is drawn."""

    def __init__(self) -> None:
        self.at: Point = (0.0, 0.0)

    def extent(self, scale: float) -> Extent:
        return Extent(10.0, 10.0, 10.0, 10.0)

    def draw(self, ink: Ink, at: Point, scale: float) -> None:
        self.at = at


@pytest.mark.parametrize(("method", "sign"), [("first", -1), ("third", 1)])
def test_first_and_third_angle(method: Method, sign: int) -> None:
    """Third angle puts what is seen from above and from the left there; first angle puts it on the other side."""
    front, above, left = _Noted(), _Noted(), _Noted()
    views = Orthographic(method, front, from_above=above, from_left=left)
    views.draw(None, (100.0, 100.0), 1.0)  # type: ignore[arg-type]
    assert (100.0, 100.0) == front.at
    assert front.at[0] == above.at[0]
    assert sign * (above.at[1] - front.at[1]) > 20.0
    assert front.at[1] == left.at[1]
    assert sign * (front.at[0] - left.at[0]) > 20.0
