"""The few numbers that matter, as text: before and after."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from locksweep.documents.record import units_of
from locksweep.documents.summary import STOP_BRACKET, held_by_bracket

Record = Mapping[str, Any]


def answer(record: Record) -> str:
    """One sentence on the goal."""
    goal, turns = record["goal"], record["as_modified"]["turns"]
    if not goal["met"]:
        return str(goal["answer"])
    before = min(turn["lock_deg"] for turn in record["as_measured"]["turns"].values())
    return (
        f"The wanted lock of {goal['lock_deg']:.1f}° is reached on paper: {turns['left']['lock_deg']:.1f}° to the "
        f"left, {turns['right']['lock_deg']:.1f}° to the right, from {before:.1f}° as measured."
    )


def headline(record: Record) -> list[dict[str, str]]:
    """Each with its name, its value as modified and as measured, and a word on it; the worse turn or wheel."""
    units = units_of(record)
    goal = record["goal"]
    turns = record["as_modified"]["turns"]
    first = min(turns, key=lambda turn: float(turns[turn]["lock_deg"]))
    ends = STOP_BRACKET if held_by_bracket(turns[first]) else turns[first]["limits"][0]["name"]
    return [
        {
            "name": "Steering lock",
            **_both(record, "turns", "lock_deg", min, lambda v: f"{v:.1f}°"),
            "word": f"inner wheel, {first} turn; {ends} comes first",
        },
        {
            "name": "Margin to over-centre",
            **_both(record, "turns", "over_centre_margin_deg", min, lambda v: f"{v:.1f}°"),
            "word": f"at lock, at ride height; {goal['over_centre_margin_deg']:.0f}° is the least wanted",
        },
        {
            "name": "Turning circle",
            **_both(record, "turns", "turning_circle_mm", max, lambda v: f"{v / 1000:.1f} m"),
            "word": "between kerbs, the wider of both turns",
        },
        {
            "name": "Scrub radius",
            **_both(
                record,
                "corners",
                "scrub_radius_mm",
                lambda values: max(values, key=abs),
                lambda v: f"{v / 25.4:.2f} in" if units == "in" else f"{v:.1f} mm",
            ),
            "word": "contact centre outside of the steering axis, at the ground",
        },
    ]


def _both(
    record: Record,
    group: str,
    key: str,
    of: Callable[[list[float]], float],
    text: Callable[[float], str],
) -> dict[str, str]:
    return {
        name: text(of([float(one[key]) for one in record[state][group].values()]))
        for name, state in (("modified", "as_modified"), ("measured", "as_measured"))
    }
