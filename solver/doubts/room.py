"""Doubts about the tyre and what is near it: bars, panels and places for stop brackets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from solver.car import Side
from solver.clearance import gap, obstacles
from solver.corner import Pose
from solver.doubts.doubt import Doubt, Measure, length_text, out_of_range
from solver.front_end import Assembly, FrontEnd, link_points, points_of
from solver.stock import StockUnits
from solver.sweep import TURNS
from solver.tyre import nearest_point_distance, tyre_of
from solver.vectors import Array

HEIGHT_DIFFERENCE = 5.0
"""Between the wheel centre's height and the loaded radius, mm: two measurements of one thing."""
UNFLATNESS = 20.0
"""Of a panel, from its mean plane, mm."""
MOUNT_DISTANCE = 60.0
CONTACT_DISTANCE = 250.0
"""Of a stop's mount from the arm's middle line, and of its contact from the ball joint, mm."""


def tyre_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Measured sizes of the tyre against its marking, and against the height of the wheel centres."""
    wheel = front_end.car.wheel
    nominal = tyre_of(replace(wheel, outside_diameter=None, section_width=None))
    for name, share in (("outside_diameter", 0.04), ("section_width", 0.08)):
        size = getattr(nominal, name)
        given = getattr(wheel, name) or size
        if abs(given - size) > share * size:
            found = f"{name.replace('_', ' ')} {length_text(given, units)}"
            expected = f"about {length_text(size, units)}, as {wheel.tyre} says"
            yield Doubt((f"wheel.{name}", "wheel.tyre"), found, expected)
    half = front_end.tyre.outside_diameter / 2
    tyre_keys = (
        ("wheel.tyre",) if wheel.outside_diameter is None else ("wheel.outside_diameter", "wheel.tyre")
    )
    if wheel.loaded_radius is not None:
        pressed = Measure(
            "the tyre pressed in by", half - wheel.loaded_radius, 3, 35, ("wheel.loaded_radius", *tyre_keys)
        )
        yield from out_of_range(pressed, "", "", units)
    for side in TURNS:
        key, height = f"car.{side}.wheel_centre", points_of(front_end.car, side).wheel_centre[2]
        pressed = Measure("the tyre pressed in by", half - height, 3, 35, (key, *tyre_keys))
        yield from out_of_range(pressed, "", side, units)
        radius = wheel.loaded_radius
        if radius is not None and abs(height - radius) > HEIGHT_DIFFERENCE:
            found = f"{side}: wheel centre at {length_text(height, units)}, loaded radius {length_text(radius, units)}"
            expected = f"the same within {length_text(HEIGHT_DIFFERENCE, units)}"
            yield Doubt((key, "wheel.loaded_radius"), found, expected)


def in_the_tyre(front_end: FrontEnd, assembly: Assembly, pose: Pose, units: StockUnits) -> Iterator[Doubt]:
    """What the tyre would already cut into with the wheels straight ahead."""
    side = assembly.side
    at_corner: dict[str, tuple[str, ...]] = {
        "strut tube": (f"car.{side}.damper_point", "strut.tube_diameter", f"car.{side}.wheel_centre"),
        "lower arm": ("arm.clear_radius", f"car.{side}.wheel_centre"),
    }
    for obstacle in obstacles(front_end, assembly):
        overlap = -float(gap(front_end.tyre, obstacle, pose)[0])
        if overlap > 0:
            suspects = at_corner.get(obstacle.name, (f'keep_clear "{obstacle.name}"',))
            found = f"{side}: the {obstacle.name} {length_text(overlap, units)} inside of the tyre"
            yield Doubt(suspects, found, "clear of the tyre that the car was measured on, straight ahead")


def keep_clear_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Bars that lie beyond the wheel or on the other side of the car."""
    for item in front_end.car.keep_clear:
        middle = (item.start[1] + item.end[1]) / 2
        yield from _beyond_the_wheel(front_end, item.side, middle, f'keep_clear "{item.name}"', units)


