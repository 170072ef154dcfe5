"""The work order: numbers against job file and solution, operations that come and go with the changes, both forms."""

from __future__ import annotations

import io
import math
import re
import string
from dataclasses import replace
from functools import cache
from importlib import resources
from typing import Any, Literal

import numpy as np
import pytest
import trimesh

from locksweep.building import BuildResult
from locksweep.demo_jobs import demo_names, demo_text
from locksweep.exit_codes import Exit
from locksweep.job import parse_job
from locksweep.solved import Solved, solve_job
from locksweep.units import sentence_text
from locksweep.work_order import work_order
from locksweep.work_order.blocks import Hold, Operation, Order, Table
from locksweep.work_order.facts import facts_of
from locksweep.work_order.markdown import markdown_text
from locksweep.work_order.pdf import pdf_bytes
from locksweep.work_order.tables import applies, rows
from solver.car import PickupWork
from solver.corner import over_centre_angle
from solver.measures import steer_angle
from solver.sweep import rack_sign
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, full_job, small_job, tiny_job, written
from tests.locksweep.test_note import check_sheets, pages_of

pdfplumber = pytest.importorskip("pdfplumber")

TABLES = ("steps", "hardware", "service", "torques")
HOSTILE = "<b>|x|</b> **k** & {lock} %PDF ) Tj [ ] é"
demos = pytest.mark.parametrize("name", demo_names())
MOVED = edited(
    full_job(),
    ("# ball_joint_drop = 20 ", "ball_joint_drop = 10 "),
    (
        "# strut_top_shift = { forward = -10, outward = -5 }",
        "strut_top_shift = { forward = -6, outward = -5 }",
    ),
    ("# rack_shift = { forward = 5, up = -3 } ", "rack_shift = { forward = 5, up = -3 } "),
    ("ride_height_drop = 0 ", "ride_height_drop = 15 "),
    ("lock = 50 ", "lock = 42 "),
)
FORGED = edited(full_job(), ('construction = "tube" ', 'construction = "forged" '))
UNCHANGED = edited(
    tiny_job(),
    ("lock = 50 ", "lock = 30 "),
    ("pickup_move = { forward = 11 } ", "# pickup_move = { forward = 11 } "),
)


@cache
def job_of(text: str) -> Solved:
    """A job's answer."""
    return solve_job(parse_job(text))


@cache
def order_of(text: str) -> Order:
    """The order of a job that was not built."""
    return work_order(job_of(text), job_of(text).record())


def said_in(text: str) -> str:
    """The order of a job as Markdown."""
    return markdown_text(order_of(text))


def stages(order: Order) -> list[str]:
    """Titles of the stages of the work, without their letters."""
    return [section.title[3:] for section in order.sections if section.level == 3]


def rows_of(order: Order, title: str) -> list[tuple[str, ...]]:
    """All rows of all tables of one section."""
    section = next(each for each in order.sections if each.title == title)
    return [row for block in section.blocks if isinstance(block, Table) for row in block.rows]


def steps_of(order: Order) -> list[Operation | Hold]:
    """Operations and hold points."""
    return [
        block for section in order.sections for block in section.blocks if isinstance(block, Operation | Hold)
    ]


def test_numbers_of_the_job_file() -> None:
    """Lengths of the arm, turns of the joint and where the cut goes, worked out by hand from the demo job's file."""
    text, changes = said_in(full_job()), job_of(full_job()).solution.changes
    link = math.dist((8, 668, 172), (0, 330, 186))
    assert f"The job's points make it {link:.1f} mm left, {link:.1f} mm right." in text
    assert (
        f"{link + changes.arm_extension:.1f} mm left and {link + changes.arm_extension:.1f} mm right" in text
    )
    assert "Mark the cut square round each arm, 246.0 mm from the ball joint's centre" in text
    left = 28 - changes.rack_spacer
    assert f"{left:.1f} mm of thread must be in, {left / 1.5:.1f} turns." in text
    assert f"the boot is pulled up to {2 * changes.rack_spacer:.1f} mm further" in text
    assert "11.0 mm forward from the old one" in text
    assert "from 55 mm of droop to 50 mm of bump" in text
    assert f"over {2 * (66 + changes.rack_spacer):.1f} mm of rack travel lock to lock" in text


