"""The search's answer against a fine lattice, random starts, central differences and limits eased a little."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.car import Freedom, Job, Move, VariableName
from solver.search import optimise
from solver.search.design import Space, space_of
from solver.search.goals import reserves_of
from solver.search.optimise import KEPT, STEP, evaluated, least_effort
from solver.search.reasons import bindings
from solver.search.size import best_design, sizings
from solver.search.starts import begin, search
from solver.search.variables import MOVES, NUMBERS, VECTORS, fixed_size
from solver.stock import plate_thicknesses, step
from solver.vectors import Array
from tests.solver.cars import CARS, job
from tests.solver.searching import BOUNDS, rack_for_lock, search_job, worst_left

ENOUGH = 0.5
"""Effort that the search may leave: 0.1 for which no step is made, 0.3 mm of a change at which it ends, and 0.02 for
each millimetre of rack, which a lattice doesn't count."""


def lattice(space: Space, steps: int) -> Array:
    """All designs on a grid over the bounds."""
    return np.array(list(itertools.product(*(np.linspace(v.low, v.high, steps) for v in space.variables))))


@pytest.mark.parametrize(
    ("name", "lock", "names", "goal"),
    [
        ("rear rack", 44.0, (), {}),
        ("front rack", 47.0, (), {}),
        ("rear rack", 42.0, ("pickup_forward",), {"bump_steer": math.radians(4.6)}),
        ("front rack", 50.0, ("pickup_forward",), {}),
        ("rear rack", 41.0, ("strut_top_forward",), {"least_caster": math.radians(6.0)}),
        ("front rack", 43.0, ("strut_top_outward",), {"camber": (math.radians(-2.4), math.radians(-1.8))}),
        ("rear rack", 40.0, ("ball_joint_drop",), {"track": 1530.0}),
    ],
)
def test_no_lattice_point_takes_less(
    name: str, lock: float, names: tuple[VariableName, ...], goal: dict[str, Any]
) -> None:
    """Nothing on a fine grid over the same bounds keeps every limit with less effort than the design found."""
    space = space_of(search_job(name, lock, *names, **goal))
    found = search(space)
    assert 0.0 == found.given_up
    assert [] == found.broken
    table = lattice(space, 25 if len(space.variables) == 2 else 11)
    table = table[np.abs(table) @ space.efforts < found.effort - ENOUGH]
    left = worst_left(space, table, rack_for_lock(space, table, found.racks))
    # Two hundredths of a degree or millimetre are some tenths of effort.
    assert left.max(initial=-1.0) < 0.02, table[left.argmax()]


@pytest.mark.parametrize("name", CARS)
def test_no_lattice_point_goes_farther(name: str) -> None:
    """Where the goal is out of reach, nothing on a grid of designs and racks keeps every limit with more lock."""
    space = space_of(search_job(name, 65.0, "pickup_forward"))
    found = search(space)
    assert found.given_up > 1.0
    assert [] == found.broken
    table = lattice(space, 7)
    for rack in np.arange(56.0, 78.0, 2.0):
        asked = reserves_of(space, table, np.full((len(table), 2), rack))
        kept = np.stack([reserve.left for reserve in asked.others]).min(axis=0) >= -KEPT
        lock = np.stack([reserve.left for reserve in asked.lock]).min(axis=0)
        # The search ends where a further step brings less than its price, a few thousandths of a degree.
        assert lock[kept].max(initial=-90.0) <= -found.short + 0.05


@pytest.mark.parametrize(
    ("name", "lock", "names", "goal"),
    [
        ("front rack", 60.0, ("pickup_forward", "pickup_outward"), {}),
        ("rear rack", 52.0, ("pickup_forward", "pickup_outward", "rack_forward"), {}),
        (
            "front rack",
            46.0,
            ("ball_joint_drop", "strut_top_outward", "pickup_forward"),
            {"ackermann": (40, 60)},
        ),
        ("rear rack", 46.0, ("pickup_up", "rack_forward", "rack_up"), {"bump_steer": math.radians(2.0)}),
    ],
)
def test_random_starts_find_nothing_better(
    name: str, lock: float, names: tuple[VariableName, ...], goal: dict[str, Any]
) -> None:
    """From anywhere within the bounds the search ends no better than from its own starts: there is no better design
    far off. With pickups moved, designs on the other side of the old hole are such."""
    bounds = {"pickup_forward": (-20.0, 20.0), "pickup_outward": (-15.0, 15.0)}
    base = search_job(name, lock, *names, **goal)
    wide = tuple(Freedom(f.variable, *bounds.get(f.variable, (f.low, f.high))) for f in base.freedoms)
    space = space_of(replace(base, freedoms=wide))
    found = search(space)
    random = np.random.default_rng(7)
    for _ in range(8):
        design = space.low + (space.high - space.low) * random.random(len(space.variables))
        other = least_effort(space, np.append(design, random.uniform(40.0, 80.0, 2)))
        # The price of a fiftieth of a degree, and a hundredth of all.
        assert found.cost < 1.01 * other.cost + 8.0


