"""One posed corner in lines: wheel, knuckle, strut, arm, tie rod, rack; and where a part sits on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from locksweep.note.scenes import Mark
from locksweep.note.shapes import Line, Shape, ring
from locksweep.note.views import View
from solver.loading.free_body import CornerShape
from solver.tyre import Tyre
from solver.vectors import Array, cross, unit

THICK, THIN, PALE = 1.1, 0.4, 0.62
"""Width of a member that carries what is shown, of one that does not, mm, and that one's grey."""
RACK_SHOWN = 110.0
"""Of the rack inwards of its joint, mm of the car, where one corner alone is drawn."""


def rack_end(shape: CornerShape, whole: bool) -> Array:
    """Where the rack is drawn to: the centre plane, or a piece of it."""
    inner = shape.inner_joint
    to_middle = abs(float(inner[1]))
    shown = to_middle if whole else min(RACK_SHOWN, to_middle)
    return np.asarray(inner - np.sign(inner[1]) * shown * shape.rack_direction)


def knots(shape: CornerShape) -> list[Array]:
    """Points that a picture must hold."""
    return [
        shape.contact,
        shape.strut_top,
        shape.front_pivot,
        shape.rear_pivot,
        shape.ball_joint,
        shape.pickup,
        shape.inner_joint,
    ]


def wheel(shape: CornerShape, tyre: Tyre) -> Array:
    """Rims of the tyre's two sides, (2, k, 3)."""
    axis = shape.spin_axis
    up = unit(np.array([0.0, 0.0, 1.0]) - axis[2] * axis)
    ahead = cross(up, axis)
    turn = np.linspace(0, 2 * np.pi, 37)[:-1]
    radius = tyre.outside_diameter / 2
    circle = shape.wheel_centre + radius * (np.cos(turn)[:, None] * ahead + np.sin(turn)[:, None] * up)
    half = tyre.section_width / 2 * axis
    return np.stack([circle - half, circle + half])


def corner_lines(
    shape: CornerShape, view: View, tyre: Tyre, carrying: frozenset[str], loaded: bool, whole: bool = False
) -> list[Shape]:
    """The corner itself, pale where it carries nothing of what is shown."""
    rims = view.at(wheel(shape, tyre))
    lines: list[Shape] = [
        Line(_hull(rims.reshape(-1, 2)), 0.3, 0.45, closed=True, fill=0.93),
        Line(view.at(np.stack([shape.wheel_centre - 90 * shape.spin_axis, shape.wheel_centre])), 0.2, PALE),
    ]
    ground = view.at(shape.contact)
    if not view.from_above:
        end = view.at(rack_end(shape, whole))[0] - ground[0]
        lines.append(Line(ground + np.array([(-np.sign(end) * 6.0, 0.0), (end, 0.0)]), 0.2, 0.3))
    else:
        lines.append(ring(ground, 0.6, 0.2, None, 0.3))

    def member(name: str, *points: Array, thick: float = THICK, thin: float = THIN) -> None:
        carries = name in carrying
        lines.append(Line(view.at(np.stack(points)), thick if carries else thin, 0.0 if carries else PALE))

    def axis(*points: Array) -> None:
        lines.append(Line(view.at(np.stack(points)), 0.15, 0.4, dash=(1.6, 0.8)))

    member("rack", rack_end(shape, whole), shape.inner_joint)
    knuckle = [shape.ball_joint, shape.pickup, shape.wheel_centre, shape.tube[0], shape.ball_joint]
    # The knuckle stands between ground and everything else: it carries whatever is carried.
    lines.append(Line(view.at(np.stack(knuckle)), 0.7 if loaded else THIN, 0.0 if loaded else PALE))
    axis(shape.ball_joint, shape.strut_top)
    member("strut", *shape.tube, thick=1.6 * THICK, thin=1.0)
    member("strut", shape.tube[1], shape.strut_top)
    if shape.leg_joint is not None and shape.leg_pivot is not None:
        axis(shape.front_pivot, shape.rear_pivot)
        member("leg", shape.leg_joint, shape.leg_pivot)
    else:
        # An arm in one piece: its link stands on what joins both pivots.
        member("link", shape.front_pivot, shape.rear_pivot)
    member("link", shape.ball_joint, shape.link_start)
    member("tie rod", shape.pickup, shape.inner_joint)
    for joint in (shape.ball_joint, shape.pickup, shape.inner_joint, shape.strut_top):
        lines.append(ring(view.at(joint), 0.8))
    for pivot in (shape.front_pivot, shape.rear_pivot):
        lines.append(ring(view.at(pivot), 0.8, fill=0.6))
    return lines


def mark_lines(mark: Mark, view: View) -> tuple[list[Shape], Array]:
    """A part in its place and the point that its name belongs to."""
    points = view.at(mark.points)
    middle = points.mean(axis=0)
    if len(points) == 1:
        return [ring(middle, 2.1, 0.9, None)], middle + np.array([0.0, 2.1])
    if len(points) == 2:
        return [Line(points, 3.4), Line(points, 1.9, 1.0), Line(points, 0.3, 0.4)], middle
    return [Line(points, 0.7, closed=True, fill=0.8)], middle


def _hull(points: Array) -> Array:
    """Convex outline of points (k, 2), by Andrew's monotone chain."""
    ordered = sorted(map(tuple, points.tolist()))

    def half(run: Sequence[tuple[float, ...]]) -> list[tuple[float, ...]]:
        chain: list[tuple[float, ...]] = []
        for p in run:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-2], chain[-1]
                if (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > 0:
                    break
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return np.array(half(ordered) + half(ordered[::-1]))
