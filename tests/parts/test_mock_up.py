"""Mock-ups: fit, words, how they lie, in how many pieces; by a mesh checker that had no part in making them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from parts import lettering
from parts.engraving import DEPTH, UNITS, engraved
from parts.mock_up import MockUp, Piece, mock_up
from parts.solid_mesh import body_of, corners_of
from parts.stl import TOLERANCE
from solver.families.base import PartDimensions
from solver.printing import Printing, usual_printing
from tests.parts.examples import BOLTED_STOP, EXAMPLES, PAN, RECTANGULAR_SLEEVE, RING, ROUND_SLEEVE, TROUGH

LARGE = Printing("filament", (600.0, 600.0, 600.0), 0.9, 0.25)
SMALL = Printing("filament", (80.0, 80.0, 80.0), 0.9, 0.25)


def independent(piece: Piece) -> trimesh.Trimesh:
    """A piece as the checker sees it."""
    return trimesh.Trimesh(**trimesh.triangles.to_kwargs(piece.triangles.astype(float)))


def check_piece(piece: Piece, bed: tuple[float, float, float]) -> trimesh.Trimesh:
    """Closed, one body, right side out, on the bed and not beyond it."""
    found = independent(piece)
    assert found.is_watertight
    assert found.is_winding_consistent
    assert 1 == found.body_count
    assert piece.volume == pytest.approx(found.volume, rel=1e-4)
    assert np.zeros(3) == pytest.approx(found.bounds[0], abs=1e-6)
    assert (found.extents <= np.array(bed) + 2e-3).all()
    return found


def words_area(number: str) -> float:
    """Of all letters of the warning and a number, in strokes squared, by the checker's own polygons."""
    from shapely import Polygon

    text = (lettering.WARNING + number.upper()).replace(" ", "")
    shapes = [Polygon(lettering.LETTERS[c], lettering.ISLANDS.get(c, ())) for c in text]
    assert all(shape.is_valid for shape in shapes)
    return float(sum(shape.area for shape in shapes))


@pytest.fixture(scope="module", params=EXAMPLES)
def made(request: pytest.FixtureRequest) -> tuple[PartDimensions, MockUp]:
    """Each example as a mock-up for a large bed."""
    dimensions = EXAMPLES[request.param]
    return dimensions, mock_up(dimensions, f"{request.param}-A", LARGE)


def test_volume_is_explained(made: tuple[PartDimensions, MockUp]) -> None:
    """With its clearance in closed form, less words sunk to their depth and pin holes, or plus the tag."""
    dimensions, found = made
    bodies = [piece for piece in found.pieces if piece.lettered]
    total = sum(check_piece(piece, LARGE.bed).volume for piece in bodies)
    whole = dimensions.for_printing(LARGE.clearance).volume
    names = ["" if not piece.name else f" {piece.name}" for piece in bodies]
    letters = [words_area(found.number + name) for name in names]
    assert total != pytest.approx(whole, abs=1.0)
    if any(piece.lettered == "tag" for piece in bodies):
        # Words are 0.8 mm strokes, the plate 1.6 mm thick with 1.5 strokes round them; the neck is under 10 mm³.
        width, height = lettering.block_size(lettering.layouts(found.number)[1])
        tag = (width + 3) * (height + 3) * 0.64 * 1.6 - letters[0] * 0.64 * DEPTH
        assert tag == pytest.approx(total - whole, abs=10.0 + TOLERANCE * 500)
        return
    holes = [piece for piece in found.pieces if piece.name.startswith("pin")]
    drilled = sum(
        piece.count * math.pi / 4 * (piece.size[0] + 2 * LARGE.clearance) ** 2 * (piece.size[2] + 0.5)
        for piece in holes
    )
    # A round face is meshed by chords that stand off it by up to the tolerance.
    leeway = TOLERANCE * (3000.0 if dimensions is ROUND_SLEEVE else 300.0)
    low = whole - drilled * 1.01 - sum(letters) * max(UNITS) ** 2 * (DEPTH + 0.3) - leeway
    high = whole - drilled * 0.99 - sum(letters) * min(UNITS) ** 2 * DEPTH + leeway
    assert low <= total <= high


