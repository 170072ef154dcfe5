"""Operations and hold points in order, those of the table that the job has a use for, filled in."""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator

from locksweep.documents.caution import ENGINEER, every_events
from locksweep.documents.markdown import plain
from locksweep.units import sentence_text
from locksweep.work_order.blocks import PRACTICE, Block, Hold, Operation, Section
from locksweep.work_order.facts import Facts, Record
from locksweep.work_order.tables import Row, rows, rows_for


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
    return Operation(number, text, (*_notes(facts, row), *_aids(facts, row["id"])), record)


def _looks(facts: Facts, row: Row) -> Iterator[str]:
    """What is looked at where nobody goes on before it is signed."""
    what, record = row["looks"], facts.record
    if what == "engineer":
        yield from map(plain, ENGINEER)
    elif what == "pickup":
        for member in (item for item in record["members"] if item["changed"].startswith("tie-rod pickup")):
            yield from member["not_assessed"]
    elif what == "qualified":
        yield from _alike(record["parts"], [_worded(facts, part["qualified"]) for part in record["parts"]])
    elif what:
        parts = record["parts"] if row["parts"] == "all" else facts.parts(*row["parts"].split())
        yield from _alike(parts, [_worded(facts, part["inspection"][what]) for part in parts])
        if what == "after_first_run":
            for part in parts:
                again = part["inspection"]["again"]
                if again:
                    words = "; ".join(_worded(facts, again))
                    yield f"{every_events(part['inspection']['events']).lower()}, {part['name']}: {words}"


def _notes(facts: Facts, row: Row) -> Iterator[str]:
    """Notes of the parts that an operation is about; those that differ by side with the part's name."""
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


def _aids(facts: Facts, step: str) -> Iterator[str]:
    """Marking aids of the build that serve an operation, each with its own notes."""
    for aid in (row for row in rows("aids") if row["step"] == step):
        parts = facts.parts(aid["family"])
        if parts:
            names = ", ".join(part["name"] for part in parts)
            yield f"{parts[0]['title']} ({names}). {aid['use']}"
            yield from (
                f"{parts[0]['title']}: {sentence}"
                for sentence in _alike(parts, [part["notes"] for part in parts])
            )
