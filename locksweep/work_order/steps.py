"""Operations and hold points in order, those of the table that the job has a use for, filled in."""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator

from locksweep.documents.caution import ENGINEER, every_events
from locksweep.documents.markdown import plain
from locksweep.units import sentence_text
from locksweep.work_order.blocks import PRACTICE, Aid, Block, Hold, Operation, Section
from locksweep.work_order.facts import Facts, Record
from locksweep.work_order.tables import Row, rows, rows_for
from locksweep.work_order.words import AID, mock_up_sizes


def steps(facts: Facts) -> tuple[Section, ...]:
    """A section a stage; operations are numbered by the stage's letter."""
    found = []
    by_stage = itertools.groupby(rows_for("steps", facts.has, facts.said), key=lambda row: row["stage"])
    for letter, (stage, of_stage) in zip(string.ascii_uppercase, by_stage, strict=False):
        blocks = [_block(facts, row, f"{letter}{count}") for count, row in enumerate(of_stage, 1)]
        found.append(Section(f"{letter}. {stage}", tuple(blocks), level=3))
    return tuple(found)


def _block(facts: Facts, row: Row, number: str) -> Block:
    record = tuple(label.strip() for label in row["record"].split(";") if label.strip())
    text = row["text"]
    if PRACTICE in row["source"] and row["kind"] == "op":
        text += f" ({PRACTICE})"
    if row["kind"] == "hold":
        return Hold(number, text, tuple(_looks(facts, row)), row["who"], record)
    return Operation(number, text, tuple(_notes(facts, row)), record, tuple(_aids(facts, row["id"])))


def _looks(facts: Facts, row: Row) -> Iterator[str]:
    """What is looked at where nobody goes on before it is signed."""
    what, record = row["looks"], facts.record
    if what == "engineer":
        yield from map(plain, ENGINEER)
        yield from _questions(facts, record["parts"])
    elif what == "pickup":
        for member in (item for item in record["members"] if item["changed"].startswith("tie-rod pickup")):
            yield from member["not_assessed"]
    elif what == "qualified":
        # What was to be known of a marking aid's use is no matter of the car any more.
        yield from _questions(facts, [part for part in record["parts"] if part["role"] != AID])
    elif what:
        parts = record["parts"] if row["parts"] == "all" else facts.parts(*row["parts"].split())
        yield from _alike(parts, [_worded(facts, part["inspection"][what]) for part in parts])
        if what == "after_first_run":
            for part in parts:
                again = part["inspection"]["again"]
                if again:
                    words = "; ".join(_worded(facts, again))
                    yield f"{every_events(part['inspection']['events']).lower()}, {part['name']}: {words}"


def _questions(facts: Facts, parts: list[Record]) -> Iterator[str]:
    """What somebody qualified has to say of parts, with the names of those that it is asked of."""
    asked: dict[str, list[str]] = {}
    for part in parts:
        for sentence in _worded(facts, part["qualified"]):
            asked.setdefault(sentence, []).append(part["name"])
    yield from (f"{', '.join(names)}: {sentence}" for sentence, names in asked.items())


def _notes(facts: Facts, row: Row) -> Iterator[str]:
    """What goes with an operation: the mock-ups to print, or notes of its parts, with the name where they differ."""
    if row["looks"] == "mock-ups":
        for part in (each for each in facts.parts() if each["mock_up"]):
            yield mock_up_sizes(part, facts.units)
    if row["looks"] == "notes":
        parts = facts.parts(*row["parts"].split())
        yield from _alike(parts, [part["notes"] for part in parts])


def _worded(facts: Facts, sentences: list[str]) -> list[str]:
    """Sentences that the record keeps in mm, in the reader's units."""
    return [sentence_text(sentence, facts.units) for sentence in sentences]


def _alike(parts: list[Record], lists: list[list[str]]) -> Iterator[str]:
    """Every sentence once; with the names of the parts that it holds for, where it doesn't hold for all."""
    holds: dict[str, list[str]] = {}
    for part, sentences in zip(parts, lists, strict=True):
        for sentence in sentences:
            holds.setdefault(sentence, []).append(part["name"])
    for sentence, names in holds.items():
        yield sentence if len(names) == len(parts) else f"{', '.join(names)}: {sentence}"


def _aids(facts: Facts, step: str) -> Iterator[Aid]:
    """Marking aids of the build that serve an operation, each with its own notes."""
    for aid in (row for row in rows("aids") if row["step"] == step):
        parts = facts.parts(aid["family"])
        if parts:
            names = ", ".join(part["name"] for part in parts)
            sentences = tuple(_alike(parts, [part["notes"] for part in parts]))
            yield Aid(f"{parts[0]['title']} ({names}): {aid['use']}", sentences)
