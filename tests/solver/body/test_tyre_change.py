"""A body before and after a tyre change: places, cut lines, and faces against the sweep."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from solver.body.answer import Answer, Body, answer
from solver.body.clearance_map import SIDES
from solver.body.compare import compare_places
from solver.body.cut_change import compare_cuts
from solver.body.cut_line import CutLine
from solver.body.nearest import nearest
from solver.body.solid_gap import FINEST, least_gap
from solver.body.surface import NO_TRIANGLES, Surface
from solver.car import Changes, Wheel
from solver.front_end import assemble
from tests.solver.body.scenes import QUICK, sheet, wheel_well
from tests.solver.cars import REAR

GAP = 8.0
SMALL, LARGE = "185/50R16", "205/55R16"
ARM = np.array([[40.0, 560.0, 230.0], [-30.0, 575.0, 235.0], [20.0, 590.0, 225.0]])


@cache
def swept(tyre: str, extension: float = 0.0) -> Answer:
    """The rear-rack car on a tyre, past an arch on its left, a cloud on its arm, and what no tyre reaches."""
    wheel = Wheel(tyre, 7.0 * 25.4, REAR.wheel.offset)
    front_end = assemble(REAR, Changes(wheel=wheel, arm_extension=extension))
    bodies = [
        Body(sheet(wheel_well, 60, 20, "arch", "left")),
        Body(Surface("hose", ARM, NO_TRIANGLES, "arm", "left")),
        Body(Surface("roof", np.array([[0.0, 600.0, 1100.0], [50.0, 600.0, 1100.0]]), NO_TRIANGLES)),
    ]
    return answer(front_end, bodies, GAP, grid=QUICK)


def test_the_same_tyre_changes_nothing() -> None:
    """Against itself each place is the same then and now, none is new, and the line runs nowhere beyond itself."""
    one = swept(LARGE)
    for body in one.bodies:
        for place in compare_places(body, body, GAP):
            assert place.before.clearance == place.after.clearance
            assert not place.newly(GAP)
            assert not place.no_longer(GAP)
            assert place.spread is None
        for cut in compare_cuts(body, body):
            assert cut.areas[0] == cut.areas[1] > 0
            assert cut.beyond is not None
            # Points of the line are good to 0.01 mm of clearance, far under the tenth that counts as outside.
            assert 0.0 == cut.beyond[0]


def test_worst_of_each_body_is_that_of_its_own_map() -> None:
    """Of all places of a body the least clearance, then and now, is that which each answer found by itself."""
    old, new = swept(SMALL), swept(LARGE)
    for before, after in zip(old.bodies, new.bodies, strict=True):
        places = compare_places(before, after, GAP)
        for body, key in ((before, "before"), (after, "after")):
            least = min(getattr(place, key).clearance for place in places)
            assert least == pytest.approx(min(region.clearance for region in body.regions), abs=1e-9)


def test_a_place_newly_too_near_is_told_by_what_it_was() -> None:
    """A hose that only the larger tyre comes near is new; its old clearance is that of its points in the old sweep."""
    hose = [
        compare_places(a, b, 80.0) for a, b in zip(swept(SMALL).bodies, swept(LARGE).bodies, strict=True)
    ][1]
    assert hose
    tyre = swept(SMALL).sweeps["left"].tyre("arm")
    for place in hose:
        own = nearest(place.before.point[None], tyre).distance[0]
        # Between the poses of the grid it may be less, never more.
        assert own - 3.0 < place.before.clearance <= own + 1e-9
    gap = (hose[0].before.clearance + hose[0].after.clearance) / 2
    again = compare_places(swept(SMALL).bodies[1], swept(LARGE).bodies[1], gap)
    backwards = compare_places(swept(LARGE).bodies[1], swept(SMALL).bodies[1], gap)
    newly = [place for place in again if place.newly(gap)]
    assert 1 <= len(newly) == sum(place.no_longer(gap) for place in backwards)
    assert all(place.after.clearance < gap <= place.before.clearance for place in newly)


def test_where_a_place_reaches_farther() -> None:
    """Of a place that was too near already, that part is new whose points kept the gap on the old tyre, one by one."""
    before, after = swept(SMALL).bodies[0], swept(LARGE).bodies[0]
    near = after.map.surface.points[after.map.clearance < GAP]
    sweep = swept(SMALL).sweeps["left"]
    tyre = sweep.front_end.tyre.grown()
    # The other formula for the same solid, over all poses.
    old = np.concatenate(
        [
            tyre.distance(some[:, None], sweep.centres, sweep.axes).min(axis=1)
            for some in np.array_split(near, 40)
        ]
    )
    new = near[old >= GAP]
    spreads = [place.spread for place in compare_places(before, after, GAP) if place.spread is not None]
    assert spreads
    assert np.min([spread.low for spread in spreads], axis=0) == pytest.approx(new.min(axis=0))
    assert np.max([spread.high for spread in spreads], axis=0) == pytest.approx(new.max(axis=0))
    assert all(0 < spread.share <= 1 for spread in spreads)


def test_what_is_out_of_reach_has_one_place() -> None:
    """A body that no tyre comes near is told by its nearest point, then and now."""
    roof = [compare_places(a, b, GAP) for a, b in zip(swept(SMALL).bodies, swept(LARGE).bodies, strict=True)][
        2
    ]
    assert 1 == len(roof)
    assert roof[0].before.clearance > roof[0].after.clearance > 300.0


def test_points_on_a_longer_arm_are_found_where_they_are() -> None:
    """Where the arm grows between the two, its outer half's points are compared at their own place in each."""
    before, after = swept(LARGE).bodies[1], swept(LARGE, 20.0).bodies[1]
    moved = after.map.surface.points - before.map.surface.points
    assert np.linalg.norm(moved, axis=1) == pytest.approx(20.0)
    gap = float(before.map.clearance.min()) + 1.0
    place = compare_places(before, after, gap)[0]
    known = {tuple(np.round(point, 6)) for point in after.map.surface.points}
    assert tuple(np.round(place.after.point, 6)) in known


