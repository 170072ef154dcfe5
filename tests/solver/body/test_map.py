"""Clearance maps, worst places and cut lines: on bodies whose answer is known by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from solver.body.answer import Body, answer
from solver.body.band import BODY_SIGMA, TYRE_SIGMA, Band, PointError
from solver.body.clearance_map import ClearanceMap, clearance_map
from solver.body.cut_line import CutLine, NoCutLine, cut_lines
from solver.body.doubles import without_doubles
from solver.body.nearest import nearest
from solver.body.placement import fit_placement
from solver.body.regions import place_words, regions
from solver.body.source import Surroundings
from solver.body.stray import without_strays
from solver.body.surface import NO_TRIANGLES, Surface, panel_surface
from solver.body.sweep import Grid, WheelSweep, ride_height_centre, wheel_sweeps
from solver.car import Changes, Side
from solver.front_end import assemble
from solver.vectors import Array, length
from tests.solver.body.scenes import dirty_scan, front_end, sheet, sweeps, wheel_well
from tests.solver.cars import REAR

STILL = Grid(3, 3)


def still() -> dict[Side, WheelSweep]:
    """Both wheels all but standing still: a tenth of a mm of rack each way."""
    return wheel_sweeps(front_end(), STILL, {"left": 0.1, "right": 0.1})


def in_wheel_plane(offset: float, size: float = 900.0) -> Surface:
    """A square panel square to the left wheel's axis, straight ahead at full droop, so far inboard of the side wall."""
    sweep = still()["left"]
    number = int(np.flatnonzero((sweep.travel == sweep.travel.min()) & (np.abs(sweep.rack) < 1e-9))[0])
    axis, centre = sweep.axes[number], sweep.centres[number]
    half = sweep.tyre().solid.far
    aside = np.cross(axis, [0.0, 0.0, 1.0])
    aside /= np.linalg.norm(aside)
    up = np.cross(aside, axis)
    corners = [size / 2 * (a * aside + b * up) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    return panel_surface("wall", centre - (half + offset) * axis + np.array(corners), side="left")


def test_distance_and_pose_of_every_point() -> None:
    """The map holds for each point the least of all poses of both wheels, and names wheel and pose."""
    rng = np.random.default_rng(1)
    points = rng.uniform(-1, 1, (400, 3)) * [450, 950, 350] + np.array([0, 0, 350])
    found = clearance_map(Surface("cloud", points, NO_TRIANGLES), sweeps(), 40.0)
    each = {side: sweep.tyre().distances(points) for side, sweep in sweeps().items()}
    least = np.minimum(each["left"].min(axis=1), each["right"].min(axis=1))
    assert least == pytest.approx(found.distance, abs=1e-7)
    assert (found.distance == found.clearance).all()
    for i in range(0, 400, 37):
        side: Side = "left" if found.looked.wheel[i] == 0 else "right"
        assert least[i] == pytest.approx(each[side][i, found.looked.pose[i]], abs=1e-7)
        cause = found.cause(i)
        assert cause is not None
        assert side == cause.side


def test_fixed_to_the_knuckle_there_is_no_pose() -> None:
    """What turns with the wheel has one distance, from its own wheel, and no pose to blame."""
    point = np.array([[60.0, 610.0, 420.0]])
    found = clearance_map(Surface("caliper", point, NO_TRIANGLES, "knuckle", "left"), sweeps(), 40.0)
    corner = front_end().left.corner
    expected = sweeps()["left"].tyre().solid.distance(point[0], corner.wheel_centre, corner.spin_axis)
    assert float(expected) == pytest.approx(float(found.distance[0]))
    assert found.cause(0) is None


def test_worst_place_of_a_panel() -> None:
    """On a panel ahead of the left wheel the place, its words and its first touch come from the whole sweep."""
    panel = panel_surface(
        "lip", np.array([[338, 520, 200], [338, 860, 200], [338, 860, 420], [338, 520, 420.0]]), side="left"
    )
    found = clearance_map(panel, sweeps(41, 9), 40.0)
    (first, *_) = regions(found, 8.0)
    assert "lip, left wheel: ahead" in first.name
    assert first.distance <= float(found.distance.min()) + 1e-9
    fine = wheel_sweeps(front_end(), Grid(241, 81))["left"].tyre()
    assert float(nearest(first.point[None], fine).distance[0]) == pytest.approx(first.distance, abs=0.02)
    for touch in first.touches:
        # No pose with less rack that way comes so near to any point of the place.
        sweep = found.sweeps["left"]
        sign = np.sign(touch.cause.rack)
        earlier = (sign * sweep.rack >= 0) & (sign * sweep.rack < sign * touch.cause.rack - 1e-9)
        if earlier.any():
            distances = sweep.tyre().distances(found.surface.points[first.points], np.flatnonzero(earlier))
            assert distances.min() >= 8.0
        assert touch.distance < 8.0
    assert first.touches


def test_places_apart_are_told_apart() -> None:
    """Two clumps of points 300 mm apart are two places; with nothing too near the three nearest points are told."""
    centre = ride_height_centre(sweeps()["left"])
    rng = np.random.default_rng(2)
    clump = rng.uniform(-8, 8, (50, 3))
    points = np.concatenate(
        [clump + centre + np.array([300, -60, 0]), clump + centre + np.array([-300, -60, 0])]
    )
    found = clearance_map(Surface("two", points, NO_TRIANGLES), sweeps(), 40.0)
    places = regions(found, 30.0)
    assert 2 == len(places)
    assert [50, 50] == [len(place.points) for place in places]
    far = clearance_map(Surface("far", points + np.array([0, 0, 900]), NO_TRIANGLES), sweeps(), 40.0)
    told = regions(far, 30.0)
    assert 0 < len(told) <= 3
    assert told[0].clearance == pytest.approx(float(far.distance.min()), abs=0.5)
    assert () == told[0].touches


@pytest.mark.parametrize(
    ("offset", "words"),
    [
        ((250, 0, 250), "ahead, high"),
        ((-250, -120, -200), "behind, low, inboard"),
        ((0, 140, 0), "outboard"),
        ((0, 0, 0), "beside the hub"),
    ],
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_words_for_a_place(offset: tuple[float, float, float], words: str, side: Side) -> None:
    """Inboard and outboard are the wheel's own, ahead and high the car's."""
    x, y, z = offset
    point = ride_height_centre(sweeps()[side]) + np.array([x, y if side == "left" else -y, z])
    assert words == place_words(point, sweeps()[side])


def frozen_wall(offset: float, size: float = 900.0) -> tuple[Surface, dict[Side, WheelSweep]]:
    """The wall, and a left wheel in the one pose that the wall was put beside."""
    both = still()
    part = both["left"].parts[0]
    one = replace(
        part,
        travel=part.travel[:1],
        rolls=part.rolls[:1],
        rack=part.rack[1:2],
        pose=part.front_end.poses(part.assembly, part.rack[1:2], part.travel[:1]),
    )
    return in_wheel_plane(offset, size), {"left": WheelSweep("left", (one,)), "right": both["right"]}


def test_cut_line_on_a_wall_beside_a_wheel() -> None:
    """On a wall 3 mm inboard of a wheel that stands still the lines for 8 mm are two circles by hand formula.

    The nearest place of the tyre to a point of the wall at the radius r over the shoulder's middle R − ϱ is on the
    shoulder: (r − (R − ϱ))² + (3 + ϱ)² = (8 + ϱ)². Inside, at the rim's sharp edge: (r_rim − r)² + 3² = 8².
    """
    wall, frozen = frozen_wall(3.0)
    found = clearance_map(wall, frozen, 30.0)
    references = {"bolt": np.array([0.0, 600, 900]), "seam": np.array([500.0, 600, 300])}
    (line,) = cut_lines(found, 8.0, references)
    assert isinstance(line, CutLine)
    solid = frozen["left"].tyre().solid
    rho = solid.rounding
    outer = solid.outer - rho + math.sqrt((8 + rho) ** 2 - (3 + rho) ** 2)
    inner = solid.inner - math.sqrt(8**2 - 3**2)
    rounds = [loop.length for loop in line.loops]
    assert [2 * math.pi * outer, 2 * math.pi * inner] == pytest.approx(rounds, rel=1e-3)
    assert math.pi * (outer**2 - inner**2) == pytest.approx(line.area, rel=2e-3)
    assert (2 * outer, 2 * outer) == pytest.approx(line.size, rel=1e-3)
    assert not line.layout.developed
    assert 0.0 == line.edge_share
    centre = frozen["left"].centres[0]
    for loop, radius in zip(line.loops, (outer, inner), strict=True):
        assert 8.0 == pytest.approx(found.field.clearance(loop.points), abs=0.011)
        from_axis = np.sqrt(length(loop.points - centre) ** 2 - (solid.far + 3.0) ** 2)
        assert radius == pytest.approx(from_axis, abs=0.02)
    assert ["bolt", "seam"] == sorted(reference.name for reference in line.references)
    assert sum(round(loop.length / 50) for loop in line.loops) == len(line.marks)
    assert list(range(1, len(line.marks) + 1)) == [mark.number for mark in line.marks]
    for mark in line.marks:
        for reference, distance in zip(line.references, mark.distances, strict=True):
            assert float(length(mark.point - reference.point)) == pytest.approx(distance)
        flat, far = line.layout.place(mark.point[None])
        assert mark.flat == pytest.approx(flat[0], abs=0.05)
        assert far[0] < 0.05


def test_cut_line_by_points_alone() -> None:
    """The same wall as thirty thousand points gives the same line within a point's pitch."""
    wall, frozen = frozen_wall(3.0)
    rng = np.random.default_rng(3)
    corner, across, up = wall.points[0], wall.points[1] - wall.points[0], wall.points[3] - wall.points[0]
    share = rng.random((30_000, 2))
    cloud = Surface("wall", corner + share[:, :1] * across + share[:, 1:] * up, NO_TRIANGLES, "body", "left")
    (line,) = cut_lines(clearance_map(cloud, frozen, 30.0), 8.0, {})
    assert isinstance(line, CutLine)
    solid = frozen["left"].tyre().solid
    outer = solid.outer - solid.rounding + math.sqrt((8 + solid.rounding) ** 2 - (3 + solid.rounding) ** 2)
    assert (2 * outer, 2 * outer) == pytest.approx(line.size, abs=1.0)


def test_a_line_that_runs_off_says_so() -> None:
    """Where the panel ends inside of the cut, the line follows its edge and tells which share of it does."""
    wall, frozen = frozen_wall(3.0, size=420.0)
    (line,) = cut_lines(clearance_map(wall, frozen, 30.0), 8.0, {})
    assert isinstance(line, CutLine)
    # The panel's corners lie 297 mm out, inside of the outer circle: all of its edge is in the line.
    assert 1.0 == line.edge_share
    assert 4 * 420 == pytest.approx(line.loops[0].length)


def test_no_line_where_a_cloud_is_no_sheet() -> None:
    """Points all through a cube can't be cut along a line: that is an answer with a reason, not an error."""
    rng = np.random.default_rng(4)
    centre = ride_height_centre(sweeps()["left"])
    cloud = Surface("heap", centre + np.array([330, 0, 0]) + rng.uniform(-60, 60, (5000, 3)), NO_TRIANGLES)
    (line,) = cut_lines(clearance_map(cloud, sweeps(), 30.0), 8.0, {})
    assert isinstance(line, NoCutLine)
    assert "is no single sheet" in line.reason


def cleaned(rows: int, columns: int) -> tuple[Surface, Surface]:
    """The dirty scan, placed and cleaned, and the clean sheet it is of."""
    scan = dirty_scan(rows, columns, unit=25.4)
    named = np.array([[-330, 620, 480], [355, 560, 350], [10, 700, 670], [-100, 520, 660.0]])
    placed = fit_placement(("a", "b", "c", "d"), scan.picked(named), named)
    assert "in" == placed.unit
    with np.errstate(invalid="ignore", over="ignore"):
        surface = Surface("well", placed.place(scan.points), scan.triangles, "body", "left")
    surface, _ = without_strays(surface)
    return without_doubles(surface)[0], sheet(wheel_well, rows, columns, "well", "left")


def test_a_dirty_scan_gives_the_clean_one_s_answer() -> None:
    """Noise, holes, flips, doubles, strays and inches move the worst clearance by no more than the noise does."""
    dirty, clean = cleaned(90, 30)
    results = [answer(front_end(), [Body(one)], 8.0, grid=Grid(21, 5)) for one in (dirty, clean)]
    worst = [one.worst[0] for one in results]
    # Of ten thousand draws the largest is four standard deviations.
    assert worst[1].clearance == pytest.approx(worst[0].clearance, abs=4 * 0.2 + 0.1)
    assert length(worst[0].point - worst[1].point) < 30.0
    first = [min(t.cause.steer for t in one.touches if t.turn == "right") for one in worst if one.touches]
    if len(first) == 2:
        assert first[0] == pytest.approx(first[1], abs=math.radians(3))
    lines = [[line for line in one.bodies[0].lines if isinstance(line, CutLine)] for one in results]
    areas = [sum(line.area for line in listed) for listed in lines]
    assert areas[1] == pytest.approx(areas[0], rel=0.05)


def spread_by_hand(found: ClearanceMap, errors: list[PointError]) -> Array:
    """Standard deviations from cars assembled with each error, each point's own pose kept."""
    sweep = found.sweeps["left"]
    variance = np.full(len(found.surface.points), TYRE_SIGMA**2 + BODY_SIGMA**2)
    for error in errors:
        value = list(getattr(REAR.left, error.name))
        value[error.axis] += error.size
        car = replace(REAR, left=replace(REAR.left, **{error.name: tuple(value)}))
        moved = assemble(car, Changes())
        for i, point in enumerate(found.surface.points):
            cause = found.cause(i)
            assert cause is not None
            pose = moved.poses(moved.left, np.array([cause.rack]), np.array([cause.travel]))
            there = sweep.tyre().solid.distance(point, pose.wheel_centre[0, 0], pose.spin_axis[0, 0])
            variance[i] += (float(there) - found.distance[i]) ** 2
    return np.sqrt(variance)


def test_band() -> None:
    """At 90 of 100 each clearance is less by 1.2816 standard deviations, found from cars assembled one by one."""
    rng = np.random.default_rng(5)
    points = ride_height_centre(sweeps()["left"]) + rng.uniform(-380, 380, (12, 3)) * [1, 0.4, 1]
    errors = [
        PointError("pickup", 0, 1.5),
        PointError("wheel_centre", 1, 2.0),
        PointError("strut_top", 0, 3.0),
    ]
    band = Band(0.9, sweeps(), {"left": errors, "right": errors})
    surface = Surface("points", points, NO_TRIANGLES)
    found = clearance_map(surface, sweeps(), 400.0, band=band)
    factor = float(norm.ppf(0.9))
    assert factor == pytest.approx(band.factor)
    expected = spread_by_hand(found, errors)
    assert found.distance - factor * expected == pytest.approx(found.clearance, abs=1e-6)
    plain = clearance_map(
        surface, sweeps(), 400.0, band=Band(0.5, sweeps(), {"left": errors, "right": errors})
    )
    assert plain.distance == pytest.approx(plain.clearance)


def test_band_takes_the_placement_in() -> None:
    """A scan's placement adds its own uncertainty along the way to the tyre."""
    named = np.array([[-330, 620, 480], [355, 560, 350], [10, 700, 670.0]])
    placed = fit_placement(("a", "b", "c"), named, named)
    band = Band(0.9, sweeps(), {"left": [], "right": []})
    points = np.array([[0.0, 650.0, 700.0]])
    looked = clearance_map(Surface("p", points, NO_TRIANGLES), sweeps(), 400.0).looked
    found = band.spread(points, "left", looked.pose, placement=placed)
    # The tyre is straight below: what matters is the height.
    height = placed.uncertainty(points, np.array([[0.0, 0.0, 1.0]]))
    assert np.sqrt(TYRE_SIGMA**2 + height**2) == pytest.approx(found, rel=0.05)


def test_what_is_on_the_arm_moves_out_with_it() -> None:
    """Lengthened by 30 mm, a body on the arm's outer half goes along, one on the inner half and on the body stay."""
    link = np.array(REAR.left.ball_joint)
    outer, inner = link - [0, 40, -20], link - [0, 300, -20]
    longer = assemble(REAR, Changes(arm_extension=30.0))
    for place, fixed_to, moved in ((outer, "arm", 30.0), (inner, "arm", 0.0), (outer, "body", 0.0)):
        surface = Surface("tab", place[None], NO_TRIANGLES, fixed_to, "left")  # type: ignore[arg-type]
        result = answer(longer, [Body(surface)], 8.0, grid=STILL)
        assert moved == pytest.approx(float(length(result.bodies[0].map.surface.points - place)[0]), abs=1e-9)


def test_the_same_bodies_serve_for_another_tyre() -> None:
    """A loaded body is handed to another front end as it is; a wider tyre comes nearer to all of it."""
    body = Body(sheet(wheel_well, 60, 25, "well", "left"))
    wider = assemble(REAR, Changes(wheel=replace(REAR.wheel, tyre="225/55R16")))
    before, after = (
        answer(front, [body], 8.0, grid=Grid(21, 5), lines=False) for front in (front_end(), wider)
    )
    assert not before.clear or not after.clear
    assert after.worst[0].clearance < before.worst[0].clearance - 5.0
    assert () == before.bodies[0].lines
    assert len(body.surface.points) == 60 * 25


def test_rolls_drops_and_rings_of_a_job() -> None:
    """What a job says about its sweep is swept, and its confidence needs to be told what is uncertain."""
    told = Surroundings(rolls=(math.radians(2),), drops=(15.0,), confidence=0.9, tie_rod_diameter=22.0)
    body = Body(Surface("p", np.array([[0.0, 650, 700]]), NO_TRIANGLES))
    found = answer(front_end(), [body], 8.0, told, grid=Grid(21, 5))
    assert {0.0, 15.0} == {part.drop for part in found.sweeps["left"].parts}
    assert any(roll for part in found.sweeps["left"].parts for roll in part.rolls)
    assert 0.5 == found.confidence
    assert found.resolution > 0
    banded = answer(front_end(), [body], 8.0, told, grid=Grid(21, 5), errors={"left": [], "right": []})
    assert 0.9 == banded.confidence
    assert banded.worst[0].clearance < found.worst[0].clearance
