"""The caution note for print: what stands on each sheet, that nothing is cut off or overprinted, same bytes always."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from locksweep.building import BuildResult
from locksweep.demo_jobs import demo_names, demo_path
from locksweep.documents.caution import PICTURES, SHEETS, caution_text
from locksweep.documents.loads import loads_text
from locksweep.documents.verdicts import path_words
from locksweep.exit_codes import Exit
from locksweep.job import parse_job
from locksweep.note.forces import LEAST_FORCE, bars_of, forces_of
from locksweep.note.frame import WIDTH
from locksweep.note.paint import PAGE, Painter
from locksweep.note.picture import overview_drawing, scene_drawing
from locksweep.note.scenes import overview, part_scene, worst_scene
from locksweep.note.shapes import Drawing, Line, Words
from locksweep.note.write import Note, note
from locksweep.solved import Solved, solve_job
from tests.locksweep.conftest import Command
from tests.locksweep.pipeline import edited, full_job, run, small_job, tiny_job, written

pdfplumber = pytest.importorskip("pdfplumber")

POINT = 72 / 25.4
PRINTABLE = 5.0
"""mm from the edge that nearly every printer reaches."""
TOUCH = 0.35
"""Points by which boxes of glyphs may run into one another: they are wider than the ink."""
HOSTILE = "<b>|x|</b> **k** & </svg> %PDF ) Tj (]]> é"
demos = pytest.mark.parametrize("name", demo_names())


@pytest.fixture(scope="module")
def notes(solved: dict[str, Solved]) -> dict[str, Note]:
    """The notes of both demo jobs."""
    return {name: note(one.context, one.parts, one.record()) for name, one in solved.items()}


def noted(text: str) -> tuple[Solved, Note]:
    """A job's answer and its note."""
    one = solve_job(parse_job(text))
    return one, note(one.context, one.parts, one.record())


@cache
def pages_of(data: bytes) -> list[Any]:
    """All pages."""
    return list(pdfplumber.open(io.BytesIO(data)).pages)


def words_of(page: Any, left: float = 0.0, right: float = 1.0) -> str:
    """The text of a strip of a page, in the order of reading, single blanks between words."""
    part = page.crop((left * page.width, 0, right * page.width, page.height))
    return " ".join((part.extract_text() or "").split())


def holds(page: Any, text: str) -> bool:
    """Whether every word of a text stands on a page; cells and columns mix the order."""
    have, wanted = ({word.strip(",;:.") for word in said.split()} for said in (words_of(page), text))
    return wanted <= have


def boxes(page: Any) -> list[dict[str, Any]]:
    """Every piece of text with its box."""
    found: list[dict[str, Any]] = page.extract_words(keep_blank_chars=True, x_tolerance=1.0)
    return found


def clashes(page: Any) -> list[tuple[str, str]]:
    """Pieces of text that lie on one another."""
    all_boxes = boxes(page)
    x0, x1, top, bottom = (np.array([box[key] for box in all_boxes]) for key in ("x0", "x1", "top", "bottom"))
    across = np.minimum.outer(x1, x1) - np.maximum.outer(x0, x0)
    down = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top)
    pairs = np.argwhere(np.triu((across > TOUCH) & (down > TOUCH), 1))
    return [(all_boxes[a]["text"], all_boxes[b]["text"]) for a, b in pairs]


def check_sheets(data: bytes) -> None:
    """A4, all text within what a printer reaches, none on another, black and greys alone."""
    for page in pages_of(data):
        assert PAGE == pytest.approx((float(page.width) / POINT, float(page.height) / POINT), abs=0.01)
        for box in boxes(page):
            assert PRINTABLE * POINT <= box["x0"], box["text"]
            assert box["x1"] <= page.width - PRINTABLE * POINT, box["text"]
            assert PRINTABLE * POINT <= box["top"], box["text"]
            assert box["bottom"] <= page.height - PRINTABLE * POINT, box["text"]
        assert [] == clashes(page)
        for thing in (*page.chars, *page.lines, *page.rects, *page.curves):
            for colour in (thing["non_stroking_color"], thing["stroking_color"]):
                assert colour is None or 1 == len(np.atleast_1d(colour))


@demos
def test_a_sheet_a_part(solved: dict[str, Solved], notes: dict[str, Note], name: str) -> None:
    """A summary, one sheet for each part, the members that are not made here, and the loads: in this order."""
    one = solved[name]
    pages = pages_of(notes[name].pdf)
    assert 1 + len(one.parts) + 2 == len(pages)
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words_of(page)
        assert "Screening, no approval." in words_of(page)
    titles = [" ".join(page.extract_text().splitlines()[:2]) for page in pages]
    assert titles[0].startswith("Load paths and cautions")
    assert {part.name: number for number, part in enumerate(one.parts, 2)} == notes[name].pages
    for part, title in zip(one.parts, titles[1:], strict=False):
        assert f"{part.name} {part.role}" == title
    assert titles[-2].startswith("Members that are not made here")
    assert titles[-1].startswith("Loads on the front end")


