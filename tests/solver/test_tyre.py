"""The tyre's size string and its solid."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, Point, Polygon, box, union_all

from solver.car import Wheel
from solver.errors import TyreSizeError
from solver.tyre import INCH, Tyre, nearest_point_distance, parse_size, tyre_of
from solver.vectors import Array

TYRES = [
    tyre_of(Wheel("225/45R17", 7.5 * INCH, 30.0)),
    tyre_of(Wheel("195/60R15", 6.5 * INCH, 25.0)),
    tyre_of(Wheel("255/35R18", 9.0 * INCH, 20.0)).grown(),
    # Section lower than wide by far: the shoulder's radius is a quarter of the height.
    Tyre("thin", 500.0, 240.0, 460.0),
    # Narrow and high: the shoulder's radius is a third of the width.
    Tyre("narrow", 700.0, 90.0, 300.0),
]
BEST = 0.1875
"""mm, half the last pitch of the search along a segment: 24 / 4³ / 2."""

tyres = st.sampled_from(TYRES)
place = st.floats(-520.0, 520.0)
points = st.tuples(place, place, place).map(np.array)
axes = st.tuples(*[st.floats(-1.0, 1.0)] * 3).map(np.array).filter(lambda v: np.linalg.norm(v) > 0.1)


def half_section(tyre: Tyre) -> Polygon:
    """The solid cut in half by a plane through its axis: axial × radial, as a polygon."""
    half, top, low, r = (
        tyre.section_width / 2,
        tyre.outside_diameter / 2,
        tyre.rim_diameter / 2,
        tyre.shoulder_radius,
    )
    discs = [Point(x, top - r).buffer(r, quad_segs=500) for x in (r - half, half - r)]
    return union_all([box(-half, low, half, top - r), box(r - half, low, half - r, top), *discs])


def by_section(tyre: Tyre, point: Array, centre: Array, axis: Array) -> float:
    """Signed distance to the polygon in the plane through axis and point."""
    along = float((point - centre) @ axis)
    radial = float(np.linalg.norm(point - centre - along * axis))
    section, where = half_section(tyre), Point(along, radial)
    inside = section.contains(where)
    return -section.exterior.distance(where) if inside else section.distance(where)


@settings(max_examples=200)
@given(tyre=tyres, point=points, centre=points, axis=axes)
def test_distance_in_the_section(tyre: Tyre, point: Array, centre: Array, axis: Array) -> None:
    """The signed distance is the one in the half section, inside and outside.

    The polygon's arcs have 500 edges a quarter, which leave them at most 2e-6 of their radius.
    """
    axis = axis / np.linalg.norm(axis)
    found = float(tyre.distance(centre + point, centre, axis))
    assert by_section(tyre, centre + point, centre, axis) == pytest.approx(found, abs=1e-4)


@pytest.mark.parametrize("tyre", TYRES, ids=lambda tyre: tyre.size)
def test_distance_to_the_surface(tyre: Tyre) -> None:
    """In space, on a tilted wheel, the distance is that to the nearest of many points on the surface."""
    axis = np.array([0.3, 0.9, -0.2]) / np.linalg.norm([0.3, 0.9, -0.2])
    ahead = np.cross(axis, [0.0, 0.0, 1.0])
    ahead /= np.linalg.norm(ahead)
    up = np.cross(axis, ahead)
    outline = half_section(tyre).exterior
    pitch = 4.0
    section = np.array([outline.interpolate(s).coords[0] for s in np.arange(0.0, outline.length, pitch)])
    turn = np.arange(0.0, 2 * math.pi, pitch / (tyre.outside_diameter / 2))[:, None, None]
    around = np.cos(turn) * ahead + np.sin(turn) * up
    surface = (section[:, :1] * axis + section[:, 1:] * around).reshape(-1, 3)
    generator = np.random.default_rng(7)
    for point in generator.uniform(-450.0, 450.0, (60, 3)):
        found = float(tyre.distance(point, np.zeros(3), axis))
        nearest = float(np.linalg.norm(surface - point, axis=1).min())
        # The nearest sample is within half a pitch both ways of the nearest point, so never nearer than it.
        assert -1e-4 < nearest - abs(found) < pitch / math.sqrt(2)


def test_distance_on_the_surface() -> None:
    """Zero at bead, side wall, tread and the middle of the shoulder; known inside and outside of them."""
    tyre = TYRES[0]
    half, top, low, r = tyre.section_width / 2, tyre.outside_diameter / 2, 431.8 / 2, tyre.shoulder_radius
    diagonal = r / math.sqrt(2)
    for (axial, radial), expected in {
        (0.0, top): 0.0,
        (half, top - r - 5): 0.0,
        (20.0, low): 0.0,
        (half - r + diagonal, top - r + diagonal): 0.0,
        (0.0, top + 12): 12.0,
        (-half - 9, low + 20): 9.0,
        (10.0, low - 30): 30.0,
        (half + 3, low - 4): 5.0,
        (0.0, top - 7): -7.0,
        (half - 2, low + 30): -2.0,
        (0.0, 0.0): low,
        (half + 40, 0.0): math.hypot(40, low),
    }.items():
        found = tyre.distance(np.array([radial, axial, 0.0]), np.zeros(3), np.array([0.0, 1.0, 0.0]))
        # Sums of some hundred mm, to rounding.
        assert expected == pytest.approx(float(found), abs=1e-10), (axial, radial)


@settings(max_examples=150)
@given(tyre=tyres, ends=st.lists(st.tuples(points, points), min_size=1, max_size=6), axis=axes)
def test_segment(tyre: Tyre, ends: list[tuple[Array, Array]], axis: Array) -> None:
    """Never lower than the least distance along a segment, and higher by at most 0.19 mm, anywhere."""
    axis = axis / np.linalg.norm(axis)
    start, end = (np.array([pair[i] for pair in ends]) for i in (0, 1))
    found = nearest_point_distance(tyre, start, end, np.zeros(3), axis)
    share = np.linspace(0, 1, 6001)[:, None, None]
    dense = tyre.distance(start + (end - start) * share, np.zeros(3), axis).min(axis=0)
    # Samples up to 0.3 mm apart are off by up to half of that.
    spacing = np.linalg.norm(end - start, axis=1) / 6000 / 2
    assert np.all(found >= dense - spacing - 1e-9)
    assert np.all(found <= dense + BEST + 1e-9)


@pytest.mark.parametrize(
    ("start", "end"),
    [
        # Past one shoulder first, then past the other: two minima that are nearly as low as each other.
        ((361.9, 335.2, 275.6), (-116.2, -362.7, -471.6)),
        # A chord inside of the rim, near the beads with both ends.
        ((-120.0, 87.8, -159.1), (110.9, -129.2, 182.9)),
        # Through the tyre on both sides.
        ((-440.1, 55.5, 325.1), (296.5, 71.8, -352.4)),
    ],
)
def test_segment_with_several_minima(start: tuple[float, ...], end: tuple[float, ...]) -> None:
    """Where the distance has more than one minimum along a segment the lowest one is found."""
    a, b, axis = np.array(start), np.array(end), np.array([0.0, 1.0, 0.0])
    found = float(nearest_point_distance(TYRES[0], a, b, np.zeros(3), axis))
    dense = TYRES[0].distance(a + (b - a) * np.linspace(0, 1, 100_001)[:, None], np.zeros(3), axis).min()
    # The dense samples are 0.01 mm apart.
    assert -0.005 < found - float(dense) < BEST


def test_segment_without_length() -> None:
    """A segment of no length is a point."""
    point, axis = np.array([100.0, 150.0, 260.0]), np.array([0.0, 1.0, 0.0])
    found = nearest_point_distance(TYRES[0], point, point, np.zeros(3), axis)
    assert float(TYRES[0].distance(point, np.zeros(3), axis)) == float(found)


def test_segment_where_a_pose_is_missing() -> None:
    """A pose that doesn't exist gives NaN and leaves the others' distances as they are alone."""
    axis = np.broadcast_to([0.0, 1.0, 0.0], (3, 3))
    start = np.array([[300.0, 200.0, 50.0], [np.nan] * 3, [-80.0, -300.0, 90.0]])
    end = np.array([[250.0, -200.0, 150.0], [np.nan] * 3, [-80.0, -60.0, 90.0]])
    found = nearest_point_distance(TYRES[0], start, end, np.zeros((3, 3)), axis)
    assert np.isnan(found[1])
    for i in (0, 2):
        alone = nearest_point_distance(TYRES[0], start[i], end[i], np.zeros(3), axis[i])
        # The first pitch follows the longest segment, so both are just within the same bound.
        assert float(alone) == pytest.approx(float(found[i]), abs=BEST)


def test_shapely_agrees_on_a_segment() -> None:
    """A segment in a plane through the axis, measured by Shapely against the half section."""
    tyre, axis = TYRES[0], np.array([0.0, 1.0, 0.0])
    ends = [(-180.0, 200.0), (-60.0, 120.0)]
    start, end = (np.array([radial, axial, 0.0]) for axial, radial in ends)
    expected = LineString(ends).distance(half_section(tyre))
    found = float(nearest_point_distance(tyre, start, end, np.zeros(3), axis))
    assert 0 <= found - expected < BEST
    assert MultiPoint(ends).distance(half_section(tyre)) > expected


def test_solid_contains_a_rounder_tyre() -> None:
    """No point of an elliptic section of the same width and height is outside of the solid."""
    tyre = TYRES[0]
    angle = np.linspace(0, 2 * math.pi, 721)
    middle = (tyre.outside_diameter + tyre.rim_diameter) / 4
    axial = tyre.section_width / 2 * np.cos(angle)
    radial = middle + tyre.section_height / 2 * np.sin(angle)
    ellipse = np.stack([radial, axial, np.zeros_like(axial)], axis=-1)
    assert tyre.distance(ellipse, np.zeros(3), np.array([0.0, 1.0, 0.0])).max() < 1e-9


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("225/45R17", (225, 45, 17)),
        ("P205/60R15", (205, 60, 15)),
        (" 195 / 60 r 15 ", (195, 60, 15)),
        ("245/40ZR18 97Y", (245, 40, 18)),
        ("225/45R17 91W", (225, 45, 17)),
    ],
)
def test_sizes(text: str, expected: tuple[int, int, int]) -> None:
    """Sizes as they stand on side walls."""
    assert expected == parse_size(text)


@pytest.mark.parametrize(
    "text", ["", "225/45", "225-45-17", "22/45R17", "225/45D17", "9.00R20", "225/45R17 x", "225/45R17.5"]
)
def test_no_size(text: str) -> None:
    """What is no size is refused, quoted, and told how a size looks."""
    with pytest.raises(TyreSizeError, match=r"is no tyre size; expected .* 225/45R17") as caught:
        parse_size(text)
    assert repr(text) in str(caught.value)


@pytest.mark.parametrize(
    "text", ["227/45R17", "105/45R17", "445/45R17", "225/15R17", "225/90R17", "225/45R26"]
)
def test_size_that_is_not_made(text: str) -> None:
    """Widths, aspect ratios and rims that don't exist are refused with the range."""
    with pytest.raises(TyreSizeError, match="outside of what is made: width 125 to 395"):
        parse_size(text)


def test_measured_sizes_go_first() -> None:
    """Diameter, section and loaded radius as measured replace those of the size string."""
    wheel = Wheel("225/45R17", 8.0 * INCH, 30.0, 631.0, 228.0, 300.5)
    tyre = tyre_of(wheel)
    assert (631.0, 228.0, 300.5) == (tyre.outside_diameter, tyre.section_width, tyre.loaded_radius)
    assert 431.8 == pytest.approx(tyre.rim_diameter, abs=1e-9)
    with pytest.raises(TyreSizeError, match=r"outside diameter 400\.0 mm does not fit a 17 in rim"):
        tyre_of(replace(wheel, outside_diameter=400.0))
