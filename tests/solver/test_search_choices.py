"""What a search chooses from: where a pickup may be drilled or welded on, places of the strut top, tie rods to buy."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from solver.car import Job, Move, PickupWork, TieRod
from solver.errors import GeometryError
from solver.front_end import assemble
from solver.search.design import space_of
from solver.search.pickup import pickup_freedoms
from solver.search.size import sizings
from solver.search.tie_rods import choose, usable
from solver.solution import solve
from solver.stock import step
from solver.sweep_summary import wheel_summary
from tests.solver.cars import CARS, REAR
from tests.solver.searching import search_job

EDGE = 1.2
"""Diameters from a hole's centre to an edge, EN 1993-1-8 table 3.3 (from memory)."""


@settings(max_examples=50)
@given(
    metal=st.tuples(*[st.floats(0.0, 60.0)] * 4),
    hole=st.floats(8.0, 25.0),
)
def test_a_drilled_pickup_keeps_its_edges(metal: tuple[float, ...], hole: float) -> None:
    """The hole's centre may go as far as leaves 1.2 diameters of metal on every side; where the metal is too narrow
    for that, the key and both widths are named."""
    behind, ahead, inside, outside = metal
    work = PickupWork("drill", (-behind, ahead), (-inside, outside), hole=hole)
    narrow = {"forward": behind + ahead, "outward": inside + outside}
    narrow = {key: width for key, width in narrow.items() if width < 2 * EDGE * hole}
    assume(all(abs(width - 2 * EDGE * hole) > 1e-6 for width in narrow.values()))
    if narrow:
        key, width = next(iter(narrow.items()))
        with pytest.raises(GeometryError) as caught:
            pickup_freedoms(work)
        told = str(caught.value)
        assert f"metal_{key} is {width:.1f} mm" in told
        assert f"{2 * EDGE * hole:.1f} mm are needed" in told
        assert "[may_change] pickup: a " in told
        return
    bounds = {free.variable: (free.low, free.high) for free in pickup_freedoms(work)}
    assert {"pickup_forward", "pickup_outward"} == set(bounds)
    assert (-behind + EDGE * hole, ahead - EDGE * hole) == pytest.approx(bounds["pickup_forward"])
    assert (-inside + EDGE * hole, outside - EDGE * hole) == pytest.approx(bounds["pickup_outward"])


def test_a_welded_pickup_goes_where_the_region_lets_it() -> None:
    """Welded on, a pickup goes anywhere in its region, up and down too; a way without width is not open."""
    work = PickupWork("weld", (-20.0, 5.0), (0.0, 0.0), (-8.0, 8.0))
    bounds = {free.variable: (free.low, free.high) for free in pickup_freedoms(work)}
    assert {"pickup_forward": (-20.0, 5.0), "pickup_up": (-8.0, 8.0)} == bounds
    space = space_of(replace(search_job("rear rack", 48.0), pickup=work))
    assert {"pickups cut off and welded on"} == {v.title for v in space.variables if v.name in bounds}


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize(
    "work",
    [
        PickupWork("drill", (-30.0, 30.0), (-20.0, 20.0), hole=12.0),
        PickupWork("weld", (-14.2, 14.2), (-6.0, 6.0), (-5.0, 5.0)),
    ],
)
def test_a_moved_pickup_is_a_change_in_sizes_to_be_had(work: PickupWork, units: Any) -> None:
    """A goal that takes a moved pickup has it among its changes, inside its bounds and in whole steps; the front end
    has it there."""
    base = replace(search_job("rear rack", 52.0), pickup=work, stock_units=units)
    solution = solve(base)
    assert solution.goal_met, solution.answer
    move = solution.changes.pickup_move
    bounds = {free.variable: (free.low, free.high) for free in pickup_freedoms(work)}
    assert move.forward > 3.0
    for way in ("forward", "outward", "up"):
        size = getattr(move, way)
        low, high = bounds.get(f"pickup_{way}", (0.0, 0.0))  # type: ignore[arg-type]
        assert low - 1e-9 <= size <= high + 1e-9
        if size not in (low, high):
            assert round(size / step(units)) == pytest.approx(size / step(units), abs=1e-9)
    at = (
        assemble(base.car, solution.changes).left.corner.pickup
        - assemble(base.car, base.fixed).left.corner.pickup
    )
    assert move.on("left") == pytest.approx(tuple(at))
    assert "pickup_forward" in solution.sized.reasons