@demos
def test_sheet_says_all(solved: dict[str, Solved], notes: dict[str, Note], name: str) -> None:
    """Verdict, failure, loads, checks with margins, assumptions, what is not assessed, inspections, who judges."""
    one = solved[name]
    record = one.record()
    pages = pages_of(notes[name].pdf)
    for part, page, data in zip(one.parts, pages[1:], record["parts"], strict=False):
        text = words_of(page)
        assert path_words(part.role)[1:] in text
        assert f"If it lets go: {part.if_it_fails}." in text
        if not part.checks:
            assert "Carries no load: a marking aid. No load worth a check." in text
            continue
        least = min(part.checks, key=lambda check: check.reserve)
        assert f"Least margin {least.margin:.2f} where {least.required:.2f} is required" in text
        for check in data["checks"]:
            assert holds(page, f"{check['name']} {check['words']} {check['case']}")
            assert f"{check['margin']:.2f} of {check['required']:.2f}" in text
        for load in data["loads"]:
            assert holds(page, f"{load['name']} {load['value']:.0f} {load['case']}")
        left, right = words_of(page, 0.0, 0.5), words_of(page, 0.5, 1.0)
        if name == "alder-coupe":
            # Lengths are in inches as well in the other one.
            for sentence in (*part.qualified, *part.assumptions, *part.not_assessed):
                assert sentence in left.replace(" • ", " ") or holds(page, sentence), sentence
        for sentences in part.inspection[:4]:
            for sentence in sentences:
                assert sentence in right or holds(page, sentence), sentence


@demos
def test_summary_says_all(solved: dict[str, Solved], notes: dict[str, Note], name: str) -> None:
    """Every part with its page, what an engineer decides, that welding may be forbidden, local codes, no approval."""
    text = words_of(pages_of(notes[name].pdf)[0])
    for part in solved[name].parts:
        assert part.name in text
    for words in (
        solved[name].record()["caution"],
        "What a licensed engineer must decide",
        "Some authorities forbid welding or heating steering and suspension parts at all",
        "Local codes, event rules and licensed practice decide.",
        "They are no approval.",
    ):
        assert words in text, words


@demos
def test_nothing_is_cut_off_or_overprinted(notes: dict[str, Note], name: str) -> None:
    """All text lies on the sheet and on nothing else; no colour is needed to read it."""
    check_sheets(notes[name].pdf)


@demos
def test_fonts_are_embedded(notes: dict[str, Note], name: str) -> None:
    """Every font that a page names is in the file."""
    from pdfminer.pdftypes import resolve1

    for page in pages_of(notes[name].pdf):
        fonts = resolve1(resolve1(page.page_obj.resources)["Font"])
        used = {char["fontname"].partition("+")[2] for char in page.chars}
        assert 1 == len(used)
        for font in map(resolve1, fonts.values()):
            assert "FontFile2" in resolve1(font["FontDescriptor"])


def drawings(one: Solved, measure: Any) -> list[tuple[list[str], Drawing]]:
    """All pictures of a job, with the words that each must have, an arrow's once."""
    tyre = one.solution.as_modified.front_end.tyre
    scenes = [*(part_scene(one.context, part) for part in one.parts), worst_scene(one.context)]
    found = []
    for scene in scenes:
        wanted = [bar.text for bar in bars_of(scene)]
        if scene.body is not None:
            wanted += [force.text for force in forces_of(scene, scene.body)]
        found.append((wanted, scene_drawing(scene, tyre, (WIDTH, 78.0), measure)))
    seen = overview(one.context, one.parts)
    numbers = [str(number) for number, _ in seen.marks]
    found.append(([], overview_drawing(seen, tyre, (WIDTH, 78.0), measure)))
    # Marking aids go on no car, so they have no place there.
    fitted = {str(number) for number, part in enumerate(one.parts, 1) if part.role != "marking aid"}
    assert fitted == set(numbers)
    return found


@demos
def test_every_force_is_named_once(solved: dict[str, Solved], name: str) -> None:
    """No picture is so full that a force goes without its words, and nothing is drawn beyond the frame."""
    for wanted, drawing in drawings(solved[name], Painter("").measure):
        texts = [shape.text for shape in drawing.shapes if isinstance(shape, Words)]
        for words in wanted:
            assert 1 == texts.count(words), words
        for shape in drawing.shapes:
            if isinstance(shape, Line):
                assert np.all(shape.points >= -1e-9)
                assert np.all(shape.points <= np.array([drawing.width, drawing.height]) + 1e-9)


