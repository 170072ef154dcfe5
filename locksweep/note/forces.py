"""Forces as arrows, what runs along a member as heads on it, and the words for both."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from locksweep.note.labels import Label
from locksweep.note.scenes import Scene
from locksweep.note.shapes import Shape, arrow
from locksweep.note.views import AXES, View
from solver.loading.free_body import FreeBody
from solver.vectors import Array

SHORTEST = 5.0
"""Arrow on paper, mm."""
LEAST_SEEN = 0.3
"""Share of a force that must lie in a view for it to be drawn there."""
LEAST_FORCE = 50.0
"""N; less is not drawn."""
SAME = 1e-6
"""N; a force that is seen as well from behind as from above is named in the view from above."""
FRAME = 1.5
"""Arrows keep off the frame by as much, mm."""


class Force(NamedTuple):
    """An arrow: force in N, (3,), where it acts, its words; ``inward``: its head is where it acts."""

    force: Array
    at: Array
    text: str
    inward: bool = False


class Bar(NamedTuple):
    """A member between two points: its name in the scene, axial force in N, positive when pulled, its words."""

    name: str
    start: Array
    end: Array
    force: float
    text: str


def bars_of(scene: Scene) -> list[Bar]:
    """Members of the load path that are pulled or pushed along themselves."""
    body, shape, carrying = scene.body, scene.shape, scene.carrying
    if body is None:
        return []
    value = body.values
    rod = value["tie_rod_pull"] - value["tie_rod_push"]
    link = value["link_pull"] - value["link_push"]
    leg = value["leg_pull"] - value["leg_push"]
    bars = [
        Bar("tie rod", shape.pickup, shape.inner_joint, rod, f"tie rod {_axial(rod)}"),
        Bar(
            "link",
            shape.ball_joint,
            shape.link_start,
            link,
            f"link {_axial(link)}, bent {value['link_bending']:.0f} N m",
        ),
        Bar("strut", shape.tube[0], shape.strut_top, -value["strut"], f"strut {_axial(-value['strut'])}"),
    ]
    if shape.leg_joint is not None and shape.leg_pivot is not None:
        bars.append(Bar("leg", shape.leg_joint, shape.leg_pivot, leg, f"other leg {_axial(leg)}"))
    return [bar for bar in bars if bar.name in carrying]


def _axial(force: float) -> str:
    if abs(force) < LEAST_FORCE:
        return "0 kN"
    return f"{'pulled' if force > 0 else 'pushed'} {_kilo(force)}"


def _kilo(force: float) -> str:
    return f"{abs(force) / 1000:.1f} kN"


def forces_of(scene: Scene, body: FreeBody) -> list[Force]:
    """Those on the wheel, and those that the members of the load path hand on."""
    shape, carrying, value = scene.shape, scene.carrying, body.values
    up = np.array([0.0, 0.0, 1.0])
    level = body.at_contact - body.at_contact[2] * up
    found = [
        Force(body.at_contact[2] * up, shape.contact, f"ground, up {_kilo(body.at_contact[2])}", inward=True),
        Force(level, shape.contact, f"ground, level {_size(level)}", inward=True),
        Force(body.at_hub, shape.wheel_centre, f"strike {_size(body.at_hub)}", inward=True),
    ]
    if "ball joint" in carrying:
        found.append(Force(body.on_arm, shape.ball_joint, f"ball joint on arm {_size(body.on_arm)}"))
    if "strut" in carrying:
        found.append(Force(body.on_body, shape.strut_top, f"top mount on body {_size(body.on_body)}"))
    if "rack" in carrying:
        along = shape.rack_direction
        on_rack = -(body.rod @ along) * along
        found.append(Force(on_rack, shape.inner_joint, f"tie rod on rack {_size(on_rack)}"))
        if scene.rack_stop:
            outward = along * np.sign(shape.inner_joint[1])
            hit = Force(
                scene.rack_stop * outward, shape.inner_joint, f"rack's stop, hit {_kilo(scene.rack_stop)}"
            )
            found.append(hit)
    if body.pad is not None and body.pad_at is not None and carrying & {"pad", "link"}:
        found.append(Force(body.pad, body.pad_at, f"pad on knuckle {_size(body.pad)}"))
    kept = [item for item in found if np.linalg.norm(item.force) >= LEAST_FORCE]
    couple = float(np.linalg.norm(body.couple)) / 1e6
    if couple >= 0.01:
        # A moment has no one line: the words alone.
        kept.append(Force(np.zeros(3), shape.contact, f"turned with {couple:.2f} kN m"))
    if "pivots" in carrying or "link" in carrying:
        for name, at in (("front_pivot", shape.front_pivot), ("rear_pivot", shape.rear_pivot)):
            if value[name] >= LEAST_FORCE:
                kept.append(Force(np.zeros(3), at, f"{name.replace('_', ' ')} {_kilo(value[name])}"))
    return kept


def _size(force: Array) -> str:
    return _kilo(float(np.linalg.norm(force)))


def force_shapes(
    item: Force, view: View, scale: float, room: tuple[float, float]
) -> tuple[list[Shape], list[Label]]:
    """An arrow and its words; only the words, from above, for what has no line."""
    at = view.at(item.at)
    whole = float(np.linalg.norm(item.force))
    from_above = view.from_above
    if not whole:
        return [], [Label(item.text, at)] if from_above else []
    flat = item.force @ view.axes.T
    seen = float(np.hypot(*flat))
    if seen < LEAST_SEEN * whole:
        return [], []
    along = flat / seen
    way = along * min(max(seen * scale, SHORTEST), _to_frame(at, -along if item.inward else along, room))
    start, end = (at - way, at) if item.inward else (at, at + way)
    # Words once: where the arrow is seen best.
    elsewhere = float(np.hypot(*(item.force @ AXES[0 if from_above else 1].T)))
    best = seen - elsewhere > (-SAME if from_above else SAME)
    middle = start if item.inward else end
    return arrow(start, end), [Label(item.text, middle)] if best else []


def _to_frame(at: Array, along: Array, room: tuple[float, float]) -> float:
    """How far it is from a point along a unit vector to the frame."""
    with np.errstate(divide="ignore"):
        far = np.where(along > 0, np.array(room) - FRAME - at, at - FRAME) / np.abs(along)
    return max(float(far.min()), 0.1)


def bar_shapes(bar: Bar, view: View) -> tuple[list[Shape], list[Label]]:
    """Heads on a member: out of its ends when it is pulled, into its middle when it is pushed."""
    start, end = view.at(bar.start), view.at(bar.end)
    size = float(np.hypot(*(end - start)))
    middle = (start + end) / 2
    # A strut stands upright, the others lie: each is named where it is seen at its length.
    labels = [Label(bar.text, middle)] if view.from_above != (bar.name == "strut") else []
    if size < 9.0 or abs(bar.force) < LEAST_FORCE:
        return [], labels
    along = (end - start) / size
    lines: list[Shape] = []
    for place, way in ((start + along * size * 0.3, -along), (end - along * size * 0.3, along)):
        out = way if bar.force > 0 else -way
        lines += arrow(place - 1.6 * out, place + 1.6 * out, head=3.2)
    return lines, labels
