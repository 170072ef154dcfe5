"""Marking aids of a job: called for by its changes, of the solved sizes, and refused plainly where something lacks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pdfplumber
import pytest

from locksweep.building import BuildResult
from locksweep.building.paper import paper_template, write_paper
from locksweep.building.part_files import AS_USUAL, PartFiles
from locksweep.job import parse_job
from locksweep.job.findings import JobFindingsError
from locksweep.solved import Solved, solve_job
from solver.car import Changes, Freedom, Move, PickupWork
from solver.errors import WriteError
from solver.families.drilling_gauge import DrillingGaugeDimensions
from solver.families.slot_template import SlotTemplateDimensions
from solver.families.weld_fixture import FixtureBaseDimensions, FixtureVeeDimensions
from solver.families.wrap_template import WrapTemplateDimensions
from solver.front_end import link_of
from solver.marking import KnuckleHole, Marking, StrutTopPattern
from solver.part import Part, Refusal
from solver.sizing import marking_aids
from solver.sizing.context import SizingContext
from tests.locksweep.pipeline import edited, full_job

POINT = 25.4 / 72
"""mm, of a PDF's unit."""


def aids(one: Solved, changes: dict[str, Any] | None = None, **job: Any) -> dict[str, Part | Refusal]:
    """Marking aids by name, of a solved job with other changes, or with other things said in it."""
    solution = one.solution
    sized = replace(solution.sized, changes=replace(solution.changes, **(changes or {})))
    context = SizingContext(replace(solution, job=replace(one.job, **job), sized=sized))
    return {item.name: item for item in marking_aids.parts(context, one.parts)}


def part(found: Part | Refusal) -> Part:
    """It was made."""
    assert isinstance(found, Part), found
    return found


def refusal(found: Part | Refusal) -> Refusal:
    """It was not."""
    assert isinstance(found, Refusal)
    return found


def sleeve_like(one: Solved, **dimensions: float) -> Solved:
    """The job with another sleeve."""
    made = [
        replace(p, dimensions=replace(p.dimensions, **dimensions)) if p.name == "arm-sleeve" else p
        for p in one.parts
    ]
    return replace(one, parts=tuple(made))


@pytest.mark.parametrize(("name", "distance"), [("alder-coupe", 11.0), ("birch-coupe", 9.525)])
def test_gauge_is_the_move(solved: dict[str, Solved], name: str, distance: float) -> None:
    """From the old hole the gauge's distance is what the pickup moves by, and one gauge serves both sides."""
    gauge = next(p for p in solved[name].parts if p.dimensions.family == "drilling-gauge")
    assert isinstance(gauge.dimensions, DrillingGaugeDimensions)
    assert distance == pytest.approx(gauge.dimensions.distance, abs=1e-9)
    assert ("drilling-gauge", 1) == (gauge.name, gauge.quantity)


def test_distance_in_the_written_file(demo: BuildResult) -> None:
    """The holes in the file that is cut lie as far apart as the pickup moves."""
    move = demo.solved.solution.changes.pickup_move
    middles = []
    path = demo.folder / "drilling-gauge-A.dxf"
    for loop in ezdxf.readfile(path).modelspace().query('LWPOLYLINE[layer=="CUT_INNER"]'):
        (x0, y0), (x1, y1) = loop.get_points("xy")
        middles.append(((x0 + x1) / 2, (y0 + y1) / 2))
    assert math.hypot(move.forward, move.outward) == pytest.approx(math.dist(*middles), abs=1e-9)


def test_gauge_from_another_hole(solved: dict[str, Solved]) -> None:
    """From a hole given the distance is taken in plan, to where the pickup goes; a step is told, not measured along."""
    one = solved["alder-coupe"]
    x, y, z = one.job.car.left.pickup
    hole = KnuckleHole((x + 41.0, y - 40.0, z - 9.0), 12.0)
    gauge = part(aids(one, marking=Marking(knuckle_hole=hole))["drilling-gauge"])
    assert isinstance(gauge.dimensions, DrillingGaugeDimensions)
    # 41 forward of the old hole, the pickup goes 11 forward: 30 back and 40 outward, 50 apart.
    assert 50.0 == pytest.approx(gauge.dimensions.distance, abs=1e-9)
    said = " ".join(gauge.notes)
    assert "30.00 mm back and 40.00 mm outward" in said
    assert "at 53.1° to the car's centre line" in said
    assert "9.0 mm higher" in said
    assert "12.00 mm less 0.05 mm in the knuckle's hole" in said