@demos
def test_picture_has_the_loads_of_its_pose(solved: dict[str, Solved], name: str) -> None:
    """The sleeve's picture is at the pose of its worst check, with the forces of the table of loads there."""
    one = solved[name]
    part = next(part for part in one.parts if part.name == "arm-sleeve")
    least = min((c for c in part.checks if c.where.steer is not None), key=lambda check: check.reserve)
    scene = part_scene(one.context, part)
    assert scene.body is not None
    assert least.where == scene.body.where
    loads = one.context.loads
    at = (
        (np.abs(loads.steer - least.where.steer) < 1e-9)
        & (np.abs(loads.travel - least.where.travel) < 1e-9)
        & (loads.pad > 0)
    )
    expected = {f"ball joint on arm {value / 1000:.1f} kN" for value in loads.ball_joint[at]}
    texts = {force.text for force in forces_of(scene, scene.body)}
    assert expected & texts
    assert {"link", "ball joint"} <= scene.carrying
    assert "rack" not in scene.carrying
    assert np.linalg.norm(scene.body.on_arm) > LEAST_FORCE


def test_plate_carries_nothing(solved: dict[str, Solved]) -> None:
    """No arrow is drawn on a part that no load of the wheel runs through; its outline is."""
    one = solved["alder-coupe"]
    part = next(part for part in one.parts if part.name == "closure-plate-right")
    scene = part_scene(one.context, part)
    assert scene.body is None
    assert "right" == scene.shape.side
    (mark,) = scene.marks
    assert np.all(mark.points[:, 1] < 0)
    assert len(mark.points) == len(part.dimensions.outline)  # type: ignore[attr-defined]


def test_same_bytes_in_another_process(
    tmp_path: Path, solved: dict[str, Solved], notes: dict[str, Note]
) -> None:
    """Two processes with other hash seeds and this one, which wrote others before, write the same bytes."""
    job = demo_path("alder-coupe")
    for seed in ("1", "2"):
        done = run("loads", job, "--pdf", f"{seed}.pdf", cwd=tmp_path, PYTHONHASHSEED=seed)
        assert 0 == done.code, done.told
        assert f"{seed}.pdf is written." in done.err
        assert notes["alder-coupe"].pdf == (tmp_path / f"{seed}.pdf").read_bytes()
    one = solved["alder-coupe"]
    assert notes["alder-coupe"] == note(one.context, one.parts, one.record())


def test_build_writes_it(demo: BuildResult) -> None:
    """PDF and pictures lie beside the Markdown, which names the page of each part; revisions stand in the titles."""
    pages = pages_of((demo.folder / SHEETS).read_bytes())
    text = (demo.folder / "caution.md").read_text(encoding="utf-8")
    assert f"]({PICTURES})" in text
    found = dict(
        re.findall(r"^## (\S+)\n(?:(?!^## ).*\n)*?Picture of its load path: page (\d+) of", text, re.M)
    )
    assert {part.name for part in demo.solved.parts} == set(found)
    for name, number in found.items():
        assert words_of(pages[int(number) - 1]).startswith(f"{name}, revision {demo.revisions[name]} ")
    svg = ET.fromstring((demo.folder / PICTURES).read_text(encoding="utf-8"))
    titles = [element.text or "" for element in svg.iter("{http://www.w3.org/2000/svg}text")]
    for number, part in enumerate(demo.solved.parts, 1):
        assert any(title.startswith(f"{number}. {part.name}") for title in titles)


def test_without_files_none_is_named(solved: dict[str, Solved]) -> None:
    """The Markdown of a job that was not built refers to no file."""
    text = caution_text(solved["alder-coupe"].record())
    assert SHEETS not in text
    assert PICTURES not in text


def test_hostile_names_stay_text() -> None:
    """Names that look like markup, PDF operators or long words are printed as they are, and stay within their cells."""
    case = (
        f"\n[[load_case]]\nname = '</text><i>(a) {'W' * 40}'\nvertical = 4\nrearward = 4\nsteer = \"lock\"\n"
    )
    text = edited(
        full_job(),
        ('name = "Alder coupe, 50 degrees on 17s"', f"name = '{HOSTILE}'"),
        ('name = "rear inner panel"', f'name = "{"W" * 59}"'),
    )
    one, found = noted(text + case)
    check_sheets(found.pdf)
    pages = pages_of(found.pdf)
    assert ["Load paths and cautions", HOSTILE] == pages[0].extract_text().splitlines()[:2]
    assert holds(pages[0], HOSTILE)
    assert any("</text><i>(a)" in words_of(page) for page in pages)
    svg = ET.fromstring(found.svg)
    assert {"svg", "rect", "text", "polyline", "polygon"} == {
        element.tag.rpartition("}")[2] for element in svg.iter()
    }
    assert "</svg>" not in found.svg[:-10]
    assert one.parts