def test_it_lies_flat(made: tuple[PartDimensions, MockUp]) -> None:
    """A tenth or more of what is over the bed lies on it: by the checker's faces at z = 0."""
    for piece in made[1].pieces:
        found = independent(piece)
        down = (found.vertices[found.faces][..., 2] < 1e-3).all(axis=1)
        assert piece.stands
        assert found.area_faces[down].sum() > 0.1 * found.extents[0] * found.extents[1] * 0.3


def test_clearance_opens_holes_and_mating_faces() -> None:
    """0.25 mm a side: a 10 mm bore has 10.5 mm, a 30 mm outside 29.5 mm; a sleeve for 40 mm measures 40.5 mm."""
    ring = RING.for_printing(0.25)
    assert (10.5, 29.5, 6.0) == (ring.bore_diameter, ring.outside_diameter, ring.thickness)
    sleeve = RECTANGULAR_SLEEVE.for_printing(0.25)
    assert (40.5, 30.5) == (sleeve.inside_width, sleeve.inside_height)
    assert RECTANGULAR_SLEEVE.envelope == sleeve.envelope
    assert (10.5, 20.0) == (BOLTED_STOP.for_printing(0.25).bolt_hole_diameter, BOLTED_STOP.mount_x)
    pan = PAN.for_printing(0.25)
    assert np.allclose([(0.25, 0.25), (99.75, 0.25), (99.75, 59.75), (0.25, 59.75)], pan.outline)
    assert np.allclose([(0.25, 12.0), (99.75, 12.0)], pan.profile)
    # The trough's second facet rises by 100/√3 over 100 mm: 0.25 mm sooner it is 0.25/√3 deeper.
    trough = TROUGH.for_printing(0.25)
    assert np.allclose((199.75, 80 - 99.75 / math.sqrt(3)), trough.profile[-1])
    assert RING == RING.for_printing(0.0)


def test_bore_of_the_print() -> None:
    """The ring's mesh has its bore 0.25 mm further out, and its thickness as it was."""
    (piece,) = mock_up(RING, "ring-A", LARGE).pieces
    found = independent(piece)
    section = found.section(plane_origin=(0, 0, 3.0), plane_normal=(0, 0, 1))
    radii = [np.ptp(np.asarray(loop)[:, :2], axis=0).mean() for loop in section.discrete]
    assert 10.5 == pytest.approx(min(radii), abs=2 * TOLERANCE)
    assert 6.0 == pytest.approx(found.extents[2], abs=1e-4)


def test_sleeve_goes_round_an_arm() -> None:
    """It comes in halves that lie on their cut, with two pins in holes that leave 0.25 mm a side."""
    found = mock_up(ROUND_SLEEVE, "arm-sleeve-A", LARGE)
    assert ["1 of 2", "2 of 2"] == [piece.name for piece in found.pieces[:2]]
    assert all(piece.size[2] == pytest.approx(24.0, abs=TOLERANCE) for piece in found.pieces[:2])
    (pin,) = found.pieces[2:]
    assert 2 == pin.count


@pytest.mark.parametrize("name", EXAMPLES)
def test_small_bed(name: str) -> None:
    """On a bed of 80 mm every piece fits, has its words, and a cut sheet comes with straps."""
    found = mock_up(EXAMPLES[name], f"{name}-A", SMALL)
    bodies = [piece for piece in found.pieces if piece.lettered]
    for piece in found.pieces:
        check_piece(piece, SMALL.bed)
    assert [f"{i} of {len(bodies)}" for i in range(1, len(bodies) + 1)] == [
        piece.name or "1 of 1" for piece in bodies
    ]
    if EXAMPLES[name] is PAN:
        assert [piece.name for piece in found.pieces if not piece.lettered] == ["strap for 1 mm"]


def test_askew_with_room_round_it() -> None:
    """Longer than the bed, a sleeve lies corner to corner: 148 mm with its ends at 45° to it take 148 / √2 either way.

    Less turned it would fit too, with nothing left for the line that a slicer puts round a print.
    """
    found = mock_up(ROUND_SLEEVE, "arm-sleeve-A", Printing("filament", (140.0, 140.0, 80.0), 0.9, 0.25))
    halves = [piece for piece in found.pieces if piece.lettered]
    assert 2 == len(halves)
    for piece in halves:
        check_piece(piece, (140.0, 140.0, 80.0))
        assert [148 / math.sqrt(2)] * 2 == pytest.approx(piece.size[:2], abs=0.5)


