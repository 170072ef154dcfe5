"""The caution note for print: every sheet of it, and the pictures of the load paths as a file of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from locksweep.documents.verdicts import where_words
from locksweep.documents.wording import in_reader_units
from locksweep.note.frame import BODY, SIDES, TOP, WIDTH, frame
from locksweep.note.pages import (
    PLACES,
    Draw,
    Sheet,
    loads_sheet,
    members_sheet,
    part_sheet,
    summary_sheet,
)
from locksweep.note.paint import PAGE, Painter
from locksweep.note.picture import overview_drawing, scene_drawing
from locksweep.note.scenes import Scene, overview, part_scene, worst_scene
from locksweep.note.sheet import Setter, Strip, paged
from locksweep.note.svg import stacked
from solver.part import Part
from solver.sizing.context import SizingContext
from solver.tyre import Tyre

SIZES = (2.9, 2.6, 2.4, 2.25)
"""Of the font in mm; the largest at which a sheet holds all of its own is taken."""
HEIGHTS = (78.0, 68.0, 60.0)
"""Most that a picture may take, mm, the same way."""
FOOT_LINE = "Screening, no approval. Local codes, event rules and a licensed engineer decide."


class Note(NamedTuple):
    """The PDF file's bytes, the pictures as SVG, and on which page each part's sheet begins."""

    pdf: bytes
    svg: str
    pages: dict[str, int]


def note(context: SizingContext, parts: tuple[Part, ...], record: Mapping[str, Any]) -> Note:
    """The note of a job: its parts, and the record that the other documents are made from."""
    record = in_reader_units(record)
    painter = Painter(f"Load paths and cautions: {record['job']['name']}")
    tyre = context.solution.as_modified.front_end.tyre
    scenes = [*(part_scene(context, part) for part in parts), worst_scene(context)]
    draws = [_drawn(scene, tyre, painter) for scene in scenes]
    seen = overview(context, parts)
    places = cache(lambda height: overview_drawing(seen, tyre, (WIDTH, height), painter.measure))
    sheets = [
        *(part_sheet(*each) for each in zip(record["parts"], scenes[:-1], draws[:-1], strict=True)),
        members_sheet(record, scenes[-1], draws[-1]),
        loads_sheet(record),
    ]
    laid = [_laid(painter, sheet) for sheet in sheets]
    # How long the summary is says on which page each part's sheet is, and that stands in the summary.
    first = [1 + sum(map(len, laid[:number])) for number in range(len(sheets))]
    summary = _laid(painter, summary_sheet(record, places, first))
    starts = [len(summary) + number for number in first]
    front = summary_sheet(record, places, starts)
    _paint(painter, [front, *sheets], [_laid(painter, front), *laid], record)
    titles = [
        f"{number}. {_named(scene)}{', MADE BY OVERRIDE' if part.overridden else ''}"
        for number, (scene, part) in enumerate(zip(scenes, parts, strict=False), 1)
    ]
    pictures = [
        (title, draw(HEIGHTS[0])) for title, draw in zip([*titles, _named(scenes[-1])], draws, strict=True)
    ]
    if parts:
        pictures.insert(0, (PLACES, places(HEIGHTS[0])))
    return Note(
        painter.finished(),
        stacked(pictures),
        dict(zip([part.name for part in parts], starts, strict=False)),
    )


def _named(scene: Scene) -> str:
    return scene.name if scene.where is None else f"{scene.name}: {where_words(scene.where)}"


def _drawn(scene: Scene, tyre: Tyre, painter: Painter) -> Draw:
    return cache(lambda height: scene_drawing(scene, tyre, (WIDTH, height), painter.measure))


def _laid(painter: Painter, sheet: Sheet) -> list[list[Strip]]:
    """A sheet's strips on one page, at the largest size at which they fit; else on several at the smallest."""
    tries = [*((size, HEIGHTS[0]) for size in SIZES), *((SIZES[-1], height) for height in HEIGHTS[1:])]
    least, tried = 0.0, SIZES[0]
    for size, height in tries:
        # Text takes no less than its share of the area that it took: no need to look.
        if size > SIZES[-1] and least * (size / tried) ** 2 > BODY:
            continue
        strips = sheet.strips(Setter(painter, size, WIDTH), height)
        least, tried = sum(strip.height for strip in strips), size
        if least <= BODY:
            return [strips]
    return paged(sheet.strips(Setter(painter, SIZES[-1], WIDTH), HEIGHTS[0]), BODY)


def _paint(
    painter: Painter, sheets: Sequence[Sheet], laid: Sequence[list[list[Strip]]], record: Mapping[str, Any]
) -> None:
    total = sum(map(len, laid))
    job = f"{record['job']['name']}; locksweep {record['tool']['version']}"
    page = 0
    for sheet, pages in zip(sheets, laid, strict=True):
        for number, strips in enumerate(pages):
            page += 1
            title = f"{sheet.title} (continued)" if number else sheet.title
            frame(painter, title, sheet.aside, f"page {page} of {total}", FOOT_LINE, job)
            top = PAGE[1] - TOP
            for strip in strips:
                strip.paint(painter, SIDES, top)
                top -= strip.height
            painter.end_page()