def test_letters_that_the_font_lacks() -> None:
    """They are question marks, not an error."""
    name = ('name = "Alder coupe, 50 degrees on 17s"', 'name = "車 coupe"')
    _, found = noted(edited(tiny_job(), name))
    assert "? coupe" in words_of(pages_of(found.pdf)[0])


WEAK = ('rack_spacer_material = "42CrMo4+QT"', 'rack_spacer_material = "S235JR"')


def test_override_is_said_on_both_sheets() -> None:
    """Summary and the part's own sheet say in so many words that it was made all the same, and which check failed."""
    override = ('# override = ["arm-sleeve"]', 'override = ["rack-spacer"]')
    one, found = noted(edited(tiny_job(), WEAK, override))
    (part,) = one.parts
    assert part.overridden
    check_sheets(found.pdf)
    for page in pages_of(found.pdf)[:2]:
        assert "MADE BY OVERRIDE OF THE BUILDER although" in words_of(page)
    assert "bearing pressure under preload and a hit at the rack's stop 0." in words_of(
        pages_of(found.pdf)[1]
    )


def test_all_that_falls_short() -> None:
    """A car six times as heavy, all overridden: the warnings leave every sheet whole."""
    heavy = ("left = 310\nright = 310", "left = 1900\nright = 1900")
    override = ('# override = ["arm-sleeve"]', 'override = ["rack-spacer", "arm-sleeve", "bump-stop"]')
    one, found = noted(edited(full_job(), heavy, override))
    assert sum(bool(part.overridden) for part in one.parts) >= 4
    check_sheets(found.pdf)
    pages = pages_of(found.pdf)
    for name, number in found.pages.items():
        assert words_of(pages[number - 1]).startswith(name)


def test_member_that_falls_short_is_on_the_first_sheet() -> None:
    """Tie rods that would buckle or don't reach are named where nobody misses them, in every form of the note."""
    thin = edited(
        tiny_job(),
        ("diameter = 16                     # of their", "diameter = 8 # of their"),
        ("longest = 410", "longest = 340"),
    )
    one, found = noted(thin)
    check_sheets(found.pdf)
    record = one.record()
    page, text = words_of(pages_of(found.pdf)[0]), caution_text(record)
    for words in ("buckling of the tie rod, 0.", "adjustment of the tie rods, 0."):
        assert f"NOT MADE HERE AND FALLS SHORT: tie rods: {words}" in page
        assert f"**tie rods: {words}" in text
        assert f"FALLS SHORT: tie rods: {words}" in loads_text(record)
    assert "short of what is needed" in page


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (edited(small_job(), ("lock = 50 ", "lock = 75 ")), "Out of reach: 75.0° of lock"),
        (edited(tiny_job(), WEAK), "Not made"),
    ],
    ids=("out of reach", "refused"),
)
def test_no_part(text: str, words: str) -> None:
    """A job without a part has its summary and its loads, and says why."""
    one, found = noted(text)
    assert not one.parts
    check_sheets(found.pdf)
    pages = pages_of(found.pdf)
    assert words in words_of(pages[0])
    assert words_of(pages[1]).startswith("Members that are not made here")
    assert {} == found.pages


def test_inches(notes: dict[str, Note]) -> None:
    """An inch job is told in inches, with the millimetres beside them."""
    text = words_of(pages_of(notes["birch-coupe"].pdf)[-1])
    assert "19.685 in (500.0 mm)" in text


def test_arm_in_one_piece() -> None:
    """An arm without a second leg is drawn and noted as well."""
    text = edited(
        full_job(),
        ('link_start = "rear pivot" ', 'link_start = "between pivots" '),
        ("brace_offset = 45 ", "# brace_offset = 45 "),
    )
    _, found = noted(text)
    check_sheets(found.pdf)


def test_pdf_is_written_over_nothing_else(locksweep: Command, tmp_path: Path) -> None:
    """A name that does not end in .pdf is refused before anything is solved: it may be the job file's."""
    job = written(tmp_path, tiny_job())
    before = job.read_bytes()
    done = locksweep("loads", job, "--pdf", job)
    assert 2 == done.code
    assert "expected a name that ends in .pdf" in done.told
    assert before == job.read_bytes()


def test_pdf_that_can_not_be_written(locksweep: Command, tmp_path: Path) -> None:
    """A folder that is not there is named, without a traceback."""
    done = locksweep("loads", written(tmp_path, tiny_job()), "--pdf", tmp_path / "none" / "note.pdf")
    assert Exit.NOT_WRITTEN == done.code
    assert "could not be written" in done.err
