"""What stands for the front end's members in a picture: round bars between two points, each fixed in a frame."""

from __future__ import annotations

from typing import Any

import numpy as np

from locksweep.report.numbers import plain
from solver.car import Side
from solver.front_end import Assembly, FrontEnd, link_of, moved_with_arm, points_of
from solver.tyre import Tyre
from solver.vectors import Array

ROD_RADIUS = 8.0
"""Of a tie rod, mm, drawn where its own is not known; of the damper's rod and the steering arm as well."""
LINK_SHARE = 0.5
"""Of the radius that contains the whole arm, which is its widest place, for the bar that stands for the arm."""
ROUNDING_STEPS = 6
RIM_SHARE = 0.94
"""Of the bead seat's diameter, for the barrel that a picture shows inside the tyre."""


def bars(front_end: FrontEnd) -> list[dict[str, Any]]:
    """Every member of both corners, and the objects to keep clear of."""
    found = [_rack(front_end)]
    for assembly in front_end.sides:
        found += _corner(front_end, assembly)
        found += _keep_clear(front_end, assembly.side)
    return found


def wheels(front_end: FrontEnd) -> dict[str, Any]:
    """The wheel as half sections to be turned about its axis, and where each sits in its knuckle.

    A half section is rows of radius and distance along the axis, outwards positive, mm: of the tyre's solid as new,
    and of a plain rim, which only fills the picture.
    """
    tyre = front_end.tyre
    return {
        "size": tyre.size,
        "tyre_section_mm": plain(tyre_section(tyre)),
        "rim_section_mm": plain(_rim_section(tyre)),
        "sides": {
            a.side: {
                "frame": f"{a.side} knuckle",
                "centre_mm": plain(a.corner.wheel_centre),
                "axis": plain(a.corner.spin_axis, 6),
            }
            for a in front_end.sides
        },
    }


def tyre_section(tyre: Tyre) -> Array:
    """Outline of the tyre's half section from one bead over the tread to the other, (k, 2), mm."""
    half, rounding = tyre.section_width / 2, tyre.shoulder_radius
    outer, inner = tyre.outside_diameter / 2, tyre.rim_diameter / 2
    turn = np.linspace(0.0, np.pi / 2, ROUNDING_STEPS + 1)
    corner = np.stack(
        [outer - rounding + rounding * np.sin(turn), -(half - rounding) - rounding * np.cos(turn)], axis=-1
    )
    mirrored = corner[::-1] * [1.0, -1.0]
    return np.concatenate([[[inner, -half]], corner, mirrored, [[inner, half]]])


def _rim_section(tyre: Tyre) -> Array:
    half, radius = tyre.section_width / 2, tyre.rim_diameter / 2
    barrel = RIM_SHARE * radius
    # A dished face with a hub, so that the eye sees which side is outside.
    return np.array(
        [
            [radius, -0.94 * half],
            [barrel, -0.8 * half],
            [barrel, 0.62 * half],
            [0.86 * barrel, 0.7 * half],
            [0.36 * barrel, 0.34 * half],
            [0.18 * barrel, 0.34 * half],
            [0.16 * barrel, 0.46 * half],
            [0.0, 0.46 * half],
        ]
    )


def _bar(
    name: str, kind: str, side: Side | None, radius: float, start: tuple[str, Array], end: tuple[str, Array]
) -> dict[str, Any]:
    return {
        "name": name,
        "kind": kind,
        "side": side,
        "radius_mm": round(float(radius), 2),
        "start": {"frame": start[0], "at_mm": plain(start[1])},
        "end": {"frame": end[0], "at_mm": plain(end[1])},
    }


def _rack(front_end: FrontEnd) -> dict[str, Any]:
    ends = [("rack", a.corner.inner_joint) for a in front_end.sides]
    return _bar("rack", "rack", None, front_end.car.rack.end_diameter / 2, ends[0], ends[1])


def _corner(front_end: FrontEnd, assembly: Assembly) -> list[dict[str, Any]]:
    car, side, corner = front_end.car, assembly.side, assembly.corner
    arm, knuckle = f"{side} arm", f"{side} knuckle"
    link, points = link_of(car, side), points_of(car, side)
    radius = max(car.arm.clear_radius * LINK_SHARE, ROD_RADIUS)
    ball = (arm, corner.arm_ball)
    found = [_bar("lower arm's link", "arm", side, radius, (arm, link.start), ball)]
    if link.leg is not None:
        joint = link.start + (link.length + front_end.changes.arm_extension - link.leg) * link.along
        found.append(
            _bar("lower arm's other leg", "arm", side, 0.7 * radius, (arm, link.leg_pivot), (arm, joint))
        )
    pivots = [("body", np.array(at)) for at in (points.arm_front_pivot, points.arm_rear_pivot)]
    found.append(_bar("lower arm's pivot axis", "axis", side, 3.0, *pivots))
    up = corner.damper_direction
    foot, top = corner.damper_point, corner.damper_point + car.strut.tube_length * up
    found += [
        _bar("strut tube", "strut", side, car.strut.tube_radius, (knuckle, foot), (knuckle, top)),
        _bar("strut rod", "strut", side, ROD_RADIUS, (knuckle, top), ("body", corner.strut_top)),
        _bar("knuckle", "knuckle", side, 14.0, (knuckle, corner.knuckle_ball), (knuckle, foot)),
        _bar("hub", "knuckle", side, 20.0, (knuckle, _nearest(corner)), (knuckle, corner.wheel_centre)),
        _bar("steering arm", "knuckle", side, 10.0, (knuckle, corner.knuckle_ball), (knuckle, corner.pickup)),
        _bar("tie rod", "tie rod", side, ROD_RADIUS, ("rack", corner.inner_joint), (knuckle, corner.pickup)),
        _bar("steering axis", "axis", side, 2.0, (knuckle, corner.knuckle_ball), ("body", corner.strut_top)),
    ]
    return found


def _nearest(corner: Any) -> Array:
    """Where the hub's line leaves the knuckle: the point between ball joint and strut foot nearest the wheel centre."""
    way = corner.damper_point - corner.knuckle_ball
    share = float(np.clip((corner.wheel_centre - corner.knuckle_ball) @ way / (way @ way), 0.0, 1.0))
    return np.asarray(corner.knuckle_ball + share * way)


def _keep_clear(front_end: FrontEnd, side: Side) -> list[dict[str, Any]]:
    car, found = front_end.car, []
    for item in car.keep_clear:
        if item.side != side:
            continue
        frame = "body" if item.fixed_to == "body" else f"{side} {item.fixed_to}"
        ends = [np.array(item.start), np.array(item.end)]
        if item.fixed_to == "arm":
            ends = [moved_with_arm(car, side, front_end.changes.arm_extension, end) for end in ends]
        radius = max(item.radius, 1.0)
        found.append(_bar(item.name, "keep clear", side, radius, (frame, ends[0]), (frame, ends[1])))
    return found