def test_metal_and_the_way_beyond() -> None:
    """More metal goes for the larger tyre; the new line's farthest point from the old one is that of a brute search."""
    before, after = swept(SMALL).bodies[0], swept(LARGE).bodies[0]
    (cut,) = compare_cuts(before, after)
    areas = [sum(line.area for line in body.lines if isinstance(line, CutLine)) for body in (before, after)]
    assert list(cut.areas) == areas
    assert areas[0] < areas[1]
    assert cut.beyond is not None
    lines = [
        np.concatenate(
            [loop.points for line in body.lines if isinstance(line, CutLine) for loop in line.loops]
        )
        for body in (before, after)
    ]
    apart = np.linalg.norm(lines[1][:, None] - lines[0], axis=2).min(axis=1)
    outside = before.map.field.clearance(lines[1]) > GAP + 0.1
    # Points of a line lie up to 4 mm apart, so between them the old line is nearer by up to half of that.
    assert apart[outside].max() - 2.0 <= cut.beyond[0] <= apart[outside].max()
    assert np.abs(lines[1] - cut.beyond[1]).sum(axis=1).min() == 0.0


def test_faces_against_every_pose() -> None:
    """The least distance of random triangles is never over the least of many of their points in all poses, nor under it
    by more than the bound."""
    rng = np.random.default_rng(3)
    sweep = swept(LARGE).sweeps["left"]
    shares = np.array([(i, j, 24 - i - j) for i in range(25) for j in range(25 - i)]) / 24
    for _ in range(6):
        corner = np.array([-250.0, 480.0, 200.0]) + rng.uniform(-60, 60, 3)
        triangles = (corner + rng.uniform(-60, 60, (4, 3, 3))).round(3)
        found = least_gap(triangles, sweep)
        points = np.einsum("sk,mkx->msx", shares, triangles)
        tyre = sweep.front_end.tyre.grown()
        by_face = np.array([tyre.distance(some[:, None], sweep.centres, sweep.axes).min() for some in points])
        assert found.distance <= by_face.min() + FINEST
        # The points are up to 3 mm from any place; between poses of this coarse grid up to 3 mm may hide.
        assert found.distance >= by_face.min() - 6.0
        corners = triangles[found.face]
        normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
        assert abs((found.point - corners[0]) @ normal) / np.linalg.norm(normal) < 1e-6


def test_a_corner_in_the_tread_is_found() -> None:
    """A large triangle of which one corner alone reaches into the tyre is told by that corner."""
    sweep = swept(LARGE).sweeps["left"]
    inside = sweep.centres[0] + np.array([sweep.front_end.tyre.outside_diameter / 2 - 5.0, 0.0, 0.0])
    far = inside + np.array([[0.0, 0.0, 0.0], [800.0, 300.0, 0.0], [800.0, -300.0, 50.0]])
    found = least_gap(far[None], sweep)
    assert found.distance < 0
    assert np.linalg.norm(found.point - inside) < 200.0


def test_wheels_are_told_apart() -> None:
    """A body of the left side has places of the left wheel alone."""
    old, new = swept(SMALL), swept(LARGE)
    places = compare_places(old.bodies[0], new.bodies[0], GAP)
    assert {"left"} == {place.side for place in places} <= set(SIDES)
    assert all("left wheel" in place.name for place in places)