def test_sides_that_differ_have_a_gauge_each(solved: dict[str, Solved]) -> None:
    """A right pickup that was measured elsewhere takes a gauge of its own."""
    one = solved["alder-coupe"]
    x, y, z = one.job.car.left.pickup
    right = replace(one.job.car.right, pickup=(x - 3.0, -y, z))
    found = aids(
        one,
        car=replace(one.job.car, right=right),
        marking=Marking(knuckle_hole=KnuckleHole((x + 41.0, y, z), 12.0)),
    )
    sizes = {n: part(found[f"drilling-gauge-{n}"]).dimensions for n in ("left", "right")}
    assert [30.0, 33.0] == pytest.approx([size.distance for size in sizes.values()], abs=1e-9)  # type: ignore[attr-defined]


def test_gauge_tells_where_the_ball_joint_is(solved: dict[str, Solved]) -> None:
    """The check before drilling is the straight distance to the ball joint, old and new."""
    one = solved["alder-coupe"]
    left = one.job.car.left
    new = (left.pickup[0] + 11.0, *left.pickup[1:])
    said = " ".join(part(aids(one)["drilling-gauge"]).notes)
    assert f"{math.dist(left.pickup, left.ball_joint):.1f} mm to the old hole's" in said
    assert f"{math.dist(new, left.ball_joint):.1f} mm to the new one's" in said


def test_holes_too_near_for_two_bushes(solved: dict[str, Solved]) -> None:
    """Where the move is too short for two bushes it says how far they must be apart, and what would do."""
    found = refusal(aids(solved["alder-coupe"], {"pickup_move": Move(forward=5.0)})["drilling-gauge"])
    assert "5.0 mm from the old pickup hole" in found.reason
    # The smallest bush is 5 mm outside, and 2.5 mm stay between them.
    assert "7.5 mm" in found.reason
    assert "[marking] knuckle_hole" in found.nearest


@pytest.mark.parametrize(
    ("changes", "job"),
    [
        ({"pickup_move": Move()}, {}),
        ({"pickup_move": Move(up=4.0)}, {}),
        ({}, {"pickup": PickupWork("weld", (0.0, 25.0), (-12.0, 0.0))}),
    ],
)
def test_no_gauge_where_nothing_is_drilled(
    solved: dict[str, Solved], changes: dict[str, Any], job: dict[str, Any]
) -> None:
    """A pickup that stays, only rises, or is welded on takes no gauge."""
    assert not [name for name in aids(solved["alder-coupe"], changes, **job) if name.startswith("drilling")]


def test_nothing_changed_nothing_marked(solved: dict[str, Solved]) -> None:
    """Without a moved pickup, a cut arm or a moved top there are no aids."""
    one = replace(solved["alder-coupe"], parts=())
    assert {} == aids(one, {"pickup_move": Changes().pickup_move})


def test_none_where_none_are_wanted(solved: dict[str, Solved]) -> None:
    """A builder may do without; nothing is refused then either."""
    assert {} == aids(solved["alder-coupe"], SHIFT, marking=Marking(wanted=False))
    job = parse_job(edited(full_job(), ('make = "all" ', 'make = "none"')))
    assert job.marking is not None
    assert not job.marking.wanted


def test_solve_loads_none_for_its_tables() -> None:
    """The tables of solve do without marking aids and change nothing else; the record for programs has them."""
    job = parse_job(full_job())
    bare, whole = solve_job(job, aids=False), solve_job(job)
    assert [p.name for p in bare.parts] == [p.name for p in whole.parts if p.role != "marking aid"]
    assert len(whole.parts) > len(bare.parts)
    assert bare.record()["as_modified"] == whole.record()["as_modified"]


@pytest.mark.parametrize("name", ["alder-coupe", "birch-coupe"])
def test_fixture_holds_the_solved_length(solved: dict[str, Solved], name: str) -> None:
    """Joints on the base are the solved link apart, cut ends by the extension, and so are the outer stop's places."""
    one = solved[name]
    base = next(p for p in one.parts if p.name == "fixture-base").dimensions
    assert isinstance(base, FixtureBaseDimensions)
    link, extension = link_of(one.job.car, "left"), one.solution.changes.arm_extension
    pivot, cut, other, ball = base.joints
    # Places are rounded to a hundredth of a millimetre.
    assert link.length + extension == pytest.approx(ball - pivot, abs=0.02)
    assert extension == pytest.approx(other - cut, abs=0.02)
    assert link.cut == pytest.approx(ball - other, abs=0.02)
    before, last = base.stations[-2:]
    assert extension == pytest.approx(last - before, abs=1e-9)
    assert last - ball == pytest.approx(pivot - base.stations[0], abs=0.02)


