"""Least widths of outlines of lines and arcs, against hand formulas and against shapely on fine chords."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from solver.cutting.inside import holds
from solver.cutting.turning import moved, turned, ways_to_lay
from solver.cutting.widths import across, between, passages
from solver.families.base import Outline, circle_outline, outline_area, outline_box

QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle."""
ROUNDING = 1e-9
angles = st.floats(-math.pi, math.pi)
places = st.floats(-100, 100)
bulges = st.one_of(st.just(0.0), st.floats(-0.6, 0.6).filter(lambda b: abs(b) > 0.02))


def rectangle(width: float, height: float) -> Outline:
    """From the origin, counter-clockwise."""
    return ((0.0, 0.0, 0.0), (width, 0.0, 0.0), (width, height, 0.0), (0.0, height, 0.0))


def slot(length: float, width: float) -> Outline:
    """Two straight sides, ``length`` long, with half circles at their ends."""
    return ((0.0, 0.0, 0.0), (length, 0.0, 1.0), (length, width, 0.0), (0.0, width, 1.0))


def chords(outline: Outline, count: int = 400) -> Polygon:
    """The outline with each arc in many chords, made from its angle at the centre step by step."""
    points: list[tuple[float, float]] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(outline, outline[1:] + outline[:1], strict=True):
        start, end = complex(x0, y0), complex(x1, y1)
        if not bulge:
            points.append((x0, y0))
            continue
        sweep = 4 * math.atan(bulge)
        turn = complex(math.cos(sweep), math.sin(sweep))
        centre = (end - turn * start) / (1 - turn)
        for step in range(count):
            part = complex(math.cos(sweep * step / count), math.sin(sweep * step / count))
            at = centre + part * (start - centre)
            points.append((at.real, at.imag))
    return Polygon(points)


@given(st.floats(1, 60), st.floats(1, 60), angles, places)
def test_rectangle(width: float, height: float, angle: float, x: float) -> None:
    """A rectangular hole is as wide as its shorter side, however it is turned."""
    outline = moved(turned(rectangle(width, height), angle), (x, -x))
    assert min(width, height) == pytest.approx(across(outline).size, abs=ROUNDING)


@given(st.floats(1, 60), angles, places)
def test_circle(diameter: float, angle: float, x: float) -> None:
    """A round hole is as wide as its diameter."""
    hole = moved(turned(circle_outline(3, 4, diameter), angle), (x, x))
    assert diameter == pytest.approx(across(hole).size, abs=ROUNDING)


@given(st.floats(0.5, 60), st.floats(1, 20), angles)
def test_slot(length: float, width: float, angle: float) -> None:
    """A slot with round ends is as wide as its sides are apart."""
    assert width == pytest.approx(across(turned(slot(length, width), angle)).size, abs=ROUNDING)


def test_triangle() -> None:
    """A triangular hole is as wide as its least height: 3, 4, 5 has 12/5."""
    assert 2.4 == pytest.approx(across(((0, 0, 0), (4, 0, 0), (0, 3, 0))).size, abs=ROUNDING)


def test_neck_of_a_keyhole() -> None:
    """A wide hole with a narrow slot is as wide as the slot, and that is where it is found."""
    hole = (
        (0, 0, 0),
        (30, 0, 0),
        (30, 14, 0),
        (60, 14, 0),
        (60, 17, 0),
        (30, 17, 0),
        (30, 30, 0),
        (0, 30, 0),
    )
    found = across(hole)
    assert 3 == pytest.approx(found.size, abs=ROUNDING)
    assert 30 <= found.at[0] <= 60
    assert 15.5 == pytest.approx(found.at[1], abs=ROUNDING)


def test_taper_with_a_blunt_end() -> None:
    """A slot that tapers from 8 mm to 2 mm over 40 mm is as wide as its narrow end."""
    hole = ((0, -4, 0), (40, -1, 0), (40, 1, 0), (0, 4, 0))
    assert 2 == pytest.approx(across(hole).size, abs=ROUNDING)


def test_chamfers_and_roundings_are_no_necks() -> None:
    """Neither a chamfer nor a rounded corner, however small, makes a plate narrow."""
    chamfered = ((1, 0, 0), (40, 0, 0), (40, 30, 0), (0, 30, 0), (0, 1, 0))
    rounded = ((1, 0, 0), (40, 0, 0), (40, 30, 0), (0, 30, 0), (0, 1, QUARTER))
    for outline in (chamfered, rounded):
        found = passages(outline).inside
        assert found is not None
        assert 29 <= found.size <= 30 + ROUNDING