@demos
def test_set_up_values_are_those_of_the_solution(name: str) -> None:
    """Tie rods, toe, camber, caster, track, rack and lock, each taken from the solution anew."""
    solved = job_of(demo_text(name))
    modified = solved.solution.as_modified
    inches = solved.job.stock_units == "in"

    def mm(value: float) -> str:
        return f"{value / 25.4:.3f} in ({value:.1f} mm)" if inches else f"{value:.1f} mm"

    table = {(row[0], row[1]): row for row in rows_of(order_of(demo_text(name)), "Set-up values")}
    for corner in (modified.left, modified.right):
        side = corner.side
        pose = modified.front_end.at_ride_height(np.zeros(1))[("left", "right").index(side)]
        rod = float(np.linalg.norm(pose.pickup[0] - pose.inner_joint[0]))
        assert f"set {mm(rod)} first, then by toe" == table["tie rod between joint centres", side][3]
        assert f"set {math.degrees(corner.toe):.2f}° in" == table["toe, wheels straight", side][3]
        for key in ("camber", "caster"):
            assert f"expect {math.degrees(getattr(corner, key)):.2f}°" == table[key, side][3]
        turn = modified.turn(side)
        where = f"{side} turn"
        rack = table["rack from its middle to the stop bracket, ride height", where]
        assert f"expect {mm(turn.rack)}" == rack[3]
        lock = table["lock of the inner wheel at the stop bracket, ride height", where]
        assert lock[3].startswith(f"set {math.degrees(turn.lock):.1f}° (")
        assert f"expect {math.degrees(turn.outer):.1f}°" == table["outer wheel then", where][3]
        margin = table["over-centre margin then", where]
        assert f"expect {math.degrees(turn.over_centre):.1f}°" == margin[3]
    assert f"expect {mm(modified.track)}" == table["track between the contact centres", "both"][3]
    for row in table.values():
        ends = re.fullmatch(r"(-?[\d.]+)\D.* to (-?[\d.]+)\D.*", row[4])
        if ends and row[3].startswith("expect"):
            low, value, high = (float(each) for each in (ends[1], row[3].split()[1].rstrip("°"), ends[2]))
            assert low <= value <= high


@demos
def test_gaps_are_no_less_than_wanted(name: str) -> None:
    """The demo cars reach their goal, so every gap to expect is as large as it must be, and nothing is warned of."""
    solved = job_of(demo_text(name))
    for gap in facts_of(solved, solved.record()).gaps:
        assert all(found >= least for found, least in zip(gap.expected, gap.at_least, strict=True))
        assert min(gap.at_least) >= solved.job.goal.clearance
    assert "is to be expected at the stop" not in said_in(demo_text(name))


@pytest.mark.parametrize(
    ("text", "wanted", "unwanted"),
    [
        (
            full_job(),
            ("Steering arms", "Lower arms", "Wheel wells", "Stop brackets"),
            ("Ball joints", "Strut tops"),
        ),
        (small_job(), ("Steering arms", "Lower arms"), ("Wheel wells", "Stop brackets")),
        (tiny_job(), ("Steering arms", "Rack"), ("Lower arms", "Wheel wells", "Stop brackets")),
        (MOVED, ("Ball joints", "Strut tops", "Wheel wells"), ("Stop brackets",)),
        (
            UNCHANGED,
            ("Set-up", "Check lock to lock"),
            ("Steering arms", "Lower arms", "Ball joints", "Strut tops"),
        ),
    ],
)
def test_stages_come_and_go(text: str, wanted: tuple[str, ...], unwanted: tuple[str, ...]) -> None:
    """A stage is there when the solution changes what it is about, and only then."""
    found = stages(order_of(text))
    assert set(wanted) <= set(found)
    assert not set(unwanted) & set(found)