@pytest.mark.parametrize("name", ["alder-coupe", "birch-coupe"])
def test_plates_stand_where_there_is_room(solved: dict[str, Solved], name: str) -> None:
    """V plates stand beside sleeve, bush and leg, or under the sleeve between its holes; and as many as are made."""
    one = solved[name]
    made = {p.name: p for p in one.parts}
    base, sleeve = made["fixture-base"].dimensions, made["arm-sleeve"].dimensions
    assert isinstance(base, FixtureBaseDimensions)
    pivot, cut, other, ball = base.joints
    leg = link_of(one.job.car, "left").leg or 0.0
    covered, half = sleeve.covered, base.thickness / 2  # type: ignore[attr-defined]
    held = [x for x in base.stations[1:] if x < ball]
    beside = [x for x in held if x < cut - covered or x > other + covered]
    for x in beside:
        assert min(abs(x - (cut - covered)), abs(x - (other + covered))) > 10.0 + half
        assert pivot + 25.0 < x < ball - leg - 15.0
    assert len(beside) == made["fixture-vee-arm"].quantity
    assert len(held) - len(beside) == made["fixture-vee-sleeve"].quantity
    for key, width in (("arm", one.job.car.arm.section.width), ("sleeve", sleeve.outside_width)):  # type: ignore[attr-defined]
        vee = made[f"fixture-vee-{key}"].dimensions
        assert isinstance(vee, FixtureVeeDimensions)
        assert width == vee.held_width


def test_short_extension_is_set_by_a_spacer(solved: dict[str, Solved]) -> None:
    """Where two slots for the outer stop would run into each other there is one, and a spacer sets the length."""
    one = solved["alder-coupe"]
    made = [
        replace(p, dimensions=replace(p.dimensions, extension=8.0)) if p.name == "arm-sleeve" else p
        for p in one.parts
    ]
    found = aids(replace(one, parts=tuple(made)), {"arm_extension": 8.0})
    base = part(found["fixture-base"])
    assert isinstance(base.dimensions, FixtureBaseDimensions)
    assert base.dimensions.stations[-2] < base.dimensions.joints[-1]
    assert "a spacer of 8.00 mm (measured)" in " ".join(base.notes)


def test_no_fixture_for_a_link_between_pivots(solved: dict[str, Solved]) -> None:
    """A link that starts between the pivots has nothing on its axis that a stop could meet."""
    one = solved["alder-coupe"]
    arm = replace(one.job.car.arm, link_start="between pivots")
    found = aids(one, car=replace(one.job.car, arm=arm))
    assert "wrap-template" in found
    assert not [name for name in found if name.startswith("fixture")]


def test_fixture_warns_of_heat(solved: dict[str, Solved]) -> None:
    """It says that heat moves things and that it stands in for no procedure, welder or inspection."""
    notes = " ".join(part(aids(solved["alder-coupe"])["fixture-base"]).notes)
    assert "welding heat moves things" in notes
    assert "no substitute for a welding procedure, a qualified welder and an inspection" in notes


SHIFT = {"strut_top_shift": Move(forward=-6.0, outward=-8.0)}
PATTERN = StrutTopPattern(((46.0, 0.0), (-23.0, 40.0), (-23.0, -40.0)), 9.0)


def test_slots_of_the_shift(solved: dict[str, Solved]) -> None:
    """With the studs measured the template has a slot each, as long as the shift."""
    found = part(aids(solved["alder-coupe"], SHIFT, marking=Marking(strut_top=PATTERN))["slot-template"])
    assert isinstance(found.dimensions, SlotTemplateDimensions)
    assert 10.0 == pytest.approx(found.dimensions.shift_length)
    assert PATTERN.studs == found.dimensions.studs


def test_slots_need_the_pattern(solved: dict[str, Solved]) -> None:
    """Without the pattern the template is refused, which says what to measure."""
    found = refusal(aids(solved["alder-coupe"], SHIFT, marking=None)["slot-template"])
    assert "stud pattern not measured" == found.limit
    assert "the strut top moves by 10.0 mm" in found.reason
    assert "[marking.strut_top]" in found.nearest


