"""Set-up values with their bands: what is set, what then must come out, and what it would come from if it doesn't."""

from __future__ import annotations

import math
from collections.abc import Iterator

from locksweep.work_order.blocks import BLANK, Block, Paragraph, Section, Table, Warn
from locksweep.work_order.facts import Facts
from locksweep.work_order.words import degrees, sided
from solver.car import Side
from solver.sweep import TURNS
from solver.uncertainty.bands import Band

HEAD = ("value", "where", "as measured", "set or expect", "band", "depends most on", "found")
SHARES = (27.0, 15.0, 20.0, 27.0, 28.0, 38.0, 17.0)
BANDS = (
    "Bands: nine in ten cars that the measurements allow lie between these ends, with toe and stop brackets set as "
    "said and everything made and fitted to size. A value outside its band means that something is wrong, not that it "
    "must be adjusted."
)
NO_BAND = "–"
WORTH_TELLING = 0.005
"""Share of cars."""
PAST = 0.05
"""mm of rack beyond a limit that count."""


def set_up(facts: Facts) -> Section:
    """The table of set-up values."""
    blocks: list[Block] = [Paragraph(facts.no_bands or BANDS), Table(HEAD, tuple(_rows(facts)), SHARES)]
    for turn in TURNS:
        blocks += [Warn(said) for said in (_passes_lock(facts, turn), _over_centre(facts, turn)) if said]
    return Section("Set-up values", tuple(blocks))


def _rows(facts: Facts) -> Iterator[tuple[str, ...]]:
    record = facts.record
    before, after = record["as_measured"], record["as_modified"]
    rods, fixed = record["tie_rods"], record["changes"]["tie_rod_length_mm"] is not None
    for side, needed, measured, left in zip(
        TURNS, rods["needed_mm"], rods["measured_mm"], rods["thread_left_mm"], strict=True
    ):
        set_to = f"set {facts.length(needed)} first" + ("" if fixed else ", then by toe")
        yield _row(
            facts, "tie rod between joint centres", side, facts.length(measured), set_to, f"tie rod, {side}"
        )
        if left is not None:
            out, inward = (facts.length(each) for each in left)
            words = f"{out} to screw out, {inward} to screw in"
            yield ("adjustment left in the tie rod", side, "", words, NO_BAND, "", BLANK)
    for side in TURNS:
        was, now = before["corners"][side]["toe_deg"], after["corners"][side]["toe_deg"]
        words = f"{'expect' if fixed else 'set'} {degrees(abs(now))} {'in' if now >= 0 else 'out'}"
        yield _row(facts, "toe, wheels straight", side, degrees(was), words, f"toe, {side}" if fixed else "")
    for key in ("camber", "caster"):
        for side in TURNS:
            was, now = (state["corners"][side][f"{key}_deg"] for state in (before, after))
            yield _row(facts, key, side, degrees(was), f"expect {degrees(now)}", f"{key}, {side}")
    yield _row(
        facts,
        "track between the contact centres",
        "both",
        facts.length(before["track_mm"]),
        f"expect {facts.length(after['track_mm'])}",
        "track",
    )
    if "strut" in facts.has:
        yield ("strut top's place", "both", "as it is", facts.said["strut"], NO_BAND, "", BLANK)
    yield from _stop_rows(facts)


def _stop_rows(facts: Facts) -> Iterator[tuple[str, ...]]:
    record = facts.record
    for turn in TURNS:
        before, after = (record[state]["turns"][turn] for state in ("as_measured", "as_modified"))
        where = f"{turn} turn"
        rack = facts.context.solution.as_modified.front_end.rack_stop
        steer, bracket = None, turn in facts.bracket
        contact = facts.context.contacts.get(turn) if bracket else None
        if contact is not None and not isinstance(contact, str):
            rack, steer = after["rack_mm"], sided(contact.at_ride, contact.locks)
        what = "stop bracket" if bracket else "rack's own stop"
        yield _row(
            facts,
            f"rack from its middle to the {what}, ride height",
            where,
            facts.length(before["rack_mm"]),
            f"expect {facts.length(rack)}",
            f"rack, {turn} turn",
        )
        lock = facts.bands.get(f"lock, {turn} turn")
        at_stop = steer or ("" if lock is None else degrees(math.degrees(lock.nominal), 1))
        yield _row(
            facts,
            f"lock of the inner wheel at the {what}, ride height",
            where,
            degrees(before["lock_deg"], 1),
            f"{'set' if bracket else 'expect'} {at_stop}",
            f"lock, {turn} turn",
        )
        for title, key, name in (
            ("outer wheel then", "outer_deg", "outer wheel"),
            ("over-centre margin then", "over_centre_margin_deg", "over-centre margin"),
        ):
            band = facts.bands.get(f"{name}, {turn} turn")
            now = after[key] if band is None else math.degrees(band.nominal)
            yield _row(
                facts,
                title,
                where,
                degrees(before[key], 1),
                f"expect {degrees(now, 1)}",
                f"{name}, {turn} turn",
            )


def _row(facts: Facts, value: str, where: str, was: str, now: str, band: str) -> tuple[str, ...]:
    found = facts.bands.get(band)
    ends, culprit = (NO_BAND, "") if found is None else (_ends(facts, found), _culprit(facts, found))
    return (value, where, was, now, ends, culprit, BLANK)


def _ends(facts: Facts, band: Band) -> str:
    return f"{_shown(facts, band, band.low)} to {_shown(facts, band, band.high)}"


def _shown(facts: Facts, band: Band, value: float) -> str:
    digits = 2 if band.kind in ("camber", "caster", "toe") else 1
    return degrees(math.degrees(value), digits) if band.angle else facts.length(value)


def _culprit(facts: Facts, band: Band) -> str:
    if not band.shares or band.shares[0].of_variance < 0.01:
        return ""
    share = band.shares[0]
    effect = _shown(facts, band, abs(share.effect))
    return f"{share.source.name} (± {effect})"


def _over_centre(facts: Facts, turn: Side) -> str:
    """What to be aware of where the measurements don't rule out over-centre before the stop."""
    share = facts.over_centre_first.get(turn, 0.0)
    if share < WORTH_TELLING:
        return ""
    return (
        f"Over centre before the stop, {turn} turn: {100 * share:.0f} of 100 cars that the measurements allow. Measure "
        "again what the margin depends on, and turn to that side by hand and slowly, wheels off the ground, before "
        "anything is fixed for good."
    )


def _passes_lock(facts: Facts, turn: Side) -> str:
    """What to be aware of where the wheel steers on past the lock up to which clearances hold."""
    state = facts.record["as_modified"]["turns"][turn]
    first = state["limits"][0]
    stop = facts.context.solution.as_modified.front_end.rack_stop
    if turn in facts.bracket or first["rack_mm"] >= stop - PAST:
        return ""
    return (
        f"Nothing ends the {turn} turn where {first['name']} is met, at {degrees(first['lock_deg'], 1)} and "
        f"{facts.length(first['rack_mm'])} of rack from the middle: the rack goes on to its own stop at "
        f"{facts.length(stop)}. Without a stop that ends it before, the car is not released."
    )
