"""From the tables about the body to plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from locksweep.job.build import on_side, sides_of
from solver.body.source import BodySource, PlacePoint, ReferencePoint, RingSource, Surroundings

if TYPE_CHECKING:
    from locksweep.job.body_tables import BodyTable, ReferenceTable, RingTable
    from locksweep.job.schema import FileTable


def build_surroundings(file: FileTable) -> Surroundings:
    """All of it, from tables in which nothing is wrong."""
    sweep = {} if file.sweep is None else dict(file.sweep)
    return Surroundings(
        bodies=tuple(map(_body, file.body)),
        rings=tuple(ring for table in file.ring for ring in _ring(table)),
        references=tuple(point for table in file.reference for point in _reference(table)),
        **sweep,
    )


def _body(table: BodyTable) -> BodySource:
    values = dict(table)
    values["place"] = tuple(PlacePoint(**dict(point)) for point in table.place)
    return BodySource(**values)


def _ring(table: RingTable) -> list[RingSource]:
    values = dict(table)
    del values["side"]
    return [RingSource(**values, side=side) for side, _ in sides_of(table.side)]


def _reference(table: ReferenceTable) -> list[ReferencePoint]:
    return [
        ReferencePoint(table.name, on_side(table.at, mirrored), side)
        for side, mirrored in sides_of(table.side)
    ]