def test_a_bed_too_small_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where cutting goes no further, pieces that are larger than the bed say so, and all of the part is there."""
    monkeypatch.setattr("parts.mock_up.MOST_PIECES", 0)
    bodies = [piece for piece in mock_up(PAN, "pan-A", SMALL).pieces if piece.lettered]
    assert [False] == [piece.fits for piece in bodies]


def test_strap_fits_its_holes() -> None:
    """Its pins are 4 mm and 15 mm apart, as the holes are, and as long as the sheet is thick."""
    found = mock_up(PAN, "pan-A", SMALL)
    strap = independent(found.pieces[-1])
    tips = strap.vertices[strap.vertices[:, 2] > strap.extents[2] - 1e-3]
    assert 1.0 + 2.0 == pytest.approx(strap.extents[2], abs=1e-4)
    left, right = tips[tips[:, 0] < 15], tips[tips[:, 0] > 15]
    assert 15.0 == pytest.approx(right[:, 0].mean() - left[:, 0].mean(), abs=1e-3)
    assert 4.0 == pytest.approx(np.ptp(left[:, 0]), abs=0.02)


def test_thin_walls_are_told() -> None:
    """A sheet of 1 mm is no thinner than two lines of 0.45 mm, and thinner than two of 0.6 mm."""
    fine = mock_up(PAN, "pan-A", LARGE)
    assert (1.0, False) == (pytest.approx(fine.wall, abs=TOLERANCE), fine.thin)
    coarse = mock_up(PAN, "pan-A", Printing("filament", LARGE.bed, 2 * 0.6, 0.25))
    assert coarse.thin


def test_words_read_from_outside() -> None:
    """On the upper face of a bar, seen from above, F is heavier at the left and top: neither turned nor mirrored."""
    bar = trimesh.creation.box((300.0, 30.0, 5.0))
    found = engraved(body_of(np.asarray(bar.triangles, float)), (("F",),))
    assert found is not None
    corners = corners_of(found)
    floor = corners[(np.abs(corners[..., 2] - (2.5 - DEPTH)) < 1e-6).all(axis=1)]
    areas = np.linalg.norm(np.cross(floor[:, 1] - floor[:, 0], floor[:, 2] - floor[:, 0]), axis=1) / 2
    middle = (floor.mean(axis=1) * areas[:, None]).sum(axis=0) / areas.sum()
    low, high = floor.min(axis=(0, 1)), floor.max(axis=(0, 1))
    assert middle[0] < (low[0] + high[0]) / 2 - 0.1
    assert middle[1] > (low[1] + high[1]) / 2 + 0.1


def test_words_that_would_break_through_are_not_used() -> None:
    """A sheet thinner than the letters are deep stays whole."""
    sheet = trimesh.creation.box((200.0, 100.0, 0.3))
    assert engraved(body_of(np.asarray(sheet.triangles, float)), lettering.layouts("x-A")) is None


def test_no_words_on_a_face_that_mates() -> None:
    """A bar that is held all round takes none; with its top free they are there, and only there."""
    bar = body_of(np.asarray(trimesh.creation.box((300.0, 30.0, 5.0)).triangles, float))
    assert engraved(bar, (("F",),), mates=lambda point, normal: True) is None
    found = engraved(bar, (("F",),), mates=lambda point, normal: normal[2] < 0.9)
    assert found is not None
    changed = corners_of(found)[..., 2]
    assert {2.5, 2.5 - DEPTH, -2.5} == set(np.round(np.unique(changed), 9))


def test_printer_of_the_table() -> None:
    """Filament: 0.25 mm a side, two lines of 0.45 mm; what is known goes first."""
    assert Printing("filament", (220.0, 220.0, 250.0), 0.9, 0.25) == usual_printing()
    own = usual_printing("resin", (120.0, 68.0, 150.0), None, 0.1)
    assert Printing("resin", (120.0, 68.0, 150.0), 0.8, 0.1) == own
    assert 0.8 == usual_printing(line_width=0.4).least_wall


def test_same_mesh_again() -> None:
    """A mock-up made twice in one process has the same bytes."""
    first, second = (mock_up(BOLTED_STOP, "x-A", LARGE).pieces[0].triangles for _ in range(2))
    assert first.tobytes() == second.tobytes()