@pytest.mark.parametrize(
    ("text", "wanted", "unwanted"),
    [
        (full_job(), "Drill under size", "Cut the pickups off"),
        (MOVED, "Ball joints 10.00 mm below the knuckle", "One ring of"),
        (MOVED, "goes 6.0 mm to the rear, 5.0 mm inward from where it is", "One ring of"),
        (MOVED, "Move the whole rack 5.0 mm forward, 3.0 mm down", "Turn or swap the top plates"),
        (MOVED, "Ride height 15.0 mm lower than measured.", "above the knuckle"),
        (FORGED, "this build made no sleeve for them", "Before welding the lower arms"),
        (tiny_job(), "One ring of 4.00 mm", "this build made none"),
        (UNCHANGED, "Nothing: this job takes no part of ours.", "One ring of"),
    ],
)
def test_operations_come_and_go(text: str, wanted: str, unwanted: str) -> None:
    """An operation is there when the solution has its change, with that change's size."""
    assert wanted in said_in(text)
    assert unwanted not in said_in(text)


def test_every_move_is_warned_of_and_in_the_scope() -> None:
    """Ball joint, strut tops, rack and ride height that are moved stand at the head; what is altered, in its table."""
    text = said_in(MOVED)
    for warned in (
        "- ball joints 10.0 mm lower: in the primary load path.",
        "- strut tops moved 6.0 mm to the rear, 5.0 mm inward:",
        "- rack moved 5.0 mm forward, 3.0 mm down:",
        "- ride height 15.0 mm lower: less travel is left to full bump",
    ):
        assert warned in text
        assert warned.partition(":")[0] not in said_in(full_job())
    altered = {row[0]: row for row in rows_of(order_of(MOVED), "What is modified")}
    assert "10.00 mm below the knuckle, by spacers" == altered["ball joints"][1]
    assert "tops moved 6.0 mm to the rear, 5.0 mm inward" == altered["strut towers"][1]
    assert "rack moved 5.0 mm forward, 3.0 mm down" == altered["rack mounts"][1]
    assert {"not checked"} == {altered[name][2] for name in ("ball joints", "strut towers", "rack mounts")}
    assert "strut towers" not in {row[0] for row in rows_of(order_of(full_job()), "What is modified")}


def test_bolted_brackets_take_bolts() -> None:
    """Bolts of bolted brackets are bought by standard and class; welded brackets take none."""
    record = job_of(full_job()).record()
    assert "bolts of the stop brackets" not in said_in(full_job())
    for part in record["parts"]:
        if part["family"] == "bump-stop":
            part["dimensions"]["bolt_hole_diameter"] = 9.0
    bought = {row[0]: row for row in rows_of(work_order(job_of(full_job()), record), "What to buy")}
    # ISO 273: 9 mm is the medium hole of M8. Two bolts a bracket, two brackets.
    assert ("4", "M8", "8.8") == tuple(bought["bolts of the stop brackets"][n] for n in (1, 2, 4))
    assert "ISO 7042" == bought["self-locking nuts of the stop brackets, all metal"][3]


@pytest.mark.parametrize(
    ("way", "wanted", "unwanted"),
    [
        ("drill", "Drill under size", "Before welding the steering arms"),
        ("weld", "Before welding the steering arms", "Drill under size"),
    ],
)
def test_pickups_are_drilled_or_welded(way: Literal["drill", "weld"], wanted: str, unwanted: str) -> None:
    """Pickups that the job has welded on are looked at before and after it; drilled ones take a reamer instead."""
    solved = job_of(full_job())
    solved = replace(solved, job=replace(solved.job, pickup=PickupWork(way, (-20, 20), (-20, 20), hole=13)))
    text = markdown_text(work_order(solved, solved.record()))
    assert wanted in text
    assert unwanted not in text
    assert ("| taper reamer |" in text) == (way == "drill")