PLACES = ((-9.0, -6.0), (9.0, 6.0), (12.0, -3.0))


@pytest.mark.parametrize(
    ("caster", "place"),
    [(0.0, (0.0, 0.0)), (5.5, (-9.0, -6.0))],
)
def test_the_strut_top_takes_one_place_or_none(caster: float, place: tuple[float, float]) -> None:
    """A strut top that a plate moves stays where it is unless that misses something, else it goes to exactly one of its
    places: the one that serves."""
    base = replace(search_job("rear rack", 38.0), top_places=PLACES)
    if caster:
        base = replace(base, goal=replace(base.goal, least_caster=math.radians(caster)))
    solution = solve(base)
    assert solution.goal_met, solution.answer
    assert Move(*place) == solution.changes.strut_top_shift
    if caster:
        assert "places" in solution.sized.reasons["strut_top_forward"]


def test_places_of_a_job_with_nothing_else_open() -> None:
    """Where spacer and extension are given, the place alone is chosen."""
    base = replace(
        search_job("rear rack", 35.0, least_caster=math.radians(5.5)),
        top_places=PLACES,
        spacer_given=True,
        extension_given=True,
    )
    solution = solve(base)
    assert solution.goal_met, solution.answer
    assert Move(-9.0, -6.0) == solution.changes.strut_top_shift


def rods_of(length: float, *spans: tuple[str, float, float], **more: Any) -> tuple[TieRod, ...]:
    """Tie rods that adjust to lengths about one."""
    return tuple(TieRod(name, length + low, length + high, **more) for name, low, high in spans)


NEEDED = float(solve(search_job("rear rack", 41.0)).as_modified.left.tie_rod)


def listing(*rods: TieRod, **more: Any) -> Job:
    """A job that lists tie rods."""
    return replace(search_job("rear rack", 41.0), tie_rods=rods, **more)


def test_the_rod_that_suits_is_taken() -> None:
    """Of several rods that would do, the one with the needed length nearest to its middle is taken, with what it has to
    spare."""
    rods = rods_of(NEEDED, ("edge", -2, 40), ("middle", -15, 20), ("short", -80, -30), ("long", 30, 80))
    chosen = solve(listing(*rods)).sized.tie_rod
    assert chosen is not None
    assert chosen.rod is not None
    assert "middle" == chosen.rod.name
    assert "15.0 mm to spare" in chosen.reason
    assert (NEEDED, NEEDED) == pytest.approx(chosen.needed, abs=1e-6)


def test_a_taper_that_does_not_fit_is_passed_over() -> None:
    """A rod whose stud has another taper than the hole is passed over, unless the pickup is drilled anew."""
    rods = (
        *rods_of(NEEDED, ("steep", -15, 20), taper="1:8"),
        *rods_of(NEEDED, ("edge", -2, 40), taper="1:10"),
    )
    job = listing(*rods, pickup_taper="1:10")
    chosen = solve(job).sized.tie_rod
    assert chosen is not None
    assert chosen.rod is not None
    assert "edge" == chosen.rod.name
    new_hole = choose(job, (NEEDED, NEEDED), new_hole=True)
    assert new_hole.rod is not None
    assert "steep" == new_hole.rod.name
    assert ["edge"] == [rod.name for rod in usable(job)]
    # A pickup that may be moved, but is not, keeps its hole.
    may = replace(job, pickup=PickupWork("weld", (-5.0, 5.0), (-5.0, 5.0)))
    kept = solve(may)
    assert Move() == kept.changes.pickup_move
    assert kept.sized.tie_rod is not None
    assert kept.sized.tie_rod.rod is not None
    assert "edge" == kept.sized.tie_rod.rod.name