def _beyond_the_wheel(
    front_end: FrontEnd, side: Side, y: float, key: str, units: StockUnits
) -> Iterator[Doubt]:
    """What lies on the other side of the car, or outside of the wheel's outer face."""
    sign = 1 if side == "left" else -1
    outer_face = abs(points_of(front_end.car, side).wheel_centre[1]) + front_end.tyre.section_width / 2
    if not 0 <= sign * y <= outer_face:
        found = f"{side}: its middle at y = {length_text(y, units)}"
        expected = (
            f"between the centre plane and the tyre's outer face at {length_text(sign * outer_face, units)}"
        )
        yield Doubt((key,), found, expected)


def wheel_well_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Panels that aren't flat, cross themselves, lie beyond the wheel, or in the tyre."""
    for well in front_end.car.wheel_wells:
        key = f'wheel_well "{well.name}"'
        points = np.array(well.panel)
        middle = points.mean(axis=0)
        axes = np.linalg.svd(points - middle)[2]
        off = float(np.max(np.abs((points - middle) @ axes[2])))
        if off > UNFLATNESS:
            found = f"{well.side}: a point {length_text(off, units)} off the panel's mean plane"
            yield Doubt((key,), found, f"a panel that is flat within {length_text(UNFLATNESS, units)}")
        if _crosses_itself((points - middle) @ axes[:2].T):
            found = f"{well.side}: the panel's outline crosses itself"
            yield Doubt((key,), found, "points in their order round the panel's edge")
        yield from _beyond_the_wheel(front_end, well.side, float(middle[1]), key, units)
        overlap = -_gap_to_panel(front_end, well.side, points)
        if overlap > 0:
            found = f"{well.side}: the panel {length_text(overlap, units)} inside of the tyre"
            yield Doubt((key,), found, "clear of the tyre that the car was measured on, straight ahead")


def _crosses_itself(outline: Array) -> bool:
    """Whether two edges of a closed plane outline (n, 2) cross."""
    start, end = outline, np.roll(outline, -1, axis=0)

    def turn(a: Array, b: Array, c: Array) -> Array:
        u, v = b - a, c - a
        return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])

    p, q, r, s = start[:, None], end[:, None], start[None], end[None]
    # Neighbours share a vertex, for which one of the products is 0.
    crossing = (turn(p, q, r) * turn(p, q, s) < 0) & (turn(r, s, p) * turn(r, s, q) < 0)
    return bool(crossing.any())


def _gap_to_panel(front_end: FrontEnd, side: Side, points: Array) -> float:
    """From the tyre to the panel's edges and to the lines from its middle to its corners, mm."""
    pose = front_end.at_ride_height(np.zeros(1))[0 if side == "left" else 1]
    middle = np.broadcast_to(points.mean(axis=0), points.shape)
    start, end = np.concatenate([points, middle]), np.concatenate([np.roll(points, -1, axis=0), points])
    return float(nearest_point_distance(front_end.tyre, start, end, pose.wheel_centre, pose.spin_axis).min())


def stop_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Places for stop brackets that lie off the arm, or meet the knuckle out of reach."""
    for stop in front_end.car.stop_mounts:
        points = points_of(front_end.car, stop.side)
        ball = np.array(points.ball_joint)
        start, link = link_points(front_end.car, points)
        along = float((np.array(stop.mount) - start) @ link)
        nearest = start + link * min(max(along, 0.0), float((ball - start) @ link))
        off = float(np.linalg.norm(np.array(stop.mount) - nearest))
        if off > MOUNT_DISTANCE:
            found = f"{stop.side}: the mount {length_text(off, units)} away from the arm's middle line"
            yield Doubt(("stop.mount",), found, f"no more than {length_text(MOUNT_DISTANCE, units)}")
        reach = float(np.linalg.norm(np.array(stop.contact) - ball))
        if reach > CONTACT_DISTANCE:
            found = f"{stop.side}: the contact {length_text(reach, units)} away from the ball joint"
            yield Doubt(("stop.contact",), found, f"no more than {length_text(CONTACT_DISTANCE, units)}")
