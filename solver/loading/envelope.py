"""The worst case and pose of each member, over all cases and the whole sweep."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from solver.loading.inputs import LoadCase
from solver.loading.sweep import MemberLoads
from solver.part import Where
from solver.sweep import TURNS
from solver.vectors import Array


def where(cases: tuple[LoadCase, ...], loads: MemberLoads, row: int) -> Where:
    """The case, wheel and pose of a row."""
    return Where(
        case=cases[int(loads.case[row])].name,
        side=TURNS[int(loads.side[row])],
        steer=float(loads.steer[row]),
        travel=float(loads.travel[row]),
        hit=bool(loads.pad[row] > 0),
    )


def worst(cases: tuple[LoadCase, ...], loads: MemberLoads, values: Array) -> tuple[float, Where]:
    """The largest of as many values as there are rows, and where it is; there must be a row."""
    row = int(np.argmax(values))
    return float(values[row]), where(cases, loads, row)


class LoadOf(NamedTuple):
    """A load of a member of the front end.

    key: for programs; label: for people; unit: "N" or "N m", ``scale`` of it in N and N mm
    measure: the value of each row, in N or N mm
    """

    key: str
    label: str
    measure: Callable[[MemberLoads], Array]
    unit: str = "N"
    scale: float = 1.0


def _bending(loads: MemberLoads) -> Array:
    link = loads.link
    # A moment along a straight link is greatest at an end, where the leg joins or where a stop bracket stands.
    places = [np.where(np.isfinite(place), place, 0.0) for place in (link.whole, link.leg, link.pad_at)]
    return np.asarray(np.max([link.moment(np.minimum(place, link.whole)) for place in places], axis=0))


def _inner_end(loads: MemberLoads) -> Array:
    return loads.link.axial(loads.link.whole)


MOMENT = ("N m", 1000.0)
MEMBERS = (
    LoadOf("vertical", "ground on the tyre, upwards", lambda t: t.vertical),
    LoadOf("rearward", "ground on the tyre, rearwards", lambda t: t.rearward),
    LoadOf("inward", "ground on the tyre, sideways", lambda t: np.abs(t.inward)),
    LoadOf("tie_rod_pull", "tie rod, pull", lambda t: np.maximum(t.tie_rod, 0.0)),
    LoadOf("tie_rod_push", "tie rod, push", lambda t: np.maximum(-t.tie_rod, 0.0)),
    LoadOf("rack", "rack, from one tie rod", lambda t: np.abs(t.rack)),
    LoadOf("ball_joint", "ball joint", lambda t: t.ball_joint),
    LoadOf("link_pull", "arm's link at its inner end, pull", lambda t: np.maximum(_inner_end(t), 0.0)),
    LoadOf("link_push", "arm's link at its inner end, push", lambda t: np.maximum(-_inner_end(t), 0.0)),
    LoadOf("link_bending", "arm's link, bending", _bending, *MOMENT),
    LoadOf("leg_pull", "arm's other leg, pull", lambda t: np.maximum(t.link.leg_force, 0.0)),
    LoadOf("leg_push", "arm's other leg, push", lambda t: np.maximum(-t.link.leg_force, 0.0)),
    LoadOf("front_pivot", "arm's front pivot, radial", lambda t: t.front_pivot),
    LoadOf("rear_pivot", "arm's rear pivot, radial", lambda t: t.rear_pivot),
    LoadOf("thrust", "arm's pivots, along their axis", lambda t: t.thrust),
    LoadOf("strut", "strut, along the damper", lambda t: t.strut),
    LoadOf("strut_side", "strut top, square to the damper", lambda t: t.strut_side),
    LoadOf("rod_moment", "strut rod, bending where it leaves the tube", lambda t: t.rod_moment, *MOMENT),
    LoadOf("strut_top", "top mount", lambda t: t.strut_top),
    LoadOf("pad", "stop bracket's pad, hit at lock", lambda t: t.pad),
)
"""Loads of members in the order of the load path, from the ground up."""


def largest_by_case(count: int, loads: MemberLoads, values: Array) -> Array:
    """Largest value of each of ``count`` cases; −inf where no pose of a case can be reached."""
    found = np.full(count, -np.inf)
    np.maximum.at(found, loads.case, values)
    return found
