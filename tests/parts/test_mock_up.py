"""The words sunk into mock-ups."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import given, settings
from shapely import MultiPoint, Point, Polygon, box

from parts import lettering, measure
from parts.catalogue import build
from parts.kernel import cq
from parts.mock_up import DEPTH, UNITS, mock_up
from solver.families.closure_plate import ClosurePlateDimensions
from tests.parts.examples import BOLTED_STOP, PAN, RECTANGULAR_SLEEVE, RING, ROUND_SLEEVE, WELDED_STOP
from tests.parts.strategies import closure_plates


def _area_in_units() -> float:
    """Of all twelve letters, by an independent polygon library."""
    total = 0.0
    for letter, count in Counter("FITCHECKONLY").items():
        shape = Polygon(lettering.LETTERS[letter], [lettering.ISLANDS[letter]] if letter in "O" else [])
        assert shape.is_valid
        total += count * shape.area
    return total


@pytest.mark.parametrize(
    "dimensions", [RECTANGULAR_SLEEVE, BOLTED_STOP, WELDED_STOP, PAN], ids=lambda d: d.family
)
def test_words_are_sunk(dimensions: PAN.__class__) -> None:
    """One valid solid, unchanged outside, without just the letters' metal at one of the known sizes."""
    solid = build(dimensions)
    found = mock_up(solid)
    assert found.lettered
    assert found.solid.isValid()
    assert measure.box(solid).size == pytest.approx(measure.box(found.solid).size, abs=1e-6)
    removed = measure.volume(solid) - measure.volume(found.solid)
    sizes = [_area_in_units() * unit**2 * DEPTH for unit in UNITS]
    # Both volumes agree with closed forms to 1e-9; some 1e5 mm³ leave 1e-4 mm³ for their difference.
    assert any(removed == pytest.approx(size, abs=1e-3) for size in sizes)


def test_letters_read_from_outside() -> None:
    """On the upper face of a bar, seen from above, the words run from left to right and stand upright."""
    found = mock_up(cq.Solid.makeBox(300, 30, 5)).solid
    sunk = [f for f in found.Faces() if f.geomType() == "PLANE" and f.Center().z == pytest.approx(5 - DEPTH)]
    sunk.sort(key=lambda face: face.Center().x)
    # There is room for the widest stroke in one line. Areas tell the letters apart.
    area = {letter: Polygon(points).area for letter, points in lettering.LETTERS.items()}
    area["O"] -= Polygon(lettering.ISLANDS["O"]).area
    expected = [area[letter] * UNITS[0] ** 2 for letter in "FITCHECKONLY"]
    assert expected == pytest.approx([face.Area() for face in sunk], rel=1e-6)
    # F is heavier at the left and at the top, Y at the top: neither turned over nor mirrored.
    for face, to_left in ((sunk[0], True), (sunk[-1], False)):
        bounds = face.BoundingBox()
        assert face.Center().y > (bounds.ymin + bounds.ymax) / 2 + 0.1
        assert to_left == (face.Center().x < (bounds.xmin + bounds.xmax) / 2 - 0.1)


def test_no_room() -> None:
    """A ring and a round tube have no flat face with room; they come back as they are."""
    for dimensions in (RING, ROUND_SLEEVE):
        solid = build(dimensions)
        found = mock_up(solid)
        assert not found.lettered
        assert found.solid is solid


def test_words_that_would_break_through_are_not_used() -> None:
    """A floor thinner than the letters are deep stays whole."""
    sheet = cq.Solid.makeBox(200, 100, 0.3)
    assert not mock_up(sheet).lettered


@given(closure_plates(1))
@settings(max_examples=15)
def test_any_pan(dimensions: ClosurePlateDimensions) -> None:
    """On any pan with words, they stay clear of the drain hole and inside the floor."""
    found = mock_up(build(dimensions))
    floor = Polygon(dimensions.outline).buffer(1e-6)
    drain = Point(dimensions.drain_x, dimensions.drain_y).buffer(dimensions.drain_diameter / 2)
    height = dimensions.thickness - DEPTH
    for face in found.solid.Faces():
        if face.geomType() == "PLANE" and face.Center().z == pytest.approx(height, abs=1e-6):
            letter = MultiPoint([vertex.toTuple()[:2] for vertex in face.Vertices()]).convex_hull
            assert floor.contains(letter)
            assert not drain.intersects(letter)


@pytest.mark.parametrize("lines", lettering.LAYOUTS, ids=len)
def test_letters_do_not_touch(lines: tuple[str, ...]) -> None:
    """All twelve letters lie inside their block, a stroke apart."""
    letters = [Polygon([(x, y) for x, y, _ in glyph.outline]) for glyph in lettering.glyphs(lines, 2.0)]
    width, height = lettering.block_size(lines)
    block = box(-width, -height, width, height)
    assert 12 == len(letters)
    assert all(block.buffer(1e-9).contains(letter) for letter in letters)
    assert block.bounds == pytest.approx(_union_bounds(letters))
    assert all(a.distance(b) >= 2.0 - 1e-9 for a, b in itertools.combinations(letters, 2))


def _union_bounds(shapes: list[Polygon]) -> tuple[float, ...]:
    lows = zip(*(shape.bounds[:2] for shape in shapes), strict=True)
    highs = zip(*(shape.bounds[2:] for shape in shapes), strict=True)
    return (*map(min, lows), *map(max, highs))
