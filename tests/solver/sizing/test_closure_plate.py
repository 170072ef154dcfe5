"""How the closure plate is sized: its floor against closed forms, the search, room behind it, both sides, the drain."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.body.revolved import Revolved
from solver.body.swept import SweptRevolved
from solver.car import WheelWell
from solver.families.closure_plate import ClosurePlateDimensions
from solver.panel import PanelFrame, depths
from solver.part import Part, Refusal
from solver.sizing import closure_plate
from solver.sizing.context import SizingContext
from solver.sizing.plate_floor import Floor, Room, Setting, fits_behind, flat_floor, folded_floors
from solver.sizing.plate_outline import BETWEEN_SAMPLES, hole_outline
from solver.vectors import Array
from tests.solver.sizing.plate_jobs import plate_context

RADIUS, GAP, HEIGHT = 310.0, 8.0, 270.0
"""A tyre whose axis lies along y, 270 mm over the panel z = 0: it reaches 40 mm through."""
SQUARE = np.array([(-150.0, -120.0), (150.0, -120.0), (150.0, 120.0), (-150.0, 120.0)])
FRAME = PanelFrame(np.zeros(3), np.eye(3)[0], np.eye(3)[1], np.eye(3)[2], 0.0, 2 * SQUARE)
TYRE = SweptRevolved(
    Revolved(200.0, RADIUS, -100.0, 100.0, 20.0), np.array([[0.0, 0.0, HEIGHT]]), np.array([[0.0, 1.0, 0.0]])
)


def setting(room: Room | None = None) -> Setting:
    """A floor under that tyre, 48 mm deep where it is flat, with walls of 8.25 mm at least."""
    return Setting(TYRE, FRAME, SQUARE, GAP, 48.0, 1.5, 8.25, room)


def test_depth_by_hand() -> None:
    """Radius less height: 40 mm."""
    assert [40.0] == pytest.approx(depths(TYRE.solid, TYRE.centres, TYRE.axes, FRAME).tolist())


def test_flat_floor() -> None:
    """One facet across the outline, as deep as the tyre and the gap."""
    floor = flat_floor(setting())
    assert ((-150.0, 48.0), (150.0, 48.0)) == pytest.approx(np.array(floor.profile))
    assert 0.0 == pytest.approx(floor.slack, abs=1e-9)
    # Floor, and walls all round.
    assert 300 * 240 + 2 * (300 + 240) * 48 == pytest.approx(floor.metal, rel=1e-6)


@pytest.mark.parametrize("facets", [2, 3, 4])
def test_facets_touch_the_gap_and_no_more(facets: int) -> None:
    """Every line of every profile is 318 mm or more away from the tyre's axis, the best one's first fold exactly."""
    floors = list(folded_floors(setting(), facets))
    assert floors
    for floor in floors:
        away = [_away(floor, a, b) for a, b in zip(floor.profile, floor.profile[1:], strict=False)]
        assert facets == len(away)
        if floor.turn in (0.0,):
            assert min(away) >= RADIUS + GAP - 1e-6
            assert min(away) - RADIUS - GAP == pytest.approx(floor.slack, abs=1e-6)
    metal = [round(floor.metal, 3) for floor in floors]
    assert sorted(metal) == metal
    assert metal[0] < flat_floor(setting()).metal


def _away(floor: Floor, a: tuple[float, float], b: tuple[float, float]) -> float:
    """Distance of a facet's line from the axis, which is at depth −270."""
    (x0, z0), (x1, z1) = a, b
    return abs((x1 - x0) * (z0 + HEIGHT) + x0 * (z0 - z1)) / math.hypot(x1 - x0, z1 - z0)


