"""The check lock to lock: gaps between tyre and named places to expect at the stops, at droop, ride height and bump."""

from __future__ import annotations

import math

from locksweep.work_order.blocks import Block, Bullets, Paragraph, Section, Table, Warn
from locksweep.work_order.facts import Facts, turning_with_the_wheel
from locksweep.work_order.words import degrees
from solver.gaps_at_lock import PlaceGap
from solver.sweep import TURNS

FAR = 60.0
"""mm; a place that stays further away than that is told in a sentence."""
SHORT = 0.05
HEAD = (
    "wheel",
    "place",
    "full droop",
    "ride height",
    "full bump",
    "at least",
    "least on the way",
    "found D / R / B",
)
SHARES = (11.0, 28.0, 17.0, 17.0, 17.0, 17.0, 36.0, 27.0)


def check(facts: Facts) -> Section:
    """Tables of gaps, one a turn."""
    said, clearance = facts.said, facts.length(facts.job.goal.clearance)
    blocks: list[Block] = [
        Paragraph(
            f"Expect these gaps with the wheels hard against their stops: between the tyre as its size says, "
            f"{said['tyre']}, and the place as measured. A gap found must be 'at least' that much: the {clearance} "
            "wanted, and what the tyre may still grow there. Measure your tyre: one that is wider than its size takes "
            "half of that from every gap beside it. Droop is "
            f"{said['droop']}, bump {said['bump']}, each wheel by itself."
        )
    ]
    for turn in TURNS:
        own = [each for each in facts.gaps if each.turn == turn]
        near = [
            each for each in own if each.least < FAR or (each.wheel == turn and each == _nearest(own, turn))
        ]
        rows = [_row(facts, each) for each in near]
        rows += [
            (side, f"closure plate {side}", *[f"over {clearance}"] * 3, clearance, "", _fields())
            for side in TURNS
            if facts.parts("closure-plate")
            and any(p["name"] == f"closure-plate-{side}" for p in facts.parts())
        ]
        blocks += [Paragraph(f"{turn.capitalize()} turn."), Table(HEAD, tuple(rows), SHARES)]
        far = dict.fromkeys(f"{each.wheel} {each.place}" for each in own if each not in near)
        if far:
            blocks.append(
                Paragraph(f"Further away than {facts.length(FAR, 0)} everywhere: {', '.join(far)}.")
            )
        blocks += [
            Warn(
                f"{turn.capitalize()} turn, {each.wheel} wheel to {each.place}: less than 'at least' is to be expected "
                "at the stop. Settle that before the car is driven."
            )
            for each in near
            if any(gap < least - SHORT for gap, least in zip(each.expected, each.at_least, strict=True))
        ]
    if facts.job.surroundings is not None:
        blocks.append(
            Paragraph(
                "The job has a measured or scanned body: its places, with their gaps, are in the clearance map that "
                "'locksweep clearance' writes. Take them along."
            )
        )
    others = (
        "brake hoses, wires and boots",
        "anti-roll bar links and arms",
        "rim against caliper, rod end and arm",
    )
    blocks.append(Bullets(tuple(f"looked at, not reckoned: {each}" for each in others), tick=True))
    return Section("Gaps to expect, lock to lock", tuple(blocks))


def _nearest(gaps: list[PlaceGap], wheel: str) -> PlaceGap:
    return min((each for each in gaps if each.wheel == wheel), key=lambda each: each.least)


def _row(facts: Facts, gap: PlaceGap) -> tuple[str, ...]:
    expected = tuple(_gap(facts, value) for value in gap.expected)
    at_least = _gap(facts, max(gap.at_least))
    if gap.place in turning_with_the_wheel(facts):
        way = "the same everywhere: it turns with the wheel"
    else:
        steer = math.degrees(gap.steer)
        turned = (
            "straight ahead"
            if abs(steer) < 0.5
            else degrees(abs(steer), 0) + (" left" if steer > 0 else " right")
        )
        height = "bump" if gap.travel > 0 else "droop" if gap.travel < 0 else "ride height"
        way = f"{_gap(facts, gap.least)} at {turned}, {height}"
    return (gap.wheel, gap.place, *expected, at_least, way, _fields())


def _gap(facts: Facts, value: float) -> str:
    if not math.isfinite(value):
        return "not reached"
    return facts.length(value) if value >= 0 else f"touches, {facts.length(-value)} deep"


def _fields() -> str:
    return " / ".join(["____"] * 3)