@settings(max_examples=12)
@given(st.data())
def test_slopes(data: st.DataObject) -> None:
    """The slopes that the search goes by are those of central differences, part by part of every limit."""
    name = data.draw(st.sampled_from(sorted(CARS)))
    chosen = data.draw(st.lists(st.sampled_from(sorted(BOUNDS)[2:]), max_size=4, unique=True))
    wishes = {"track": 1500.0, "ackermann": (20.0, 40.0), "bump_steer": 0.02, "least_caster": 0.1}
    space = space_of(search_job(name, 42.0, *(n for n in chosen if n not in NUMBERS), **wishes))
    share = data.draw(st.floats(0.2, 0.8))
    unknowns = np.append(space.low + share * (space.high - space.low), [57.0, 56.0])
    at = evaluated(space, unknowns).at
    for i in range(len(unknowns)):
        ahead, behind = unknowns.copy(), unknowns.copy()
        ahead[i] += 5 * STEP
        behind[i] -= 5 * STEP
        left, right = (evaluated(space, z).at.values for z in (behind, ahead))
        central = (right - left) / (10 * STEP)
        # One-sided over 0.01 mm against central over 0.1 mm: a figure bends by no more than 0.1 a mm in one mm, but
        # where another rack position or another end of a bar becomes the nearest between the two.
        smooth = np.abs(left + right - 2 * at.values) < 1e-3
        assert np.abs(at.slopes[:, i] - central)[smooth].max() < 0.03
        assert smooth.mean() > 0.9


def lock_of(space: Space) -> float:
    """Farthest lock, degrees."""
    found = search(space)
    assert found.given_up > 0
    return math.degrees(space.goal.lock) - found.short


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize(
    ("limit", "spacer", "goal", "eased"),
    [
        ("tyre on rail", 12.0, {"max_arm_extension": 3.0}, {"clearance": 5.8}),
        (
            *("over-centre margin", 12.0),
            {"over_centre_margin": math.radians(40.0), "max_arm_extension": 20.0},
            {"over_centre_margin": math.radians(39.8)},
        ),
        ("most arm extension", 12.0, {"max_arm_extension": 3.0}, {"max_arm_extension": 3.2}),
    ],
)
def test_prices_are_what_easing_a_limit_brings(
    name: str, limit: str, spacer: float, goal: dict[str, float], eased: dict[str, float]
) -> None:
    """A binding limit eased by a little brings the lock that its price says: the factors of Karush, Kuhn and Tucker."""
    base = search_job(name, 60.0, **goal)
    base = replace(base, fixed=replace(base.fixed, rack_spacer=spacer), spacer_given=True)
    space = space_of(base)
    held = [b for b in bindings(space, search(space)) if b.name.startswith(limit)]
    assert held, [b.name for b in bindings(space, search(space))]
    more = lock_of(space_of(replace(base, goal=replace(base.goal, **eased)))) - lock_of(space)
    amount = {"clearance": 0.2, "over_centre_margin": 0.2, "max_arm_extension": 0.2}[next(iter(eased))]
    # A slope against a difference over a fifth of a unit, each found to some thousandths of a degree.
    assert amount * sum(b.lock for b in held) == pytest.approx(more, rel=0.1, abs=0.01)


def test_prices_in_effort() -> None:
    """Where the goal is in reach, a binding limit's price is the effort that easing it spares."""
    base = search_job("rear rack", 44.5)
    space = space_of(base)
    found = search(space)
    held = [b for b in bindings(space, found) if b.name.startswith("tyre on rail")]
    assert held
    eased = search(space_of(replace(base, goal=replace(base.goal, clearance=base.goal.clearance - 0.5))))
    assert 0.5 * sum(b.effort for b in held) == pytest.approx(found.effort - eased.effort, rel=0.1)


@pytest.mark.parametrize("units", ["mm", "in"])
@settings(max_examples=8)
@given(name=st.sampled_from(sorted(CARS)), lock=st.floats(34.0, 49.0))
def test_no_sizes_on_the_shelf_take_less(units: str, name: str, lock: float) -> None:
    """Of all plates and steps that can be had, none keeps every limit with less effort than the sizes given."""
    base = replace(job(CARS[name], lock=math.radians(lock)), stock_units=units)  # type: ignore[arg-type]
    space, found = best_design(base)
    sized = next(sizings(base))
    if sized.short:
        return
    plates = [t for t in (0.0, *plate_thicknesses(units)) if t <= space.high[0]]  # type: ignore[arg-type]
    steps = np.arange(0.0, space.high[1] + 1e-9, step(units))  # type: ignore[arg-type]
    table = np.array(list(itertools.product(plates, steps)))
    effort = table @ space.efforts
    taken = np.array([sized.changes.rack_spacer, sized.changes.arm_extension]) @ space.efforts
    table = table[(effort < taken - 1e-6) & (effort > found.effort - 5.0)]
    if len(table):
        left = worst_left(space, table, rack_for_lock(space, table, found.racks))
        # What counts as kept, with what the secant rule leaves.
        assert left.max() < 0.005, table[left.argmax()]


