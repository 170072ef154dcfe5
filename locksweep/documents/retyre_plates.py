"""Verdicts on closure plates and other parts when the tyre changes, in words, from the record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from locksweep.body.summary import pose_words
from locksweep.console import aligned
from locksweep.documents.markdown import escaped, table
from locksweep.units import Units, length_text, sentence_text

Record = Mapping[str, Any]

MOST_DIMENSIONS = 5
"""That are told of one part in the terminal; all are in the record."""


def metal_words(cuts: Sequence[Record]) -> str:
    """How much metal has to go, in sum, as a sentence."""
    old, new = (sum(cut[key]["area_mm2"] for cut in cuts) / 100 for key in ("old", "new"))
    unknown = any(cut[key]["no_line"] for cut in cuts for key in ("old", "new"))
    if unknown and not old + new:
        return "How much metal has to be cut then is not known: no cut line could be told."
    words = f"To be cut then: {new:.0f} cm² in sum, {old:.0f} cm² for the old tyre"
    return words + (", pieces without a line not counted." if unknown else ".")


def plate_lines(record: Record, changed: Record, units: Units) -> list[str]:
    """Each plate's verdict with what it rests on."""
    lines = []
    for plate in changed["plates"]:
        lines.append(f"  {plate['name']} {plate['verdict'].upper()}")
        lines += [f"    - {sentence}" for sentence in _reasons(plate, record, units)]
    return lines


def _reasons(plate: Record, record: Record, units: Units) -> Iterator[str]:
    wanted = length_text(record["wanted_gap_mm"], units)
    if plate["faces"] is not None:
        was = length_text(plate["old_faces"]["gap_mm"], units)
        yield f"{_near_words(plate['faces'], units, False)}; {wanted} is wanted, it was {was} on the old tyre"
        beside = plate["beside"]
        if beside is None:
            yield "of what is left of the body round it nothing was measured"
        else:
            yield f"{_near_words(beside, units, True)}; {wanted} is wanted"
    if plate["old_short"]:
        yield f"on the old tyre it does not keep {wanted} either"
    if plate["old_size_mm"] is not None:
        yield f"size over all as it is: {_size(plate['old_size_mm'], units)}"
    if plate["new"] == "refused":
        yield f"a new one is not made: {escaped(sentence_text(plate['new_reason'], units))}"
    elif plate["new"] == "not told":
        yield f"what a new one would be is not told: {plate['new_reason']}"
    elif plate["new"] == "unchanged":
        yield "a new one would have the same dimensions"
    elif plate["new"] == "no longer needed":
        yield "nothing would have to be cut for the new tyre alone; the hole is there, and the plate closes it"
    else:
        yield f"a new one would be {_size(plate['new_size_mm'], units)} over all"


def _near_words(near: Record, units: Units, beside: bool) -> str:
    gap = near["gap_mm"]
    what = f"'{escaped(near['what'])}'" if beside else f"its {near['what']}"
    at = ", ".join(length_text(value, units, 0) for value in near["at_mm"])
    where = f"at {at} ({pose_words(near['pose'], units)})"
    first = "beside its hole " if beside else ""
    if gap < 0:
        return f"{first}the swept tyre reaches {length_text(-gap, units)} into {what} {where}"
    return f"{first}{what} keeps {length_text(gap, units)} from the swept tyre {where}"


def _size(size: Sequence[float], units: Units) -> str:
    return " × ".join(length_text(side, units) for side in size)


def parts_lines(changed: Record, units: Units) -> list[str]:
    """A table of all parts, and sentences on what can't be seen in it."""
    if not changed["parts"]:
        return ["Parts: none were sized, so none can be compared."]
    standing = {plate["name"] for plate in changed["plates"] if plate["verdict"] == "can stay"}
    rows = [
        [
            part["name"],
            "the old one can stay" if part["name"] in standing else part["status"],
            _change_words(part, units, part["name"] in standing),
        ]
        for part in changed["parts"]
    ]
    sized = changed["sized_for_lock_deg"]
    for_lock = "" if changed["goal_met"] or sized is None else f", sized for {sized:.1f}°"
    lines = [f"Parts, old job to new{for_lock}", *aligned(table(["part", "", "what changes"], rows))]
    if any(
        part["status"] in ("changed", "refused") and part["old_size_mm"] and part["name"] not in standing
        for part in changed["parts"]
    ):
        lines.append(
            "  A part that changes or is refused was sized for the old tyre's loads and places: don't use it on the "
            "new one before you know why."
        )
    return lines


def _change_words(part: Record, units: Units, standing: bool) -> str:
    if part["status"] in ("refused", "not told"):
        return escaped(sentence_text(part["reason"], units))
    if part["status"] == "new":
        return f"{_size(part['new_size_mm'], units)} over all"
    told = [_one(change, units) for change in part["changes"]]
    left = len(told) - MOST_DIMENSIONS
    if standing and told:
        told[0] = f"a new one: {told[0]}"
    return ", ".join(told[:MOST_DIMENSIONS]) + (f" and {left} more" if left > 0 else "")


def _one(change: Record, units: Units) -> str:
    name, old, new = change["name"].replace("_", " "), change["old"], change["new"]
    if isinstance(old, float) and isinstance(new, float):
        return f"{name} {length_text(old, units, 2)} to {length_text(new, units, 2)}"
    if isinstance(old, list) or isinstance(new, list):
        counts = [len(value) if isinstance(value, list) else 1 for value in (old, new)]
        return f"{name} differs" + (f" ({counts[0]} to {counts[1]})" if counts[0] != counts[1] else "")
    return f"{name} {escaped(str(old))} to {escaped(str(new))}"