def test_no_rod_suits() -> None:
    """Where none of the rods listed suits, each is told with its fault and the length to look for is named, as a
    remark: the goal is met all the same."""
    rods = rods_of(NEEDED, ("too short", -90, -70), ("too long", 90, 120))
    job = listing(*rods, TieRod("wrong stud", NEEDED - 20, NEEDED + 20, taper="1:8"), pickup_taper="1:10")
    solution = solve(job)
    assert solution.goal_met
    assert solution.failure is None
    told = solution.answer or ""
    needed = solution.as_modified.left.tie_rod
    assert f"too short is {needed - (NEEDED - 70):.1f} mm too short" in told
    assert f"too long is {NEEDED + 90 - needed:.1f} mm too long" in told
    assert "wrong stud has a 1:8 taper" in told
    assert f"look for one that adjusts to {needed:.0f} mm with a 1:10 taper" in told


def test_sides_that_need_different_lengths() -> None:
    """Where the sides need different lengths a rod must adjust to both, and both are told."""
    x, y, z = REAR.right.pickup
    uneven = replace(REAR, right=replace(REAR.right, pickup=(x, y - 6.0, z)))
    base = replace(search_job("rear rack", 40.0), car=uneven, tie_rods=(TieRod("fixed", 345.0, 345.1),))
    chosen = next(sizings(base)).tie_rod
    assert chosen is not None
    low, high = sorted(chosen.needed)
    assert high - low > 1.0
    assert f"adjusts to {low:.0f} mm and {high:.0f} mm" in chosen.reason


def test_a_rod_that_bends_too_little() -> None:
    """A rod whose outer joint bends less than the sweep from stop to stop needs is told so, and one that bends enough
    is taken."""
    stiff = rods_of(NEEDED, ("stiff", -15, 20), articulation=math.radians(3))
    free = rods_of(NEEDED, ("free", -2, 40), articulation=math.radians(40))
    chosen = solve(listing(*stiff, *free)).sized.tie_rod
    assert chosen is not None
    assert chosen.rod is not None
    assert "free" == chosen.rod.name
    alone = solve(listing(*stiff)).sized.tie_rod
    assert alone is not None
    said = re.search(r"an outer joint that bends 3° where (\d+)° are needed", alone.reason)
    assert said
    state = solve(listing(*stiff)).as_modified
    # Here the rack's stops are where the sweep of all measures ends.
    most = max(wheel_summary(state.sweep, side).rod_outer for side in ("left", "right"))  # type: ignore[arg-type]
    assert math.degrees(most) == pytest.approx(float(said[1]), abs=0.6)


@pytest.mark.parametrize("name", CARS)
def test_a_listed_rod_steers_the_design(name: str) -> None:
    """Where none of the rods suits the least change, but one suits another that costs no lock, that one is made."""
    plain = solve(search_job(name, 41.0))
    longest = max(plain.as_modified.left.tie_rod, plain.as_modified.right.tie_rod)
    rod = TieRod("longer", longest + 6.0, longest + 40.0)
    steered = solve(replace(search_job(name, 41.0), tie_rods=(rod,)))
    assert steered.goal_met, steered.answer
    assert steered.sized.tie_rod is not None
    assert rod == steered.sized.tie_rod.rod
    assert steered.changes.arm_extension > plain.changes.arm_extension
    for side in (steered.as_modified.left, steered.as_modified.right):
        assert rod.shortest <= side.tie_rod <= rod.longest


def test_a_listed_rod_takes_no_lock() -> None:
    """A rod that would suit only with less lock is left on the shelf."""
    plain = solve(search_job("rear rack", 46.0))
    assert plain.goal_met
    rod = TieRod("short", 200.0, plain.as_modified.left.tie_rod - 25.0)
    solution = solve(replace(search_job("rear rack", 46.0), tie_rods=(rod,)))
    assert solution.goal_met, solution.answer
    assert solution.changes == plain.changes
    assert solution.sized.tie_rod is not None
    assert solution.sized.tie_rod.rod is None


def test_rounding_keeps_the_rod() -> None:
    """A rod that just suits before rounding suits after it, where any neighbouring sizes do."""
    space_rod = NEEDED + 0.2
    for low in (0.0, 0.4, 0.8):
        rod = TieRod("just", space_rod + low, space_rod + low + 30.0)
        chosen = solve(listing(rod)).sized.tie_rod
        assert chosen is not None
        assert rod == chosen.rod, chosen.reason