def test_panels_without_a_plate_are_told() -> None:
    """A panel that the tyre reaches before the stop, and that no plate of the build closes, is one to be decided on."""
    solved, record = job_of(full_job()), job_of(full_job()).record()
    assert "The tyre would touch" not in said_in(full_job())
    record["parts"] = [part for part in record["parts"] if part["family"] != "closure-plate"]
    text = markdown_text(work_order(solved, record))
    assert "The tyre would touch 'rear inner panel' before the stop" in text
    assert "Fit, clamp, weld in short lengths" not in text


def test_a_refused_bracket_leaves_the_rack_stop() -> None:
    """Without its brackets the car turns to the rack's own stop: steer, margin and gaps are those of that."""
    solved, record = job_of(full_job()), job_of(full_job()).record()
    record["parts"] = [part for part in record["parts"] if part["family"] != "bump-stop"]
    order = work_order(solved, record)
    front_end = solved.solution.as_modified.front_end
    rack = np.array([rack_sign(front_end, "left") * front_end.rack_stop])
    steer = math.degrees(abs(float(steer_angle(front_end.at_ride_height(rack)[0])[0])))
    margin = min(math.degrees(float(over_centre_angle(pose)[0])) for pose in front_end.at_ride_height(rack))
    table = {(row[0], row[1]): row for row in rows_of(order, "Set-up values")}
    assert (
        f"expect {steer:.1f}°"
        == table["lock of the inner wheel at the rack's own stop, ride height", "left turn"][3]
    )
    assert f"expect {margin:.1f}°" == table["over-centre margin then", "left turn"][3]
    assert f"they should keep {margin:.1f}° in the left turn" in markdown_text(order)
    # At the brackets the measured points leave no car of the thousand over centre; a millimetre further some are.
    assert "Over centre before the stop, left turn:" in markdown_text(order)


def test_rods_to_buy() -> None:
    """The rod chosen is bought by name with its range, taper and thread; without one that fits the length is told."""
    text = re.sub(
        r"(?m)^# (\[\[tie_rod_choice\]\]|name = \"long rod\"|shortest = 350 |longest = 420 |thread = |taper = .*stud$)",
        r"\1",
        full_job(),
    )
    rod = rows_of(order_of(text), "What to buy")[0]
    assert "tie rods 'long rod'" == rod[0]
    assert "adjusts from 350.0 mm to 420.0 mm" in rod[2]
    assert "M14x1.5" in rod[5]
    short = edited(full_job(), ("shortest = 325", "shortest = 300"), ("longest = 410", "longest = 360"))
    needed = job_of(short).solution.as_modified.left.tie_rod
    rod = rows_of(order_of(short), "What to buy")[0]
    assert ("tie rods, of this length", "2") == rod[:2]
    assert f"{needed:.1f} mm left" in rod[2]


@demos
def test_nothing_is_cut_or_welded_before_somebody_looked(name: str) -> None:
    """Leave and mock-up fit come before the first cut, looks before and after each weld, release before a run."""
    steps = steps_of(order_of(demo_text(name)))
    texts = [("HOLD " if isinstance(step, Hold) else "") + step.text for step in steps]

    def place(start: str) -> int:
        return next(number for number, text in enumerate(texts) if text.startswith(start))

    first_cut = min(place("Drill under size"), place("Cut, deburr, slide"), place("Lines, wiring"))
    assert place("HOLD Leave to do it") < place("HOLD Mock-up fit") < first_cut
    assert (
        place("HOLD Before welding the lower arms")
        < place("Weld as the procedure")
        < place("HOLD After welding the")
    )
    assert (
        place("HOLD Before the stop brackets")
        < place("Arms off the car or bare")
        < place("HOLD After the stop")
    )
    assert place("HOLD Torque") < place("Wheels off the ground") < place("HOLD Before the first run")
    assert len(steps) == len({step.number for step in steps})


