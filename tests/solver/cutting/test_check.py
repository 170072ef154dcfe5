"""What may not be cut: each limit on both of its sides, in every process."""

from __future__ import annotations

import pytest

from solver.cutting.check import CuttingFinding, cutting_findings
from solver.cutting.processes import process
from solver.families.base import FlatPattern, circle_outline
from solver.tables import rows

PLATE = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 60.0, 0.0), (0.0, 60.0, 0.0))


def found(pattern: FlatPattern, name: str = "waterjet") -> list[CuttingFinding]:
    """Findings by a process of that name."""
    return list(cutting_findings(pattern, process(name)))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "thickness", "hole", "web"),
    [
        ("waterjet", 6.0, 6.0, 6.0),
        ("waterjet", 1.0, 1.5, 1.0),
        ("laser", 6.0, 6.0, 6.0),
        ("laser", 0.8, 1.0, 1.0),
        ("plasma", 6.0, 12.0, 9.0),
        ("plasma", 1.5, 4.0, 3.0),
    ],
)
def test_least_hole_and_web(name: str, thickness: float, hole: float, web: float) -> None:
    """A hole and two webs of just the limit pass, and each is found when it is a hundredth under it."""

    # One hole at the web's width from the edge, another at the same from the first.
    def plate(diameter: float, to_edge: float, between: float) -> FlatPattern:
        first = circle_outline(to_edge + diameter / 2, 30, diameter)
        second = circle_outline(to_edge + 1.5 * diameter + between, 30, diameter)
        return FlatPattern(thickness, (PLATE,), (first, second))

    assert [] == found(plate(hole, web, web), name)
    assert ["hole", "hole"] == [f.kind for f in found(plate(hole - 0.01, web, web), name)]
    (edge,) = found(plate(hole, web - 0.01, web), name)
    assert ("web", "the web between hole 1 and the outline") == (edge.kind, edge.what)
    assert web - 0.01 == pytest.approx(edge.size, abs=1e-9)
    assert web == edge.least
    (middle,) = found(plate(hole, web, web - 0.01), name)
    assert ("web", "the web between holes 1 and 2") == (middle.kind, middle.what)
    assert (1.5 * web + hole - 0.005, 30) == pytest.approx(middle.at, abs=1e-9)


def test_slot_in_the_middle_of_a_plate() -> None:
    """A slot is as wide as its sides are apart, not as long as it is."""
    slot = ((20.0, 20.0, 0.0), (60.0, 20.0, 1.0), (60.0, 23.0, 0.0), (20.0, 23.0, 1.0))
    (hole,) = found(FlatPattern(4.0, (PLATE,), (slot,)))
    assert ("hole", "hole 1") == (hole.kind, hole.what)
    assert 3 == pytest.approx(hole.size, abs=1e-9)
    assert [] == found(FlatPattern(3.0, (PLATE,), (slot,)))


def test_holes_alike_are_told_once() -> None:
    """Three in a row and one further on are one sentence, another size is its own; a single one says where it is."""
    inner = [circle_outline(12.0 + 12 * i, 30, 3.0) for i in range(6)]
    inner[3] = circle_outline(48.0, 30, 2.0)
    inner[4] = circle_outline(60.0, 30, 5.0)
    sentences = {f.sentence for f in found(FlatPattern(4.0, (PLATE,), tuple(inner)))}
    rule = "4.00 mm is the least (1 × thickness for holes by waterjet)"
    assert sentences == {
        f"holes 1 to 3 and 6 are 3.00 mm wide, {rule}: drill or mill them, or ask the shop",
        f"hole 4 is 2.00 mm wide, {rule}, at x 48.0 mm, y 30.0 mm of the blank: drill or mill it, or ask the shop",
    }


def test_metal_that_reaches_into_a_hole() -> None:
    """The tongue of a U-shaped cut is a web like any other."""
    u = (
        (20.0, 10.0, 0.0), (60.0, 10.0, 0.0), (60.0, 50.0, 0.0), (42.0, 50.0, 0.0), (42.0, 20.0, 0.0),
        (38.0, 20.0, 0.0), (38.0, 50.0, 0.0), (20.0, 50.0, 0.0),
    )  # fmt: skip
    (tongue,) = found(FlatPattern(5.0, (PLATE,), (u,)))
    assert ("web", 4.0) == (tongue.kind, pytest.approx(tongue.size, abs=1e-9))


def test_notch_needs_no_more_than_the_kerf() -> None:
    """A notch of 1.5 mm in 6 mm plate can be cut by water, one of 1.0 mm can't; a laser cuts both."""

    def notched(width: float) -> FlatPattern:
        outer = (
            *PLATE[:3],
            (50 + width, 60.0, 0.0),
            (50 + width, 40.0, 0.0),
            (50.0, 40.0, 0.0),
            (50.0, 60.0, 0.0),
        )
        return FlatPattern(6.0, ((*outer, PLATE[3]),))

    assert [] == found(notched(1.5))
    (notch,) = found(notched(1.0))
    assert ("notch", 1.2) == (notch.kind, notch.least)
    assert [] == found(notched(1.0), "laser")


def test_each_hole_belongs_to_one_outline() -> None:
    """A hole in one of two pieces is not measured against the other, though the other's box holds it."""
    # An L whose box holds the second piece.
    ell = (
        (0.0, 0.0, 0.0),
        (100.0, 0.0, 0.0),
        (100.0, 20.0, 0.0),
        (20.0, 20.0, 0.0),
        (20.0, 90.0, 0.0),
        (0.0, 90.0, 0.0),
    )
    small = ((40.0, 40.0, 0.0), (80.0, 40.0, 0.0), (80.0, 80.0, 0.0), (40.0, 80.0, 0.0))
    (edge,) = found(FlatPattern(6.0, (ell, small), (circle_outline(50, 60, 10),)))
    assert "the web between hole 1 and outline 2" == edge.what
    assert 5 == pytest.approx(edge.size, abs=1e-9)


def test_sentence_tells_all() -> None:
    """Size, limit, where it comes from, the place and what to do."""
    (hole,) = found(FlatPattern(6.0, (PLATE,), (circle_outline(50, 30, 5),)))
    assert (
        "hole 1 is 5.00 mm wide, 6.00 mm is the least (1 × thickness for holes by waterjet), at x 50.0 mm, y 30.0 mm "
        "of the blank: drill or mill it, or ask the shop" == hole.sentence
    )
    (thin,) = found(FlatPattern(1.0, (PLATE,), (circle_outline(50, 30, 1.2),)))
    assert "1.50 mm is the least (least of holes by waterjet in any thickness)" in thin.sentence


def test_every_number_says_where_it_is_from() -> None:
    """Kerf, tolerance, hole and web of each process have a source or say that they have none."""
    for row in rows("cutting_processes"):
        assert all(row[f"{what}_source"] for what in ("hole", "web", "kerf", "tolerance"))
        way = process(row["process"])  # type: ignore[arg-type]
        assert 0 < way.kerf[0] < way.kerf[1]
        # A hole that its own kerf fills can't be a hole.
        assert way.hole_floor > way.kerf[1]
