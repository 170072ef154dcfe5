"""A record's sentences in the units that its readers measured in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from locksweep.documents.record import units_of
from locksweep.units import Units, sentence_text

SENTENCES = frozenset(
    {
        "answer", "assumptions", "changed", "fits", "inputs", "nearest", "not_assessed", "notes", "overridden",
        "process", "reason", "reasons", "sentence",
    }
)  # fmt: skip
"""Keys whose texts hold lengths in mm."""


def in_reader_units(record: Mapping[str, Any]) -> Mapping[str, Any]:
    """The same record; in an inch job lengths in its sentences have inches first. Numbers stay as they are."""
    units = units_of(record)
    return record if units == "mm" else _worded(record, units)


def _worded(value: Any, units: Units, is_sentence: bool = False) -> Any:
    if isinstance(value, Mapping):
        return {
            key: _worded(item, units, key in SENTENCES or key.endswith("_reason"))
            for key, item in value.items()
        }
    if isinstance(value, list):
        return [_worded(item, units, is_sentence) for item in value]
    return sentence_text(value, units) if is_sentence and isinstance(value, str) else value