@demos
def test_notes_and_inspections_of_the_parts_are_in_it(name: str) -> None:
    """Every note of a part that is fitted, and everything to be looked at, stands in the order."""
    solved = job_of(demo_text(name))
    text = said_in(demo_text(name)).replace("\\", "")
    for part in solved.parts:
        looked = part.inspection
        for sentence in (*part.notes, *looked.before_welding, *looked.after_welding, *looked.after_first_run):
            assert sentence_text(sentence, solved.job.stock_units) in text, (part.name, sentence)


def test_refused_parts_stop_the_work() -> None:
    """A part that was refused is named with its reason, and what it was for is not taken as done."""
    text = said_in(FORGED)
    assert "The work does not begin before each of these is settled" in text
    assert "the arm is forged S355" in text


@pytest.mark.parametrize("family", sorted({row["family"] for row in rows("aids")}))
def test_marking_aids_are_used_where_there_are_any(family: str) -> None:
    """A marking aid of the job stands with its notes at the operation that it serves; without one nothing is said."""
    solved = job_of(full_job())
    record = solved.record()
    aid = {
        **record["parts"][0],
        "name": f"{family}-x",
        "family": family,
        "role": "marking aid",
        "title": "AID",
    }
    real = next((part for part in record["parts"] if part["family"] == family), aid)
    record["parts"] = [part for part in record["parts"] if part["role"] != "marking aid"]
    record["parts"].append({**aid, "dimensions": real["dimensions"], "notes": ["lay it flat"]})
    text = markdown_text(work_order(solved, record))
    strut_alone = family == "slot-template"
    assert strut_alone != (f"  - **AID ({family}-x): " in text)
    assert strut_alone != ("    - lay it flat" in text)
    assert f"{family}-x" not in said_in(full_job())


def test_every_sentence_can_be_filled_in() -> None:
    """What a table's sentence asks for is known of every job; each row has a source and a condition that is known."""
    known = set(facts_of(job_of(UNCHANGED), job_of(UNCHANGED).record()).said)
    room = resources.files("locksweep.work_order")
    code = "".join(room.joinpath(name).read_text("utf-8") for name in ("conditions.py", "facts.py"))
    for table in TABLES:
        for row in rows(table):
            for cell in row.values():
                assert {name for _, name, *_ in string.Formatter().parse(cell) if name is not None} <= known
            assert row["source"].strip(), row
            for word in re.split(r"[ |]+", row["when"]):
                assert not word or f'"{word.removeprefix("!")}"' in code, word
    steps = {row["id"] for row in rows("steps")}
    assert len(steps) == len(rows("steps"))
    assert {row["step"] for row in rows("aids")} <= steps


@pytest.mark.parametrize(
    ("when", "has", "holds"),
    [
        ("", set(), True),
        ("a", {"a"}, True),
        ("a", {"b"}, False),
        ("!a", {"b"}, True),
        ("a b", {"a"}, False),
        ("a|b", {"b"}, True),
        ("a|b !c", {"b", "c"}, False),
    ],
)
def test_conditions(when: str, has: set[str], holds: bool) -> None:
    """Words are all wanted, a bar is one or the other, an exclamation mark is none of it."""
    assert holds == applies(when, has)


def words(text: str) -> set[str]:
    """Words of a text without marks of Markdown and stops."""
    plain = re.sub(r"\\(.)", r"\1", re.sub(r"(?m)^(#+|>|\s*- \[ \]|\s*-|\|)|\*\*", " ", text))
    return {word.strip("|,;:.()") for word in plain.split()} - {"", "---", "-", "]"}


