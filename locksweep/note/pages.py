"""What stands on each sheet of the caution note: a summary, a sheet a part, and the members that are not made here."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from locksweep.documents.caution import (
    BEFORE_DRIVING,
    ENGINEER,
    GENERAL,
    INSPECTIONS,
    every_events,
)
from locksweep.documents.changes import changes_said
from locksweep.documents.load_tables import IN_CASES, amount, case_rows, inputs_rows, load_rows, member_rows
from locksweep.documents.markdown import plain
from locksweep.documents.verdicts import least_margin, members_short, nearest_check, path_words, where_words
from locksweep.note.scenes import Scene
from locksweep.note.shapes import Drawing
from locksweep.note.sheet import Setter, Strip

Record = Mapping[str, Any]
Draw = Callable[[float], Drawing]
"""A picture of a height in mm."""

REST = "Members that are not made here"
ALL_LOADS = "Loads on the front end"
FEW = 4
"""Checks that are named in the warning over a sheet; more are left to the table."""
PLACES = "Where the parts sit, numbered as in the table. Wheels straight ahead at ride height."
WORKING = "caution.md, or locksweep loads"
ARROWS = (
    "Arrows: forces on the wheel, and what each member hands on to the next. Heads on a member point out of its ends "
    "where it is pulled, into it where it is pushed. Black carries, grey does not."
)


class Sheet(NamedTuple):
    """One sheet to lay out: title, what stands at its right, and its strips for a setter and a picture's height."""

    title: str
    aside: str
    strips: Callable[[Setter, float], list[Strip]]


def summary_sheet(record: Record, draw: Draw, pages: Sequence[int]) -> Sheet:
    """The whole job on one sheet, with the pages on which the parts' sheets begin."""

    def strips(setter: Setter, height: float) -> list[Strip]:
        found = setter.boxed(record["caution"])
        for part in record["parts"]:
            if part["overridden"]:
                found += setter.boxed(f"{_overridden(part)}: {part['name']}, {_least(part)}", dark=True)
        for sentence in members_short(record):
            found += setter.boxed(f"NOT MADE HERE AND FALLS SHORT: {sentence}", dark=True)
        if not record["goal"]["met"]:
            found += setter.paragraph(
                f"Out of reach: {record['goal']['answer']}. No part is sized.", bold=True
            )
        if record["parts"]:
            rows = [
                [
                    str(number),
                    _titled(part),
                    part["role"],
                    _least(part) + (", MADE BY OVERRIDE" if part["overridden"] else ""),
                    part["if_it_fails"],
                    str(pages[number - 1]),
                ]
                for number, part in enumerate(record["parts"], 1)
            ]
            head = ["no.", "part", "what it does", "least margin", "if it lets go", "page"]
            found += setter.table(head, rows, (4, 19, 15, 25, 43, 6.5))
            found += setter.picture(draw(height))
            found += setter.paragraph(PLACES, scale=0.92)
        if record["refused"]:
            found += setter.heading("Not made")
            found += setter.bullets(f"{item['name']}: {item['reason']}" for item in record["refused"])
        narrow = setter.narrow((setter.width - 5.0) / 2)
        left = narrow.heading("What a licensed engineer must decide") + narrow.bullets(map(plain, ENGINEER))
        right = narrow.heading("Before anyone relies on it") + narrow.bullets(BEFORE_DRIVING, "□")
        found += setter.beside([left, right])
        found += setter.heading("What holds for all of it")
        return found + setter.bullets(map(plain, GENERAL))

    return Sheet("Load paths and cautions", record["job"]["name"], strips)


def part_sheet(part: Record, scene: Scene, draw: Draw) -> Sheet:
    """One part's sheet."""

    def strips(setter: Setter, height: float) -> list[Strip]:
        found = []
        if part["overridden"]:
            said = "; ".join(_short(part)) if len(part["overridden"]) <= FEW else "see the table of checks"
            found += setter.boxed(f"{_overridden(part)}: {said}", dark=True)
        found += setter.boxed(_verdict(part), scale=1.12)
        found += setter.paragraph(f"If it lets go: {part['if_it_fails']}.", bold=True, scale=1.05)
        found += [
            setter.space(0.8),
            *setter.picture(draw(height)),
            *setter.paragraph(_caption(part, scene), scale=0.92),
        ]
        if part["loads"]:
            found += setter.heading("Loads through it, each at its worst anywhere in the sweep")
            found += setter.table(["load", "largest", "worst case and pose"], load_rows(part), (34, 14, 62))
        if part["checks"]:
            found += setter.heading(f"Checks; formulas, sources and inputs: {WORKING}")
            found += _checks(setter, part["checks"])
        narrow = setter.narrow((setter.width - 5.0) / 2)
        return found + setter.beside([_judged(narrow, part), _inspected(narrow, part)])

    return Sheet(_titled(part), part["role"], strips)


