"""One corner cut free: what pictures draw is in balance, and is what the table of loads says."""

from __future__ import annotations

import numpy as np
import pytest

from locksweep.demo_jobs import demo_names, demo_path
from locksweep.job.load import load_job
from solver.loading.envelope import where
from solver.loading.free_body import FreeBody, free_body, row_of
from solver.part import Where
from solver.sizing.context import SizingContext
from solver.solution import solve
from solver.vectors import Array, cross, dot, length


@pytest.fixture(scope="module", params=demo_names())
def context(request: pytest.FixtureRequest) -> SizingContext:
    """A demo job's loads."""
    return SizingContext(solve(load_job(demo_path(request.param))))


def body(context: SizingContext, row: int) -> FreeBody:
    """A row of all loads, hits at lock included, as forces."""
    side = ("left", "right")[int(context.loads.side[row])]
    pad = None
    for mount in context.solution.job.car.stop_mounts:
        contact = context.contacts[mount.side]
        if mount.side == side and not isinstance(contact, str):
            pad = (np.array(mount.contact), contact.direction)
    front_end = context.solution.as_modified.front_end
    return free_body(front_end, context.locks, context.sweep.cases, context.vehicle, context.loads, row, pad)


def acting(found: FreeBody) -> list[tuple[Array, Array]]:
    """Forces on knuckle, wheel and strut with their places."""
    shape = found.shape
    forces = [
        (shape.contact, found.at_contact),
        (shape.wheel_centre, found.at_hub),
        (shape.ball_joint, -found.on_arm),
        (shape.strut_top, -found.on_body),
        (shape.pickup, found.rod),
    ]
    if found.pad is not None and found.pad_at is not None:
        forces.append((found.pad_at, found.pad))
    return forces


def some_rows(context: SizingContext) -> list[int]:
    """Rows from all over the table, and all of those with a stop hit."""
    hits = np.flatnonzero(context.loads.pad > 0)
    return [*range(0, context.sweep.loads.rows, 61), *map(int, hits)]


def test_balance(context: SizingContext) -> None:
    """Forces and moments about any point vanish; a hit leaves the inertia of what swings, about its axis alone.

    To a millionth of the load: poses are found again from steer angle and travel, which loses nothing.
    """
    about = np.array([100.0, -200.0, 300.0])
    for row in some_rows(context):
        found = body(context, row)
        forces = acting(found)
        size = max(float(length(force)) for _, force in forces) + 1.0
        left = np.sum([force for _, force in forces], axis=0)
        assert 0.0 == pytest.approx(float(length(left)), abs=1e-6 * size)
        turning = np.sum([cross(at - about, force) for at, force in forces], axis=0) + found.couple
        if found.pad is not None:
            axis = found.shape.pose.steering_axis
            turning = turning - axis * dot(axis, turning - cross(found.shape.ball_joint - about, left))
        assert 0.0 == pytest.approx(float(length(turning)), abs=1e-3 * size)


def test_same_as_the_table(context: SizingContext) -> None:
    """Sizes of the forces are those of the row: ball joint, top mount, tie rod, pad, ground."""
    loads = context.loads
    for row in some_rows(context):
        found = body(context, row)
        pairs = (
            (loads.ball_joint, found.on_arm),
            (loads.strut_top, found.on_body),
            (np.abs(loads.tie_rod), found.rod),
            (loads.pad, np.zeros(3) if found.pad is None else found.pad),
        )
        for column, force in pairs:
            assert float(column[row]) == pytest.approx(float(length(force)), rel=1e-6, abs=1e-3)
        up = found.at_contact[2] + found.at_hub[2]
        assert float(loads.vertical[row]) == pytest.approx(float(up), rel=1e-9, abs=1e-6)


def test_row_found_again(context: SizingContext) -> None:
    """A row's case, wheel and pose lead back to that row, or to one of the same numbers."""
    cases, loads = context.sweep.cases, context.loads
    for row in some_rows(context):
        back = row_of(cases, loads, where(cases, loads, row))
        assert back is not None
        assert float(loads.ball_joint[row]) == pytest.approx(float(loads.ball_joint[back]), rel=1e-9)


def test_no_row() -> None:
    """What has no pose has no row."""
    context = SizingContext(solve(load_job(demo_path(demo_names()[0]))))
    cases, loads = context.sweep.cases, context.loads
    assert row_of(cases, loads, Where("any")) is None
    assert row_of(cases, loads, Where("no such case", "left", 0.0, 0.0)) is None


def test_members_meet(context: SizingContext) -> None:
    """The drawn points are joined as the car is: rod and damper have their lengths, the leg stands on the link."""
    front_end = context.solution.as_modified.front_end
    for row in some_rows(context)[::7]:
        shape = body(context, row).shape
        corner = shape.pose.corner
        assert float(corner.tie_rod) == pytest.approx(
            float(length(shape.pickup - shape.inner_joint)), abs=1e-6
        )
        assert front_end.car.strut.tube_length == pytest.approx(float(length(shape.tube[1] - shape.tube[0])))
        damper = shape.tube[1] - shape.tube[0]
        assert 0.0 == pytest.approx(float(length(cross(damper, shape.strut_top - shape.tube[0]))), abs=1e-3)
        assert shape.leg_joint is not None
        along = shape.ball_joint - shape.link_start
        assert 0.0 == pytest.approx(float(length(cross(along, shape.leg_joint - shape.link_start))), abs=1e-3)