def test_metal_is_what_the_blank_takes() -> None:
    """Floor and walls of the best folds by hand: lengths along the slopes, trapezoids at the sides."""
    floor = next(floor for floor in folded_floors(setting(), 3) if floor.turn == 0.0)
    (x0, z0), *_, (x1, z1) = floor.profile
    along = sum(math.dist(a, b) for a, b in zip(floor.profile, floor.profile[1:], strict=False))
    sides = sum(
        (b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(floor.profile, floor.profile[1:], strict=False)
    )
    # Slices of 4 mm: each fold is off by a slice at most.
    assert 240 * along + 2 * sides + 240 * (z0 + z1) == pytest.approx(floor.metal, rel=2e-3)
    assert (-150.0, 150.0) == pytest.approx((x0, x1))


def test_room_is_exact_for_what_is_linear() -> None:
    """Mean value coordinates give back a plane, inside of the outline and at its corners."""
    room = Room(SQUARE, 60 + 0.1 * SQUARE[:, 0] - 0.05 * SQUARE[:, 1])
    points = np.array([(0.0, 0.0), (100.0, 50.0), (-149.0, -119.0), (20.0, 119.9), (150.0, 120.0)])
    assert 60 + 0.1 * points[:, 0] - 0.05 * points[:, 1] == pytest.approx(room.at(points), abs=1e-4)


def test_room_behind_decides_on_folds() -> None:
    """With 49.5 mm everywhere the flat floor and its sheet fit exactly; 20 mm at one end take one fold."""
    whole = Room(2 * SQUARE, np.full(4, 49.5))
    assert 0.0 == pytest.approx(fits_behind(setting(whole), flat_floor(setting(whole))), abs=1e-9)
    # 80 mm at x = −300 to 25 at x = +300: 38.75 at the plate's end.
    sloping = Room(2 * SQUARE, np.array([80.0, 25.0, 25.0, 80.0]))
    assert fits_behind(setting(sloping), flat_floor(setting(sloping))) == pytest.approx(49.5 - 38.75, abs=0.1)
    (floor, *_) = folded_floors(setting(sloping), 2)
    assert fits_behind(setting(sloping), floor) <= 1e-6
    # A plate that has to be 48 mm deep in its middle never fits into 40 there.
    assert [] == list(folded_floors(setting(Room(2 * SQUARE, np.full(4, 40.0))), 4))


def test_outline_by_hand() -> None:
    """Walls stand off the tyre by the gap, and by no more than a rounding step and what hides between samples beyond.

    At 5 mm over the panel the tyre with its gap is √(318² − 265²) long from its middle, and 108 mm wide.
    """
    found = hole_outline(TYRE, FRAME, GAP, 48.0, 5.0, "mm")
    assert found is not None
    outline, least = found
    assert GAP <= least < GAP + 2.0
    length, width = math.sqrt(318**2 - 265**2), 100 + GAP
    allowed = 2 * (BETWEEN_SAMPLES + 0.25) + 1.5
    assert length <= outline[:, 0].max() <= length + allowed / math.sin(math.acos(265 / 318))
    assert width <= outline[:, 1].max() <= width + allowed


def test_panel_out_of_reach_has_no_outline() -> None:
    """A tyre that ends 20 mm short of the panel needs no hole."""
    away = SweptRevolved(TYRE.solid, TYRE.centres + np.array([0.0, 0.0, 60.0]), TYRE.axes)
    outline, least = hole_outline(away, FRAME, GAP, 48.0, 5.0, "mm") or (None, 0.0)
    assert outline is not None
    assert 0 == len(outline)
    assert math.inf == least


def _parts(seed: int, facets: int = 1, room: tuple[float, ...] = ()) -> list[Part | Refusal]:
    context = plate_context(seed)
    return closure_plate.parts(_changed(context, facets, room))


def _changed(context: SizingContext, facets: int, room: tuple[float, ...]) -> SizingContext:
    job = context.solution.job
    (panel,) = job.car.wheel_wells
    car = replace(job.car, wheel_wells=(replace(panel, room=room),))
    choices = replace(job.part_choices, plate_facets=facets, plate_thickness=1.5)
    return SizingContext(replace(context.solution, job=replace(job, car=car, part_choices=choices)))


SEED = 8
"""A job whose panel was measured far enough, and where the tyre reaches some 28 mm through."""


def _plate(found: list[Part | Refusal]) -> ClosurePlateDimensions:
    (part,) = found
    assert isinstance(part, Part), part
    assert isinstance(part.dimensions, ClosurePlateDimensions)
    return part.dimensions


def test_flat_where_it_fits() -> None:
    """Without room measured, and with more than enough of it, the floor is flat."""
    flat = _plate(_parts(SEED))
    assert 1 == len(flat.pan.facets)
    assert flat == _plate(_parts(SEED, room=(200.0,) * 4))


def test_folds_where_it_does_not() -> None:
    """Room that is missing at one end folds the floor, the reason says why; missing all over, the plate is refused."""
    flat = _plate(_parts(SEED))
    depth = flat.profile[0][1] + flat.thickness
    folded = None
    for low in np.linspace(depth, 0.0, 12):
        (found,) = _parts(SEED, room=(2.5 * depth, low, low, 2.5 * depth))
        if isinstance(found, Part) and len(_plate([found]).pan.facets) > 1:
            folded = found
            break
    assert folded
    assert any("beyond the room behind the panel" in reason for reason in folded.reasons)
    (refused,) = _parts(SEED, room=(0.5 * depth,) * 4)
    assert isinstance(refused, Refusal)
    assert "no room behind the panel" == refused.limit
    assert "deeper than the room" in refused.reason


def test_more_facets_take_less_metal() -> None:
    """What is asked for is at least given, and the blank is smaller than the flat plate's."""
    areas = [_plate(_parts(SEED, facets)).flat_pattern().area for facets in (1, 2, 3)]
    assert [1, 2, 3] == [len(_plate(_parts(SEED, facets)).pan.facets) for facets in (1, 2, 3)]
    assert areas[0] > areas[1] > areas[2]


@given(st.integers(0, 60), st.integers(1, 3))
@settings(max_examples=12)
def test_drain_is_as_low_as_a_hole_may_lie(seed: int, facets: int) -> None:
    """No other place on any facet that keeps the hole's distance from the bends lies lower in the car."""
    context = plate_context(seed)
    found = closure_plate.parts(_changed(context, facets, ()))
    if not found or not isinstance(found[0], Part) or not found[0].placement:
        return
    d, placement = found[0].dimensions, found[0].placement
    assert isinstance(d, ClosurePlateDimensions)
    x, z = np.array(placement.x_axis), np.array(placement.z_axis)
    rise = np.array([x[2], np.cross(z, x)[2], z[2]])
    facet = d.drained
    here = facet.place((d.drain_x - facet.origin[0]) / math.cos(facet.slope), d.drain_y)
    others = [
        np.array(f.place(u, v)) @ rise for f in d.pan.facets for u, v in _allowed(np.array(f.corners), d)
    ]
    # Coordinates are rounded to 1e-3; two corners within 0.05 mm of one height share the hole.
    assert np.array(here) @ rise <= min(others) + 0.06


def _allowed(corners: Array, d: ClosurePlateDimensions) -> Array:
    """Places of a facet on a grid whose hole keeps 3 t + R from all of its bends."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    grid = np.stack(
        np.meshgrid(*(np.linspace(a, b, 60) for a, b in zip(low, high, strict=True))), -1
    ).reshape(-1, 2)
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.hypot(along[:, :1], along[:, 1:])
    off = grid[:, None] - corners
    away = along[:, 0] * off[..., 1] - along[:, 1] * off[..., 0]
    return grid[(away >= d.bend_room + d.drain_diameter / 2 + 0.02).all(axis=1)]


def test_right_plate_is_the_mirror_on_a_symmetric_car() -> None:
    """Both sides of a symmetric car with mirrored panels: the same plate, mirrored, placed as its mirror."""
    for seed in range(80):
        context = plate_context(seed)
        job = context.solution.job
        (well,) = job.car.wheel_wells
        straight = job.car.rack.direction == (0.0, 1.0, 0.0)
        if job.car.right != job.car.left.mirrored() or not straight:
            continue
        other: WheelWell = replace(
            well,
            side="right" if well.side == "left" else "left",
            panel=tuple((x, -y, z) for x, y, z in well.panel),
        )
        # Each for itself, and both together: no mirror can be used where there is one well only.
        alone = [closure_plate.parts(_with(context, (one,))) for one in (well, other)]
        together = closure_plate.parts(_with(context, (well, other)))
        if len(together) != 2 or not all(isinstance(part, Part) for part in together):
            continue
        first, second = together
        assert isinstance(first, Part)
        assert isinstance(second, Part)
        assert first.placement
        assert second.placement
        assert isinstance(first.dimensions, ClosurePlateDimensions)
        assert second.dimensions == first.dimensions.mirrored()
        (sized,) = alone[1]
        assert isinstance(sized, Part)
        assert sized.dimensions.volume == pytest.approx(second.dimensions.volume, rel=1e-6)
        x, y, z = first.placement.origin
        assert (x, -y, z) == second.placement.origin
        return
    raise AssertionError("no symmetric car among the random ones")


def _with(context: SizingContext, wells: tuple[WheelWell, ...]) -> SizingContext:
    job = context.solution.job
    changed = replace(job, car=replace(job.car, wheel_wells=wells))
    return SizingContext(replace(context.solution, job=changed))