def test_tip_of_a_vee_notch() -> None:
    """Under the tip of a notch the plate is as wide as the tip is above the other side: a corner has no one square."""
    plate = ((0, 0, 0), (50, 0, 0), (50, 20, 0), (30, 20, 0), (25, 4, 0), (20, 20, 0), (0, 20, 0))
    found = passages(plate).inside
    assert found is not None
    assert 4 == pytest.approx(found.size, abs=ROUNDING)
    assert (25, 2) == pytest.approx(found.at, abs=ROUNDING)


def test_notch_is_outside_and_tongue_inside() -> None:
    """A comb's teeth are measured through the metal, its gaps through the air."""
    comb = (
        (0, 0, 0), (40, 0, 0), (40, 30, 0), (34, 30, 0), (34, 10, 0), (31, 10, 0), (31, 30, 0), (23, 30, 0),
        (23, 10, 0), (8, 10, 0), (8, 30, 0), (0, 30, 0),
    )  # fmt: skip
    tooth, gap = passages(comb).inside, passages(comb).outside
    assert tooth is not None
    assert gap is not None
    assert 6 == pytest.approx(tooth.size, abs=ROUNDING)
    assert 3 == pytest.approx(gap.size, abs=ROUNDING)
    clockwise = tuple(reversed(comb))
    again = passages(clockwise).outside
    assert again is not None
    assert 3 == pytest.approx(again.size, abs=ROUNDING)


def test_waist_between_two_arcs() -> None:
    """Two arcs cut into the long sides of a 30 mm wide strip to 10 mm each leave 10 mm, between their crowns."""
    # A circular segment 10 high over a chord of 40: bulge is height over half the chord.
    strip = (
        (0, 0, 0),
        (20, 0, -0.5),
        (60, 0, 0),
        (80, 0, 0),
        (80, 30, 0),
        (60, 30, -0.5),
        (20, 30, 0),
        (0, 30, 0),
    )
    found = passages(strip).inside
    assert found is not None
    assert 10 == pytest.approx(found.size, abs=ROUNDING)
    assert (40, 15) == pytest.approx(found.at, abs=ROUNDING)


@given(st.floats(1, 20), st.floats(1, 20), st.floats(1, 50), angles, angles)
def test_web_between_round_holes(d: float, e: float, web: float, angle: float, spin: float) -> None:
    """Two round holes are their centres' distance less both radii apart."""
    apart = (d + e) / 2 + web
    one = turned(circle_outline(0, 0, d), spin)
    other = circle_outline(apart * math.cos(angle), apart * math.sin(angle), e)
    assert web == pytest.approx(between(one, other).size, abs=ROUNDING)


@given(st.floats(1, 9), st.floats(5, 35), st.floats(5, 25), angles)
def test_web_from_hole_to_edge(d: float, x: float, y: float, angle: float) -> None:
    """A round hole in a 40 by 30 plate is its centre's distance to the nearest side less its radius from the edge."""
    web = min(x, 40 - x, y, 30 - y) - d / 2
    hole, plate = turned(circle_outline(x, y, d), angle), turned(rectangle(40, 30), angle)
    assert web == pytest.approx(between(hole, plate).size, abs=ROUNDING)


def test_crossing_outlines_have_no_web() -> None:
    """Where a hole breaks through the edge or into another one, nothing is left, whatever crosses what."""
    plate = rectangle(40, 30)
    assert 0 == between(circle_outline(2, 15, 6), plate).size
    assert 0 == between(circle_outline(2, 15, 6), circle_outline(6, 15, 6)).size
    assert 0 == between(moved(rectangle(10, 10), (-5, 10)), plate).size
    assert (0, 20) == pytest.approx(between(moved(rectangle(10, 10), (-5, 10)), plate).at, abs=11)


