"""What another tyre changes, for the terminal, made from the record alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from locksweep.body.summary import AXES
from locksweep.console import aligned
from locksweep.documents.retyre_plates import metal_words, parts_lines, plate_lines
from locksweep.documents.retyre_tables import (
    cuts_table,
    hardware_table,
    key_words,
    locks_table,
    newly_lines,
    no_lines,
    places_table,
    tyres_table,
)
from locksweep.units import Units, sentence_text

Record = Mapping[str, Any]

MOST_PLACES = 10
NO_BODY = (
    "No body was measured or scanned ([[wheel_well]] or [[body]] in the job file), so what of it the new tyre comes "
    "near, what has to be cut, and whether a plate can stay, can't be told."
)
SWEPT = (
    "Swept from rack stop to rack stop, as no clearance is to hang on a stop bracket, and from full droop to full "
    "bump. Between the poses looked at a clearance over nothing may be less by up to"
)
STANDING = ("can stay", "must be remade")
"""Verdicts on plates that are there."""
TITLES = {"kept": "The new tyre with all else kept", "anew": "The new tyre, the job sized anew for it"}


def retyre_text(record: Record) -> str:
    """All of it, what comes out of it first."""
    units: Units = record["job"]["units"]
    old, new = record["tyres"]["old"], record["tyres"]["new"]
    lines = [f"{record['job']['name']}: from {old['size']} to {new['size']}", ""]
    if record["assumed"]:
        lines += ["Not given, so taken:", *(f"  - {sentence}" for sentence in record["assumed"]), ""]
    lines += [f"  - {sentence_text(sentence, units)}" for sentence in in_short(record)]
    lines += ["", "Tyre", *aligned(tyres_table(record, units)), ""]
    lines += ["Lock, and what stops the wheel first", *aligned(locks_table(record, units)), ""]
    for key, title in TITLES.items():
        changed = record[key]
        if changed is not None:
            lines += [title, "", *_changed(record, changed, units)]
    lines += _to_keep(record, units)
    lines += [record["caution"]]
    return "\n".join(lines)


def _to_keep(record: Record, units: Units) -> list[str]:
    """What to write so that the next build keeps the parts that there are, where they do."""
    kept, anew = record["kept"], record["anew"]
    if not kept["complete"] or anew is None:
        return []
    scale = 25.4 if units == "in" else 1.0
    pins = ", ".join(
        f"{key} = {round(kept['changes_mm'].get(key, 0.0) / scale, 4):g}" for key in _differing(kept, anew)
    )
    return [
        f"The next build sizes the job anew. To keep the parts that you have, write under [changes]: {pins}",
        "",
    ]


def _differing(kept: Record, anew: Record) -> list[str]:
    """Keys of changes that are not the same in both."""
    one, other = kept["changes_mm"], anew["changes_mm"]
    return [key for key in dict.fromkeys([*one, *other]) if one.get(key, 0.0) != other.get(key, 0.0)]


def in_short(record: Record) -> list[str]:
    """What comes out of it, in a few sentences with lengths in mm."""
    kept, anew = record["kept"], record["anew"]
    lines = [f"With all else kept {_goal_words(kept, record)}"]
    if anew is None:
        lines.append("Sized anew for the new tyre, the job takes the same changes.")
    else:
        sizes = [
            f"{key_words(key)} {anew['changes_mm'].get(key, 0.0):.2f} mm, now {kept['changes_mm'].get(key, 0.0):.2f} mm"
            for key in _differing(kept, anew)
        ]
        lines.append(f"Sized anew ({'; '.join(sizes)}) {_goal_words(anew, record)}")
    if not record["old"]["goal_met"]:
        lines.append("The goal is out of reach on the old tyre as well: no old plates and parts to compare.")
    gap = record["wanted_gap_mm"]
    close = [
        one for one in kept["hardware"] if one["new_mm"] < min(gap, one["old_mm"]) and one["at_rest_mm"] >= 0
    ]
    if close:
        told = ", ".join(
            f"{one['corner']} {one['name']} {one['new_mm']:.1f} mm (was {one['old_mm']:.1f} mm)"
            for one in close[:4]
        )
        touches = "touches or comes" if close[0]["new_mm"] < 0 else "comes"
        lines.append(f"With all else kept the tyre {touches} nearer than {gap:.1f} mm to: {told}.")
    newly = [place for place in kept["places"] if place["status"] == "newly too near"]
    if not record["bodies"]:
        return [*lines, NO_BODY]
    if newly:
        names = ", ".join(f"'{place['name']}'" for place in newly[:3])
        more = f" and {len(newly) - 3} more" if len(newly) > 3 else ""
        lines.append(f"Newly nearer than {gap:.1f} mm, with all else kept: {names}{more}.")
    else:
        farther = [place for place in kept["places"] if place["newly"] is not None]
        but = "" if not farther else f", but {len(farther)} that were too near already reach farther"
        lines.append(f"With all else kept no place of the body is newly nearer than {gap:.1f} mm{but}.")
    if kept["cuts"]:
        lines.append(metal_words(kept["cuts"]))
    return [*lines, *(list(_plate_verdicts(record)) or ["The job has no closure plates, old or new."])]


def _plate_verdicts(record: Record) -> Iterator[str]:
    kept, anew = record["kept"], record["anew"]
    for changed, when in ((kept, "With all else kept"), (anew, "Sized anew")):
        if changed is None:
            continue
        for verdict, names in _by_verdict(changed["plates"]).items():
            old = "the old " if verdict in STANDING else ""
            yield f"{when} {old}{' and '.join(names)} {_verb(verdict, len(names) > 1)}."


def _verb(verdict: str, plural: bool) -> str:
    be = "are" if plural else "is"
    return {"is needed": f"{be} needed", "refused": f"{be} needed and refused"}.get(verdict, verdict)


def _by_verdict(plates: Sequence[Record]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for plate in plates:
        found.setdefault(plate["verdict"], []).append(plate["name"])
    return found


def _goal_words(state: Record, record: Record) -> str:
    wanted = record["goal"]["lock_deg"]
    turns = state["turns"]
    if state["goal_met"]:
        locks = " and ".join(f"{turn['lock_deg']:.1f}° to the {side}" for side, turn in turns.items())
        refused = [part["name"] for part in state["parts"] if part["status"] == "refused"]
        but = f", but not made: {', '.join(refused)}" if refused else ""
        return f"the wanted {wanted:.1f}° are met: {locks}{but}."
    sized = state["sized_for_lock_deg"]
    below = "" if sized is None else f" What follows is for {sized:.1f}°."
    return f"the goal is missed: {state['answer']}.{below}"


def _changed(record: Record, changed: Record, units: Units) -> list[str]:
    lines: list[str] = []
    if changed["places"]:
        lines += ["Clearance of the body as measured, uncut, the nearest place first"]
        lines += [*aligned(places_table(changed["places"][:MOST_PLACES], units))]
        left = len(changed["places"]) - MOST_PLACES
        lines += [f"  {left} more are in the record (--json)."] if left > 0 else []
        lines += [f"  {sentence}" for sentence in newly_lines(changed["places"][:MOST_PLACES], units)]
        lines += [
            f"  {sentence_text(_resolution(record), units)}",
            f"  {AXES}from the ground as measured.",
            "",
        ]
    if changed["hardware"]:
        lines += [
            "Tyre and the rest of the corner",
            *aligned(hardware_table(changed["hardware"], record, units)),
            "",
        ]
    if changed["cuts"]:
        lines += ["What to cut", *aligned(cuts_table(changed["cuts"], units))]
        lines += [*(f"  {sentence}" for sentence in no_lines(changed["cuts"], units)), ""]
    if changed["plates"]:
        lines += ["Closure plates", *plate_lines(record, changed, units), ""]
    return [*lines, *parts_lines(changed, units), ""]


def _resolution(record: Record) -> str:
    words = f"{SWEPT} {record['resolution_mm']:.1f} mm."
    if record["confidence"] > 0.5:
        share = 100 * record["confidence"]
        words += f" Clearances are those that {share:.4g} of 100 cars measured alike have at least."
    return words