def members_sheet(record: Record, scene: Scene, draw: Draw) -> Sheet:
    """What the changes load that is not made here, and what all of it rests on."""

    def strips(setter: Setter, height: float) -> list[Strip]:
        found = setter.picture(draw(height)) + setter.paragraph(_caption(None, scene), scale=0.92)
        changed = list(changes_said(record))
        if changed:
            found += setter.heading("Changes that carry the car or change how it drives")
            found += setter.bullets(map(plain, changed))
        for member in record["members"]:
            found += setter.heading(f"{member['name']}: {member['changed']}")
            if member["checks"]:
                found += _checks(setter, member["checks"])
            found += setter.bullets(f"not assessed: {item}" for item in member["not_assessed"])
        return found

    return Sheet(REST, record["job"]["name"], strips)


def loads_sheet(record: Record) -> Sheet:
    """The worst of each member, every case, and what all of it rests on."""
    loads = record["loads"]

    def strips(setter: Setter, _: float) -> list[Strip]:
        found = setter.heading(
            f"Worst of each member over {loads['poses']} poses and cases; what is left unbalanced is under "
            f"{loads['residual']:.0e} of the load"
        )
        found += setter.table(["member", "largest", "worst case and pose"], member_rows(loads), (40, 14, 62))
        found += setter.heading(f"Largest loads of each case in N, bending in N m; sources: {WORKING}")
        found += setter.table(
            ["case", *(label for _, label in IN_CASES)], case_rows(loads), (32, *[11] * len(IN_CASES))
        )
        found += setter.heading("What the loads rest on")
        return found + setter.table(["what", "value", "from"], inputs_rows(record), (47, 19, 62))

    return Sheet(ALL_LOADS, record["job"]["name"], strips)


def _short(part: Record) -> list[str]:
    """Checks that fall short, with their margins."""
    # A sentence begins with the check's name; rounded margins would not tell a near miss.
    return [
        f"{check['name']} {check['margin']:.2f} of {check['required']:.2f}"
        for check in part["checks"]
        if any(sentence.startswith(f"{check['name']} is ") for sentence in part["overridden"])
    ]


def _overridden(part: Record) -> str:
    count = len(part["overridden"])
    return (
        f"MADE BY OVERRIDE OF THE BUILDER although {count} check{'s fall' if count > 1 else ' falls'} short"
    )


def _least(part: Record) -> str:
    least = nearest_check(part)
    if least is None:
        return least_margin(part)
    return f"{least['margin']:.2f} of {least['required']:.2f}, {least['words']}"


def _titled(part: Record) -> str:
    return part["name"] if part["revision"] is None else f"{part['name']}, revision {part['revision']}"


def _verdict(part: Record) -> str:
    said = path_words(part["role"])
    least = nearest_check(part)
    if least is None:
        return f"{said[0].upper()}{said[1:]}. No load worth a check."
    return (
        f"{said[0].upper()}{said[1:]}. Least margin {least['margin']:.2f} where {least['required']:.2f} is "
        f"required: {least['words']} ({least['name']})."
    )


def _caption(part: Record | None, scene: Scene) -> str:
    if scene.where is None:
        return "The wheel at lock at ride height. No load of the wheel runs through this part."
    least = "" if part is None else "of its checks that have a pose the one nearest to its limit: "
    return f"Picture: {least}{where_words(scene.where)}. {ARROWS}"


def _checks(setter: Setter, checks: Sequence[Record]) -> list[Strip]:
    rows = [
        [
            check["name"],
            amount(check["demand"], check["unit"]),
            amount(check["capacity"], check["unit"]),
            "no load" if check["margin"] is None else f"{check['margin']:.2f} of {check['required']:.2f}",
            check["words"],
            where_words(check),
        ]
        for check in checks
    ]
    head = ["check", "load", "strength", "margin of required", "in words", "worst case and pose"]
    return setter.table(head, rows, (33, 13, 13, 15, 19, 40))


def _judged(setter: Setter, part: Record) -> list[Strip]:
    found = setter.heading("To be done or judged by someone qualified") + setter.bullets(part["qualified"])
    found += setter.heading("Assumed") + setter.bullets(part["assumptions"])
    return found + setter.heading("Not assessed") + setter.bullets(part["not_assessed"])


def _inspected(setter: Setter, part: Record) -> list[Strip]:
    """Lists with boxes to tick."""
    inspection = part["inspection"]
    lists = [(title, inspection[key]) for key, title in INSPECTIONS]
    lists.append((every_events(inspection["events"]), inspection["again"]))
    found: list[Strip] = []
    for title, items in lists:
        if items:
            found += setter.heading(title) + setter.bullets(items, "□")
    return found