@pytest.mark.parametrize(
    "job", [{"top_places": ((-6.0, -8.0),)}, {"freedoms": (Freedom("strut_top_forward", -10.0, 10.0),)}]
)
def test_no_slots_where_they_are_there(solved: dict[str, Solved], job: dict[str, Any]) -> None:
    """Plates to be turned, or a slot that the job tells of, need no template."""
    assert "slot-template" not in aids(solved["alder-coupe"], SHIFT, marking=None, **job)


def test_slanted_cut(solved: dict[str, Solved]) -> None:
    """A cut angle gives the edge its rise; one that runs under a plug-weld hole is refused with what is left."""
    one = solved["alder-coupe"]
    wrap = part(aids(one, marking=Marking(cut_angle=math.radians(10)))["wrap-template"]).dimensions
    assert isinstance(wrap, WrapTemplateDimensions)
    assert 42.0 * math.tan(math.radians(10)) == pytest.approx(wrap.cut_rise, abs=1e-4)
    # Tongue holes then sit 0.6 × (43 + 28) = 42.6 mm from a square cut; 21.25 tan 60° and half of 12 mm come off.
    short = sleeve_like(one, overlap=43.0)
    steep = refusal(aids(short, marking=Marking(cut_angle=math.radians(60)))["wrap-template"])
    assert "cut angle" == steep.limit
    assert "half of the hole, 6.0 mm" in steep.reason


@pytest.fixture(scope="module")
def pages(demo: BuildResult) -> list[Any]:
    """Pages of the written template."""
    with pdfplumber.open(demo.folder / "wrap-template-A.pdf") as pdf:
        return [
            (page.width * POINT, page.height * POINT, page.lines + page.curves, page.extract_text())
            for page in pdf.pages
        ]


@pytest.mark.parametrize("name", ["alder-coupe", "birch-coupe"])
def test_sleeve_s_end_is_told_as_it_is_drawn(solved: dict[str, Solved], name: str) -> None:
    """How far from the cut the sleeve's end lies is said as the template's line has it, on top and at the sides."""
    made = part(aids(solved[name])["wrap-template"])
    template = made.dimensions
    assert isinstance(template, WrapTemplateDimensions)
    top, side = (abs(template.sleeve_at(x)) for x in (0.0, template.girth / 4))
    told = f"lies on the arm {top:.1f} mm from the cut on top and below, {side:.1f} mm at the sides"
    assert [note for note in made.notes if told in note]


def test_check_bars_on_paper(pages: list[Any]) -> None:
    """An A4 page with one bar across and one up, 50 mm each, and the words to measure them."""
    width, height, lines, text = pages[0]
    assert (210.0, 297.0) == pytest.approx((width, height), abs=0.1)
    sizes = {(round(line["width"] * POINT, 2), round(line["height"] * POINT, 2)) for line in lines}
    assert {(50.0, 0.0), (0.0, 50.0)} <= sizes
    for words in ("print at 100 %", "50 mm", "arm's top", "saw along this edge", "wrap-template-A"):
        assert words in text


def test_template_on_paper(demo: BuildResult, pages: list[Any]) -> None:
    """The sheet's outline is on the page at full size: girth and flap across, the strip along."""
    wrap = next(p for p in demo.solved.parts if p.name == "wrap-template").dimensions
    wide, tall, _ = wrap.envelope
    outlines = [(line["width"] * POINT, line["height"] * POINT) for line in pages[0][2]]
    # Coordinates are written to a thousandth of a point.
    assert any(abs(w - wide) < 0.01 and abs(h - tall) < 0.01 for w, h in outlines)


def test_template_says_it_carries_nothing(pages: list[Any]) -> None:
    """The caution, what to do and the ordinates are printed beside it."""
    text = " ".join(page[3] for page in pages[1:]).replace("\n", " ")
    assert "Marking aid: it carries no load" in text
    assert "246.0 mm from the ball joint's middle" in text
    assert "from the top" in text
    assert "91.00 mm" in text


