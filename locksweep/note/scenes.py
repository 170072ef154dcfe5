"""What each picture of the note shows: a corner at the pose that is worst for a part, and where the part sits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from locksweep.documents.numbers import length as rounded_length
from solver.car import Side
from solver.clearance import arm_angle_of
from solver.families.arm_sleeve import ArmSleeveDimensions
from solver.families.base import PartDimensions
from solver.families.bump_stop import BumpStopDimensions
from solver.families.closure_plate import ClosurePlateDimensions
from solver.families.rack_spacer import RackSpacerDimensions
from solver.front_end import link_of
from solver.loading.envelope import MEMBERS
from solver.loading.free_body import CornerShape, FreeBody, corner_shape, free_body, posed, row_of
from solver.part import Part, Where
from solver.sizing.context import SizingContext
from solver.sweep import TURNS
from solver.vectors import Array, cross, rotate

DRAWN: Mapping[str, tuple[str, ...]] = {
    "tie_rod_pull": ("tie rod",),
    "tie_rod_push": ("tie rod",),
    "rack": ("tie rod", "rack"),
    "ball_joint": ("ball joint",),
    "link_pull": ("link",),
    "link_push": ("link",),
    "link_bending": ("link",),
    "leg_pull": ("leg",),
    "leg_push": ("leg",),
    "front_pivot": ("pivots",),
    "rear_pivot": ("pivots",),
    "thrust": ("pivots",),
    "strut": ("strut",),
    "strut_side": ("strut",),
    "rod_moment": ("strut",),
    "strut_top": ("strut",),
    # The pad's push runs from the knuckle into the arm, and the rod presses the knuckle on it.
    "pad": ("pad", "ball joint", "link", "leg", "tie rod"),
}
"""Which members of a picture carry a load that runs through a part, by its key in `solver.loading.envelope`."""

ALL = frozenset(name for names in DRAWN.values() for name in names)


class Mark(NamedTuple):
    """Where a part sits: a point (1, 3), a line (2, 3) or an outline (k, 3), car axes, mm."""

    points: Array


class Scene(NamedTuple):
    """One picture of one corner.

    name: of the part, or of what is shown; body: the forces, None where no load runs through
    carrying: members that carry this part's load; marks: where the part sits
    rack_stop: force of a hit on the rack's own stop in N, 0 for none
    where: the case and pose in the record's words
    """

    name: str
    shape: CornerShape
    body: FreeBody | None
    carrying: frozenset[str]
    marks: tuple[Mark, ...]
    rack_stop: float = 0.0
    where: Mapping[str, Any] | None = None


class Overview(NamedTuple):
    """Both corners straight ahead at ride height, with the places of all parts by number from 1."""

    shapes: tuple[CornerShape, CornerShape]
    marks: tuple[tuple[int, Mark], ...]


def overview(context: SizingContext, parts: tuple[Part, ...]) -> Overview:
    """Where all parts sit."""
    front_end = context.solution.as_modified.front_end
    shapes = [
        corner_shape(front_end, a, posed(front_end, a, context.locks, Where("any"))) for a in front_end.sides
    ]
    marks = [
        (number, mark)
        for number, part in enumerate(parts, 1)
        for shape in shapes
        for mark in _marks(context, part, shape)
    ]
    return Overview((shapes[0], shapes[1]), tuple(marks))


def part_scene(context: SizingContext, part: Part) -> Scene:
    """The pose of the check that is nearest to its limit, of those that have a pose."""
    at = [check for check in part.checks if check.where.steer is not None]
    if not part.loads or not at:
        side = _side(part)
        front_end = context.solution.as_modified.front_end
        assembly = front_end.sides[TURNS.index(side)]
        lock = context.solution.as_modified.turn(side).lock
        sign = 1.0 if side == "left" else -1.0
        shape = corner_shape(
            front_end, assembly, posed(front_end, assembly, context.locks, Where("", side, sign * lock, 0.0))
        )
        return Scene(part.name, shape, None, frozenset(), _marks(context, part, shape))
    least = min(at, key=lambda check: check.reserve)
    keys = {member.key for load in part.loads for member in MEMBERS if member.label == load.label}
    carrying = frozenset(name for key in keys for name in DRAWN[key])
    hit, where = context.rack_stop
    stopped = least.where == where
    found = _body(context, where._replace(hit=False) if stopped else least.where)
    return Scene(
        part.name,
        found.shape,
        found,
        carrying,
        _marks(context, part, found.shape),
        hit if stopped else 0.0,
        _said(least.where),
    )


def worst_scene(context: SizingContext) -> Scene:
    """All members, in the case and pose that is worst for the ball joint."""
    _, where = context.worst(lambda table: table.ball_joint)
    found = _body(context, where)
    return Scene("all members", found.shape, found, ALL, (), where=_said(where))


def _body(context: SizingContext, where: Where) -> FreeBody:
    cases, loads = context.sweep.cases, context.loads
    row = row_of(cases, loads, where)
    assert row is not None, where
    pad = None
    for mount in context.solution.job.car.stop_mounts:
        contact = context.contacts[mount.side]
        if mount.side == where.side and not isinstance(contact, str):
            pad = (np.array(mount.contact), contact.direction)
    front_end = context.solution.as_modified.front_end
    return free_body(front_end, context.locks, cases, context.vehicle, loads, row, pad)


def _said(where: Where) -> dict[str, Any]:
    return {
        "case": where.case,
        "side": where.side,
        "steer_deg": None if where.steer is None else math.degrees(where.steer),
        "travel_mm": None if where.travel is None else rounded_length(where.travel),
        "hit": where.hit,
    }


def _side(part: Part) -> Side:
    return "right" if part.placement is not None and part.placement.origin[1] < 0 else "left"


def _marks(context: SizingContext, part: Part, shape: CornerShape) -> tuple[Mark, ...]:
    """Where a part sits on one posed corner; nothing where it sits on the other one."""
    dimensions = part.dimensions
    if isinstance(dimensions, RackSpacerDimensions):
        return (Mark(shape.inner_joint[None]),)
    if isinstance(dimensions, ArmSleeveDimensions):
        return (_on_link(context, dimensions, shape),)
    if part.placement is None or _side(part) != shape.side:
        return ()
    origin = np.array(part.placement.origin)
    if isinstance(dimensions, BumpStopDimensions):
        corner = shape.pose.corner
        turned = rotate(origin - corner.pivot, corner.pivot_axis, arm_angle_of(shape.pose))
        return (Mark((corner.pivot + turned)[None]),)
    return (_outline(dimensions, origin, np.array(part.placement.x_axis), np.array(part.placement.z_axis)),)


def _on_link(context: SizingContext, sleeve: ArmSleeveDimensions, shape: CornerShape) -> Mark:
    link = link_of(context.solution.job.car, shape.side)
    way = (shape.link_start - shape.ball_joint) / (link.length + sleeve.extension)
    ends = sleeve.overlap + sleeve.tongue
    near, far = link.cut - ends, link.cut + sleeve.extension + ends
    return Mark(np.stack([shape.ball_joint + near * way, shape.ball_joint + far * way]))


def _outline(dimensions: PartDimensions, origin: Array, x_axis: Array, z_axis: Array) -> Mark:
    if not isinstance(dimensions, ClosurePlateDimensions):
        return Mark(origin[None])
    y_axis = cross(z_axis, x_axis)
    return Mark(np.stack([origin + x * x_axis + y * y_axis for x, y in dimensions.outline]))