@demos
def test_the_sheets_hold_all_of_the_markdown(name: str) -> None:
    """Every word of the Markdown stands on the sheets, each of which is numbered and carries the caution."""
    solved = job_of(demo_text(name))
    order = order_of(demo_text(name))
    data = pdf_bytes(order, solved.job.name, "issue")
    check_sheets(data)
    pages = [page.extract_text() for page in pages_of(data)]
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in page
        assert "Screening, no approval." in page
    have = words(" ".join(pages))
    assert set() == {word for word in words(markdown_text(order)) - have if not word.startswith("[")}
    assert data == pdf_bytes(order, solved.job.name, "issue")
    # A table that goes on has its head on each page, and never twice on one.
    heads = [page.count("how, and where it fits") for page in pages]
    assert 1 == max(heads) <= sum(heads)
    bought = [page.count("item number size standard") for page in pages]
    assert 1 == max(bought) <= sum(bought)


def test_inches_come_first() -> None:
    """In an inch job every length is in inches, with the millimetres beside it."""
    text = said_in(demo_text("birch-coupe"))
    assert not re.search(r" in \([+-]?[\d.]+ in ", text)
    for match in re.finditer(r"(?<![\d.-])-?\d+(\.\d+)? mm\b", text):
        assert re.search(r" in \($", text[: match.start()]), text[max(0, match.start() - 60) : match.end()]


def test_names_are_text() -> None:
    """A name that looks like markup, a field or PDF code reads as it is written, in both forms."""
    text = edited(
        full_job(),
        ('name = "Alder coupe, 50 degrees on 17s"', f'name = "{HOSTILE}"'),
        ('name = "frame rail"', 'name = "{spacer} |r| *[x](y)*"'),
        ('name = "rear inner panel"', 'name = "{0} # <i> panel"'),
    )
    order = order_of(text)
    markdown = markdown_text(order)
    assert "# Work order: \\<b\\>\\|x\\|\\</b\\> \\*\\*k\\*\\* \\& {lock}" in markdown
    assert "{spacer} \\|r\\| \\*\\[x\\](y)\\*" in markdown
    for line in markdown.splitlines():
        if line.startswith("| left |"):
            assert 9 == len(re.findall(r"(?<!\\)\|", line))
    found: Any = pdfplumber.open(io.BytesIO(pdf_bytes(order, HOSTILE, HOSTILE)))
    sheets = " ".join(page.extract_text() for page in found.pages)
    assert HOSTILE in sheets
    assert "{spacer} |r|" in sheets
    assert {"'{0}", "<i>", "{spacer}"} <= set(sheets.split())


def test_uncertainty_that_is_too_large_costs_the_bands_alone() -> None:
    """Points said to be uncertain beyond all sense leave the bands out, with the reason; the rest stands."""
    text = edited(
        full_job(),
        ("# [uncertainty]\n", "[uncertainty]\n"),
        ("# points = [2, 2, 1.5] ", "points = [60, 60, 60] "),
    )
    assert "No bands, since the uncertainties are too large:" in said_in(text)
    assert {"–"} == {row[4] for row in rows_of(order_of(text), "Set-up values")}


def test_the_build_writes_it(demo: BuildResult) -> None:
    """A build leaves both files, with the letters of its parts and the names of their files."""
    text = (demo.folder / "work-order.md").read_text(encoding="utf-8")
    made = {row[0]: row for row in rows_of(order_of(full_job()), "What to have made")}
    assert sorted(demo.revisions) == sorted(made)
    for name, letter in demo.revisions.items():
        assert re.search(rf"\| {name} \| {letter} \| .*{name}-{letter}\.(step|pdf)", text)
        assert not re.search(rf"\| {name} \|.*\.(stl|3mf)", text)
    assert (demo.folder / "work-order.pdf").read_bytes().startswith(b"%PDF-")
    assert "not built" not in text
    assert "Open report.html in any browser" in text
    assert "report.html" not in said_in(full_job())