@given(
    st.lists(bulges, min_size=5, max_size=5),
    st.lists(bulges, min_size=4, max_size=4),
    angles,
    st.floats(0, 40),
)
def test_distance_as_by_chords(one: list[float], other: list[float], angle: float, gap: float) -> None:
    """Shapely finds the same distance between outlines of random arcs, to what 400 chords an arc leave out."""
    five = tuple(
        (20 * math.cos(2 * math.pi * k / 5), 20 * math.sin(2 * math.pi * k / 5), b) for k, b in enumerate(one)
    )
    four = moved(
        turned(tuple((x, y, b) for (x, y, _), b in zip(rectangle(25, 15), other, strict=True)), angle),
        (50 + gap, 3.0),
    )
    found = chords(five).exterior.distance(chords(four).exterior)
    # Sagitta of a chord: an arc's radius is under 200 mm here, its angle under 2.2 rad.
    assert found == pytest.approx(between(five, four).size, abs=200 * (2.2 / 400) ** 2 / 4)


@given(st.lists(bulges, min_size=6, max_size=6), st.floats(-35, 35), st.floats(-35, 35))
def test_inside_as_by_chords(arcs: list[float], x: float, y: float) -> None:
    """Shapely agrees on which points lie inside of outlines of random arcs, but for a hair along the outline."""
    six = tuple(
        (20 * math.cos(math.pi * k / 3), 20 * math.sin(math.pi * k / 3), b * 0.5) for k, b in enumerate(arcs)
    )
    region = chords(six)
    if region.is_valid and region.exterior.distance(Point(x, y)) > 1e-2:
        assert bool(shapely.contains_xy(region, x, y)) == holds(six, (x, y))


@given(st.lists(bulges, min_size=5, max_size=5), angles, places)
def test_turning_keeps_the_shape(arcs: list[float], angle: float, x: float) -> None:
    """Turned and moved, an outline keeps its area, and shapely sees the very same shape turned."""
    five = tuple(
        (20 * math.cos(2 * math.pi * k / 5), 20 * math.sin(2 * math.pi * k / 5), b)
        for k, b in enumerate(arcs)
    )
    there = moved(turned(five, angle), (x, 7.0))
    assert outline_area(five) == pytest.approx(outline_area(there), rel=1e-9)
    expected = shapely.affinity.translate(
        shapely.affinity.rotate(chords(five), angle, origin=(0, 0), use_radians=True), x, 7.0
    )
    got = np.array(chords(there).exterior.coords)
    assert np.array(expected.exterior.coords) == pytest.approx(got, abs=1e-6)


@given(st.lists(st.tuples(places, places), min_size=4, max_size=9))
def test_smallest_box(points: list[tuple[float, float]]) -> None:
    """The first way to lay a convex outline has the area of shapely's smallest rectangle round it."""
    hull = shapely.convex_hull(shapely.MultiPoint(points))
    if hull.geom_type != "Polygon" or hull.area < 1:
        return
    outline = tuple((x, y, 0.0) for x, y in shapely.geometry.polygon.orient(hull).exterior.coords[:-1])
    first = ways_to_lay(outline)[0]
    assert hull.minimum_rotated_rectangle.area == pytest.approx(first.across * first.deep, rel=1e-6, abs=2e-3)
    (left, low), (right, high) = outline_box(turned(outline, first.angle))
    assert (right - left, high - low) == pytest.approx((first.across, first.deep), abs=ROUNDING)


@given(
    st.lists(st.tuples(st.floats(2, 30), st.floats(3, 40)), min_size=2, max_size=6), st.floats(1, 60), angles
)
def test_looking_only_for_narrow_places(teeth: list[tuple[float, float]], near: float, angle: float) -> None:
    """Looking for what is under a limit alone finds all of it: in random combs, whose teeth and gaps are the widths."""
    points, x = [(0.0, 0.0)], 0.0
    for tooth, gap in teeth:
        points += [(x, 50.0), (x + tooth, 50.0), (x + tooth, 10.0), (x + tooth + gap, 10.0)]
        x += tooth + gap
    points = [*points, (x, 50.0), (x + 20.0, 50.0), (x + 20.0, 0.0)]
    comb = turned(tuple((px, py, 0.0) for px, py in points), angle)
    found = passages(comb, near)
    # The back is 10 mm deep.
    for width, expected in (
        (found.inside, min(10.0, *(tooth for tooth, _ in teeth))),
        (found.outside, min(gap for _, gap in teeth)),
    ):
        if expected < near - 1e-6:
            assert width is not None
            assert expected == pytest.approx(width.size, abs=1e-9)
        elif expected > near + 1e-6:
            assert width is None