def test_inch_job_prints_inches_on_letter(solved: dict[str, Solved], tmp_path: Path) -> None:
    """A job in inches gets its sheets in the size and the units of its readers."""
    wrap = next(p for p in solved["birch-coupe"].parts if p.name == "wrap-template")
    write_paper(wrap, tmp_path / "wrap.pdf", revision="B", units="in")
    with pdfplumber.open(tmp_path / "wrap.pdf") as pdf:
        assert (215.9, 279.4) == pytest.approx(
            (pdf.pages[0].width * POINT, pdf.pages[0].height * POINT), abs=0.1
        )
        assert "9.500 in (241.3 mm) from the ball joint" in pdf.pages[1].extract_text().replace("\n", " ")


def test_words_stay_on_the_sheet(solved: dict[str, Solved]) -> None:
    """Every word begins on the paper, and lines keep off its lower left corner."""
    for one in solved.values():
        wrap = next(p for p in one.parts if p.name == "wrap-template")
        template = paper_template(wrap, "A", one.job.stock_units)
        assert all(0 < w.x < template.width and 0 < w.y < template.height for w in template.words)
        assert all(stroke.points.min() >= 0 for stroke in template.strokes)


def test_only_paper_is_printed(solved: dict[str, Solved], tmp_path: Path) -> None:
    """A part with a solid is no paper aid."""
    ring = solved["alder-coupe"].parts[0]
    with pytest.raises(WriteError, match="rack-spacer is no paper aid"):
        write_paper(ring, tmp_path / "ring.pdf", revision="A", units="mm")


FAULTS = {
    "plate = 6  ": ("plate = 60  ", "from 1 mm to 12 mm"),
    "slot_fit = 0.2": ("slot_fit = -0.2", "a size is never negative"),
    "# cut_angle = 10": ("cut_angle = 80", "from -60 deg to 60 deg"),
    "hole = 9  ": ("hole = 0.9  ", "from 3 mm to 60 mm"),
    "[46, 0]": ("[-23, 42]", "farther apart than the hole's diameter"),
    "# knuckle_hole = { at = [-75, 655, 178], diameter = 12 }": (
        "knuckle_hole = { at = [-75, -655, 178], diameter = 12 }",
        "a point of the left knuckle, y positive",
    ),
    "# pilot = 4": (
        "knuckle_hole = { at = [-107, 650, 178], diameter = 12 } #",
        "another hole than the pickup's",
    ),
}


@pytest.mark.parametrize("old", FAULTS)
def test_bad_values_are_told(old: str) -> None:
    """What is wrong under [marking] is told with its key and what was expected."""
    new, message = FAULTS[old]
    with pytest.raises(JobFindingsError) as caught:
        parse_job(edited(full_job(), (old, new)))
    assert message in str(caught.value)
    assert "marking" in str(caught.value)


def test_commented_keys_are_read() -> None:
    """Keys that stand as comments in the demo give what they say."""
    text = edited(
        full_job(),
        ("# pilot = 4", "pilot = 4"),
        ("# cut_angle = 10", "cut_angle = 10"),
        ("# knuckle_hole = {", "knuckle_hole = {"),
    )
    found = parse_job(text).marking
    assert found is not None
    assert 4.0 == found.pilot
    assert math.radians(10) == pytest.approx(found.cut_angle, rel=1e-12)
    assert KnuckleHole((-75.0, 655.0, 178.0), 12.0) == found.knuckle_hole


def test_paper_is_no_material_of_a_part(job_file: Callable[[str], Path]) -> None:
    """Nobody can choose paper for a part of steel."""
    text = edited(full_job(), ('sleeve_material = "S355"', 'sleeve_material = "paper, 80 g/m²"'))
    with pytest.raises(JobFindingsError, match="one of S235JR"):
        parse_job(text)


def test_print_is_made_anew_with_its_words(solved: dict[str, Solved], tmp_path: Path) -> None:
    """A print is taken over from an earlier build only with the same words; a sheet of steel has none of them on it."""
    one = solved["alder-coupe"]
    files = PartFiles(one, tmp_path, {p.name: "A" for p in one.parts}, AS_USUAL, lambda _: None)
    paper, plate = (
        next(p for p in one.parts if p.name == name) for name in ("wrap-template", "fixture-base")
    )
    others = [replace(p, notes=(*p.notes, "the cut lies elsewhere")) for p in (paper, plate)]
    assert files.made_from(paper) != files.made_from(others[0])
    assert files.made_from(plate) == files.made_from(others[1])
    assert ("wrap-template-A.pdf", "wrap-template-A.dxf") == files.names(paper)