def test_mock_ups_are_measured_as_they_are_printed(demo: BuildResult) -> None:
    """Each mock-up's file stands with the number to print and its pieces' sizes off the bed; without parts, none."""
    text = (demo.folder / "work-order.md").read_text(encoding="utf-8")
    assert "mock-ups.md of the build says how many of each piece" in text
    ring = trimesh.load_mesh(demo.folder / "rack-spacer-A.stl")
    size = " × ".join(f"{side:.1f}" for side in ring.extents)
    assert f"- rack-spacer-A.3mf, 2 times: rack-spacer-A {size} mm" in text
    for name in demo.revisions:
        assert (demo.folder / f"{name}-A.3mf").exists() == (f"  - {name}-A.3mf, " in text)
    assert "Print the mock-ups" not in said_in(UNCHANGED)
    assert "Mock-ups" not in stages(order_of(UNCHANGED))


def test_what_the_aids_take_is_bought() -> None:
    """Bushes, plug, screws and nuts of gauge and fixture by standard and size, where the job has these aids."""
    bought = {row[0]: row for row in rows_of(order_of(full_job()), "What to buy")}
    # ISO 4247: a bore over 4 mm to 5 mm is 8 mm outside and 8 mm long.
    bush = bought["jig bushes of the drilling gauge, plain, without a head"]
    assert ("2", "bore, outside and length in mm: 5.0 × 8 × 8") == bush[1:3]
    assert "5.0 × 8.0 × 8 (bore, outside and length in mm" in said_in(full_job())
    assert ("2", "M10 × 80", "ISO 4017") == bought["stop screws of the welding fixture"][1:4]
    assert ("4", "M10", "ISO 4032") == bought["nuts of the stop screws"][1:4]
    assert not {row[0] for row in rows_of(order_of(UNCHANGED), "What to buy") if "gauge" in row[0]}


def test_stock_has_the_pads() -> None:
    """The round pad of a stop bracket is cut from no plate, and stands among the stock beside its bracket."""
    stock = {row[0]: row for row in rows_of(order_of(full_job()), "What to buy")}
    for part in job_of(full_job()).parts:
        if part.name.startswith("bump-stop"):
            pad: Any = part.dimensions
            bar = f"round bar {pad.pad_diameter:.0f} mm"
            assert ("1", bar, f"{pad.pad_thickness:.0f} mm long") == stock[f"{part.name}, its pad"][1:4]


def test_rods_at_hand_are_not_bought() -> None:
    """A job whose rods reach the length says so wherever it speaks of them; one whose rods don't says to buy."""
    assert "The rods at hand reach that length" in said_in(full_job())
    assert "Buy rods of the length" not in said_in(full_job())
    short = edited(full_job(), ("shortest = 325", "shortest = 300"), ("longest = 410", "longest = 360"))
    assert "Buy rods of the length" in said_in(short)


@demos
def test_questions_come_before_the_first_cut(name: str) -> None:
    """What somebody qualified has to say is asked with the leave to begin; of parts on the car once more at release."""
    holds = {
        step.text[:13]: step.looks for step in steps_of(order_of(demo_text(name))) if isinstance(step, Hold)
    }
    for part in job_of(demo_text(name)).parts:
        for sentence in part.qualified:
            assert any(part.name in look and sentence in look for look in holds["Leave to do i"])
            again = any(part.name in look and sentence in look for look in holds["Before the fi"])
            assert again == (part.role != "marking aid")


def test_the_command_prints_it(locksweep: Command, tmp_path: Any) -> None:
    """The order comes before any build; a goal out of reach has the answer instead, and its exit code."""
    done = locksweep("order", written(tmp_path, tiny_job()))
    assert (Exit.DONE, said_in(tiny_job()).rstrip("\n")) == (done.code, done.out.rstrip("\n"))
    done = locksweep("order", written(tmp_path, edited(tiny_job(), ("lock = 50 ", "lock = 78 "))))
    assert Exit.OUT_OF_REACH == done.code
    assert "## Out of reach" in done.out
    assert "Operations in order" not in done.out
