"""What a job has, and what stands for each name in a sentence of the work order: all of it from answer and record."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from locksweep.documents.record import units_of
from locksweep.documents.wording import in_reader_units
from locksweep.solved import Solved
from locksweep.units import Units, length_text
from locksweep.work_order.conditions import conditions
from locksweep.work_order.sentences import sentences
from locksweep.work_order.words import degrees, listed
from solver.car import Job, Side
from solver.clearance import obstacles
from solver.errors import GeometryError
from solver.gaps_at_lock import PlaceGap, gaps_at_lock, racks_at
from solver.sizing.context import SizingContext
from solver.sweep import TURNS
from solver.uncertainty.bands import Band
from solver.uncertainty.set_up import SetUp, set_up

Record = Mapping[str, Any]

MOST_AGAIN = 4
"""Errors that are named to be measured again."""
TELLING = ("tie rod", "lock", "over-centre margin")
"""Kinds of band whose errors are looked at for that."""


@dataclass(frozen=True)
class Reckoned:
    """What takes time and needs no built part: bands of set-up values, and gaps at the stops.

    bracket: turns that a stop bracket ends; no_bands: why there are none, where there are none
    """

    bracket: frozenset[Side]
    set_up: SetUp
    no_bands: str
    gaps: tuple[PlaceGap, ...]


@dataclass(frozen=True)
class Facts:
    """A job for its work order.

    record: in the reader's units; has: conditions that it meets; said: what stands for names in sentences
    bands: of set-up values, by name; no_bands: why there are none, where there are none
    over_centre_first: share of cars that go over centre before the stop, by turn
    gaps: at the stops; bracket: turns that a stop bracket of this build ends
    """

    job: Job
    context: SizingContext
    record: Record
    units: Units
    has: frozenset[str]
    said: Mapping[str, str]
    bands: Mapping[str, Band]
    over_centre_first: Mapping[Side, float]
    no_bands: str
    gaps: tuple[PlaceGap, ...]
    bracket: frozenset[Side]

    def length(self, value: float, digits: int = 1) -> str:
        """A length in mm in the reader's units."""
        return length_text(value, self.units, digits)

    def parts(self, *families: str) -> list[Record]:
        """Parts of some families, or all of them."""
        return [part for part in self.record["parts"] if not families or part["family"] in families]


def reckoned(solved: Solved) -> Reckoned:
    """For the stop brackets among the job's parts."""
    return _reckoned(solved, {part.name for part in solved.parts})


def _reckoned(solved: Solved, names: set[str]) -> Reckoned:
    bracket = _bracket(names)
    bands, no_bands = _set_up(solved, bracket)
    return Reckoned(bracket, bands, no_bands, _gaps(solved, bracket))


def _bracket(names: set[str]) -> frozenset[Side]:
    return frozenset(turn for turn in TURNS if f"bump-stop-{turn}" in names)


def facts_of(solved: Solved, record: Record, known: Reckoned | None = None) -> Facts:
    """Everything that the work order is made from.

    record: of the same job, with or without revisions and files; known: from before, of a job with the same brackets
    """
    record = in_reader_units(record)
    families = {part["family"] for part in record["parts"]}
    names = {part["name"] for part in record["parts"]}
    if known is None or known.bracket != _bracket(names):
        known = _reckoned(solved, names)
    bands = known.set_up
    again = _again(bands.bands.values())
    has = frozenset(conditions(solved, record, families)) | ({"again"} if again else set())
    return Facts(
        job=solved.job,
        context=solved.context,
        record=record,
        units=units_of(record),
        has=has,
        said=sentences(solved, record) | _margins(bands) | {"again": listed(again)},
        bands=bands.bands,
        over_centre_first=bands.over_centre_first,
        no_bands=known.no_bands,
        gaps=known.gaps,
        bracket=known.bracket,
    )


def _set_up(solved: Solved, bracket: frozenset[Side]) -> tuple[SetUp, str]:
    """The bands, or in words why there are none: no uncertainty stated is a reason not to build."""
    try:
        return set_up(solved.solution, bracket), ""
    except GeometryError as error:
        return SetUp({}, {}), f"No bands, since the uncertainties are too large: {error}."


def _margins(found: SetUp) -> dict[str, str]:
    """Over-centre margins at the stops of this build, a bracket that was refused left out."""
    bands = {turn: found.bands.get(f"over-centre margin, {turn} turn") for turn in TURNS}
    return {
        f"margin_{turn}": degrees(math.degrees(band.nominal), 1)
        for turn, band in bands.items()
        if band is not None
    }


def _gaps(solved: Solved, bracket: frozenset[Side]) -> tuple[PlaceGap, ...]:
    front_end = solved.solution.as_modified.front_end
    racks = {}
    for turn in TURNS:
        contact = solved.context.contacts.get(turn) if turn in bracket else None
        locks = None
        if contact is not None and not isinstance(contact, str):
            locks = dict(zip(contact.travel.tolist(), contact.locks.tolist(), strict=True))
        racks[turn] = racks_at(front_end, turn, locks)
    return gaps_at_lock(front_end, racks, solved.job.goal.clearance)


def _again(bands: Iterable[Band]) -> list[str]:
    """Names of errors that matter most to what is set, those that measuring again makes less; largest share first."""
    found: dict[str, float] = {}
    for band in bands:
        if band.kind not in TELLING:
            continue
        for share in band.shares:
            if share.source.again and share.of_variance > 0.05:
                found[share.source.name] = max(share.of_variance, found.get(share.source.name, 0.0))
    return sorted(found, key=lambda name: -found[name])[:MOST_AGAIN]


def turning_with_the_wheel(facts: Facts) -> frozenset[str]:
    """Places that the knuckle carries: their gap is the same at any lock."""
    front_end = facts.context.solution.as_modified.front_end
    return frozenset(
        place.name
        for assembly in front_end.sides
        for place in obstacles(front_end, assembly)
        if place.fixed_to == "knuckle"
    )
