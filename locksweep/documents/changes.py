"""Changes to the car that carry it or change how it drives, in the words of every document that warns of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from locksweep.documents.record import units_of
from locksweep.units import Units, length_text

Record = Mapping[str, Any]

WAYS = {"forward": ("forward", "to the rear"), "outward": ("outward", "inward"), "up": ("up", "down")}
"""Of a move: what a positive and a negative size is called."""


def move_words(move: Mapping[str, float], units: Units) -> str:
    """A move, such as "11.0 mm forward, 2.0 mm inward"."""
    return ", ".join(
        f"{length_text(abs(value), units)} {WAYS[way][value < 0]}" for way, value in move.items() if value
    )


def changes_said(record: Record) -> list[str]:
    """Changes to the car that carry it or change how it drives, though no part of this build is made for them."""
    units, changes = units_of(record), record["changes"]
    before, after = record["as_measured"], record["as_modified"]
    lines = []
    if any(changes["pickup_move_mm"].values()):
        lines.append(
            "**tie-rod pickup moved**: the knuckle is in the primary load path; what is known of it is below, under "
            "the members. No heating, no welding on a forged or cast knuckle"
        )
    rods = record["tie_rods"]
    longer = max((n - m for n, m in zip(rods["needed_mm"], rods["measured_mm"], strict=True)), key=abs)
    if abs(longer) >= 0.5:
        lines.append(
            f"**tie rods {length_text(abs(longer), units)} {'longer' if longer > 0 else 'shorter'}**: in the "
            f"primary load path. {_rods_said(rods)}; at least one and a half thread diameters stay screwed in; joint "
            "angles at full lock want a look"
        )
    lines += _moved(record)
    leg = record["arm_leg"]
    if leg is not None and abs(leg["needed_mm"] - leg["measured_mm"]) >= 0.5:
        lines.append(
            f"**the arm's other leg**: from {length_text(leg['measured_mm'], units)} to "
            f"{length_text(leg['needed_mm'], units)}. It carries the car, is not made here, and needs the same care as "
            "the sleeved link"
        )
    for side in ("left", "right"):
        camber = after["corners"][side]["camber_deg"] - before["corners"][side]["camber_deg"]
        if abs(camber) >= 1.0:
            lines.append(
                f"**{side} camber** goes from {before['corners'][side]['camber_deg']:.1f}° to "
                f"{after['corners'][side]['camber_deg']:.1f}°: tyre wear, braking and straight running change with it"
            )
    left = [turn["over_centre_rack_left_mm"] for turn in after["turns"].values()]
    least = min((value for value in left if value is not None), default=None)
    if least is not None and least < 10.0:
        lines.append(
            f"**over-centre** is {length_text(least, units)} of rack travel beyond the lock. Wear, bent parts or a "
            "lost stop use that up: the wheel then stays turned. The stops must be kept in order"
        )
    return lines


def _moved(record: Record) -> Iterator[str]:
    """What is moved beside pickup and tie rods; none of it is made here."""
    units, changes = units_of(record), record["changes"]
    drop = changes["ball_joint_drop_mm"]
    if drop:
        way = "lower" if drop > 0 else "higher"
        yield (
            f"**ball joints {length_text(abs(drop), units)} {way}**: in the primary load path. Spacers, and studs or "
            "bolts longer by as much, come from somebody qualified; the joint's housing and the knuckle bear more "
            "bending, which is not checked here"
        )
    if any(changes["strut_top_shift_mm"].values()):
        yield (
            f"**strut tops moved {move_words(changes['strut_top_shift_mm'], units)}**: the towers hold the car up. "
            "What is left round the studs and what keeps the top in its place are not checked here"
        )
    if any(changes["rack_shift_mm"].values()):
        yield (
            f"**rack moved {move_words(changes['rack_shift_mm'], units)}**: its mounts bear all of the steering's "
            "load, and the column's joints must neither bind nor come out. None of that is checked here"
        )
    height = changes["ride_height_drop_mm"]
    if height:
        way, less = ("lower", "bump") if height > 0 else ("higher", "droop")
        yield (
            f"**ride height {length_text(abs(height), units)} {way}**: less travel is left to full {less}, and "
            "headlamps and ground clearance may be under rules"
        )


def _rods_said(rods: Record) -> str:
    """Where tie rods of the wanted length come from."""
    if rods["at_hand_fit"] and rods["chosen"] is None:
        return "The rods at hand reach that length by their threads: never weld or sleeve one"
    return "Buy rods of the length, never weld or sleeve one"