@st.composite
def any_bounds(draw: st.DrawFn) -> tuple[Freedom, ...]:
    """Freedoms of any variables beside spacer and extension: wide, narrow, of no width, and without zero in them."""
    names = draw(st.lists(st.sampled_from(sorted(BOUNDS)), max_size=5, unique=True))
    found = []
    for name in names:
        if name in ("rack_spacer", "arm_extension"):
            continue
        least = 0.0 if name == "ball_joint_drop" else -15.0
        low, high = sorted((draw(st.floats(least, 15.0)), draw(st.floats(least, 15.0))))
        found.append(Freedom(name, low, draw(st.sampled_from((low, high)))))
    return tuple(found)


@settings(max_examples=25)
@given(
    name=st.sampled_from(sorted(CARS)),
    lock=st.floats(10.0, 85.0),
    freedoms=any_bounds(),
    most=st.sampled_from((0.0, 7.3, 60.0)),
    fixed=st.booleans(),
)
def test_bounds_are_kept(
    name: str, lock: float, freedoms: tuple[Freedom, ...], most: float, fixed: bool
) -> None:
    """Whatever is asked for, every change stays between its bounds, what is fixed stays as it is, and the search ends
    within a bounded number of looks."""
    base = job(CARS[name], lock=math.radians(lock), max_arm_extension=most)
    fixed_moves = {
        field: Move(1.0, 0.0, 1.0)
        for field in MOVES.values()
        if fixed
        and not any(MOVES[VECTORS[f.variable][0]] == field for f in freedoms if f.variable in VECTORS)
    }
    base = replace(base, freedoms=freedoms, fixed=replace(base.fixed, **fixed_moves))  # type: ignore[arg-type]
    looks, seen = 0, optimise.reserves_of

    def counted(*arguments: Any, **options: Any) -> Any:
        nonlocal looks
        looks += 1
        return seen(*arguments, **options)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(optimise, "reserves_of", counted)
        sized = list(itertools.islice(sizings(base), 2))
    assert looks < 700
    for one in sized:
        for free in freedoms:
            assert free.low - 1e-9 <= fixed_size(one.changes, free.variable) <= free.high + 1e-9, free
        assert 0.0 <= one.changes.arm_extension <= most
        assert 0.0 <= one.changes.rack_spacer <= 12.0
        for field, move in fixed_moves.items():
            assert move == getattr(one.changes, field)


def test_nothing_open() -> None:
    """A job that leaves nothing open is looked at as it is: what it gives up, what holds it, what it misses."""
    base = job(CARS["rear rack"], lock=math.radians(41), least_caster=math.radians(25))
    given_all = replace(
        base, fixed=replace(base.fixed, rack_spacer=3.0), spacer_given=True, extension_given=True
    )
    space, found = best_design(given_all)
    assert () == space.variables
    (sized,) = sizings(given_all)
    assert given_all.fixed == sized.changes
    assert 41.0 - sized.short == pytest.approx(41.0 - found.short)
    assert "rack stop" in sized.bindings[0].name
    assert ["caster (left)", "caster (right)"] == [b.name for b in sized.broken]


@pytest.mark.parametrize("name", CARS)
def test_starts(name: str) -> None:
    """The search begins with nothing changed and the rack at its stop, or as near to that as the bounds let it."""
    base = search_job(name, 42.0)
    space = space_of(base, (Freedom("rack_spacer", 2.0, 6.0), Freedom("rack_up", -5.0, -1.0)))
    stop = CARS[name].rack.travel_each_side + 2.0
    assert [2.0, -1.0, stop, stop] == begin(space).tolist()


def test_least_effort_counts_the_beginning() -> None:
    """A kind of work that would spare less than it takes to begin is not begun."""
    base: Job = search_job("rear rack", 46.0, "pickup_forward", "pickup_outward")
    least = search(space_of(base))
    # By the millimetre alone a new hole a millimetre and a half away would spare 35 mm of arm.
    assert 1.0 < abs(least.design[2]) < 2.5
    sized = next(sizings(base))
    assert Move() == sized.changes.pickup_move
    assert sized.changes.arm_extension > 40
