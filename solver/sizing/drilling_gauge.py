"""Sizes the drilling gauge: distance by the moved pickup and the hole it is found from, bushes by the room between."""

from __future__ import annotations

import math
from typing import NamedTuple

from solver.car import Side
from solver.families.drilling_gauge import LEAST_WEB, DrillingGaugeDimensions
from solver.jig_bushes import JigBush, deviations, jig_bush
from solver.marking import Marking
from solver.part import Part, Refusal
from solver.sizing.context import SizingContext, accepted
from solver.stock import plate_label, plate_thicknesses, round_up
from solver.sweep import TURNS

PILOTS = (5.0, 4.0, 3.2, 2.5)
"""Pilot drills in mm that are tried, largest first: the largest wanders least. Common practice, no source."""
SAME = 0.1
"""mm; what differs by less is drilled by one gauge."""
MOST_STEP = 60.0
"""mm; how much higher or lower than the old hole's face the new one's may be, to be packed up by washers."""


class Found(NamedTuple):
    """The new pickup as seen from the hole it is found from, on one side: forward, outward and up; mm."""

    forward: float
    outward: float
    up: float

    @property
    def distance(self) -> float:
        """In plan, mm."""
        return math.hypot(self.forward, self.outward)


def parts(context: SizingContext) -> list[Part | Refusal]:
    """One gauge that is turned over for the other side, or one each side where they differ."""
    job = context.solution.job
    marking = job.marking or Marking()
    found = {side: _found(context, side) for side in TURNS}
    left, right = found["left"], found["right"]
    if max(abs(a - b) for a, b in zip(left, right, strict=True)) < SAME:
        return [_part(context, marking, "", left)]
    return [_part(context, marking, f"-{side}", each) for side, each in found.items()]


def _found(context: SizingContext, side: Side) -> Found:
    job = context.solution.job
    move = context.solution.changes.pickup_move
    hole = job.marking.knuckle_hole if job.marking else None
    if hole is None:
        return Found(move.forward, move.outward, move.up)
    points = job.car.left if side == "left" else job.car.right
    sign = 1.0 if side == "left" else -1.0
    x, y, z = points.pickup
    return Found(
        x + move.forward - hole.at[0], sign * y + move.outward - hole.at[1], z + move.up - hole.at[2]
    )


def _part(context: SizingContext, marking: Marking, suffix: str, found: Found) -> Part | Refusal:
    job = context.solution.job
    name = DrillingGaugeDimensions.family + suffix
    bushes = _bushes(marking)
    bush = next((each for each in bushes if found.distance - each.outside >= LEAST_WEB), None)
    hole = marking.knuckle_hole
    whence = "the old pickup hole" if hole is None else "the hole given"
    if bush is None:
        least = bushes[-1].outside + LEAST_WEB
        return Refusal(
            name,
            "room for two bushes",
            f"the new hole's middle is {found.distance:.1f} mm from {whence}, two bushes with a bore of "
            f"{bushes[-1].bore:.1f} mm beside each other take {least:.1f} mm",
            "give another hole of the knuckle, [marking] knuckle_hole, or a smaller pilot"
            if marking.pilot
            else "give another hole of the knuckle, [marking] knuckle_hole",
        )
    if abs(found.up) > MOST_STEP:
        return Refusal(
            name,
            "step between the holes",
            f"the new hole is {abs(found.up):.1f} mm {'above' if found.up > 0 else 'below'} {whence}, more than the "
            f"{MOST_STEP:.0f} mm that a flat gauge is packed up by",
            "give a hole of the knuckle that is nearer to the steering arm's height, [marking] knuckle_hole",
        )
    margin = round_up(bush.outside / 2 + 10.0, job.shelf)
    thickness = min((t for t in plate_thicknesses(job.shelf) if t >= bush.length - 1e-9), default=bush.length)
    dimensions = DrillingGaugeDimensions(
        distance=found.distance,
        hole_diameter=bush.outside,
        thickness=thickness,
        width=2 * margin,
        end_margin=2 * margin,
        corner_radius=3.0,
    )
    side = suffix.removeprefix("-")
    fits = f"on the {side} knuckle" if side else "on either knuckle: turned over, it is the other side's"
    return accepted(
        Part(
            name=name,
            dimensions=dimensions,
            quantity=1,
            fits=f"{fits}; its plug in {whence}",
            material="S235JR",
            process=f"milled from flat bar or {plate_label(thickness)} plate, both holes bored H7 in "
            "one setting; for two jig bushes that the builder presses in",
            reasons=(
                f"distance {found.distance:.2f} mm: from {whence} to the pickup's new place, {_ways(found)}",
                f"holes {bush.outside:.1f} mm: for jig bushes with a bore of {bush.bore:.1f} mm, "
                + ("as given" if marking.pilot else f"the largest that leave {LEAST_WEB} mm between them"),
                f"thickness {thickness:.2f} mm: the bushes' {bush.length:.0f} mm or the next plate above",
                "long edges parallel to the line through both holes: they are sighted along",
            ),
            role="marking aid",
            if_it_fails="it carries nothing; a gauge that slipped gives a hole in the wrong place",
            qualified=(
                "whether this knuckle may be drilled at all, and what is left of it: see the members that are not "
                "made here",
                "the taper: by whom it is reamed, and the contact pattern of the new stud in it",
            ),
            assumptions=(
                "the holes' axes are upright and parallel where the gauge lies; the pickup's point is its hole's "
                "middle",
            ),
            not_assessed=("how truly the old hole's middle is the point that was measured",),
            notes=tuple(_notes(context, bush, found, hole is not None)),
        )
    )


def _bushes(marking: Marking) -> list[JigBush]:
    """Those that may be taken, the best first."""
    return [jig_bush(pilot) for pilot in (PILOTS if marking.pilot is None else (marking.pilot,))]


def gauge_bush(marking: Marking | None, hole: float) -> JigBush:
    """The bush that a gauge's holes of a diameter in mm were bored for."""
    return next(bush for bush in _bushes(marking or Marking()) if bush.outside == hole)


def _ways(found: Found) -> str:
    words = []
    for value, more, less in ((found.forward, "forward", "back"), (found.outward, "outward", "inward")):
        if abs(value) >= 0.005:
            words.append(f"{abs(value):.2f} mm {more if value > 0 else less}")
    return " and ".join(words)


def _notes(context: SizingContext, bush: JigBush, found: Found, other: bool) -> list[str]:
    job = context.solution.job
    taper = job.pickup_taper
    hole = job.marking.knuckle_hole if job.marking else None
    plug = f"{bush.bore:.2f} mm g6 ({deviations(bush.bore, 'g6').said})"
    notes = [
        f"holes {bush.outside:.2f} mm H7 ({deviations(bush.outside, 'H7').said}), their distance within 0.05 mm, "
        "other sizes to ISO 2768-m; deburr both faces",
        f"press in plain jig bushes without a head, {bush.bore:.1f} × {bush.outside:.1f} × {bush.length:.0f} (bore, "
        f"outside and length in mm; ISO 4247, DIN 179), outside n6 ({deviations(bush.outside, 'n6').said}), bore F7 "
        f"({deviations(bush.bore, 'F7').said}), flush or below on both sides, so that the gauge can be turned "
        "over",
    ]
    if other and hole is not None:
        notes.append(
            f"locating plug: {plug} in the bush, {hole.diameter:.2f} mm less 0.05 mm in the knuckle's hole"
        )
    else:
        cone = f"the hole's taper of {taper}" if taper else "the hole's taper, measured on the old stud"
        notes.append(
            f"locating plug: {plug} in the bush, below it {cone}; a plug that rocks in the taper locates nothing"
        )
    angle = math.degrees(math.atan2(found.outward, found.forward))
    if abs(angle) < 0.05 or abs(abs(angle) - 180) < 0.05:
        along = "parallel to the car's centre line"
    else:
        lean = math.degrees(math.atan2(abs(found.outward), abs(found.forward)))
        along = f"at {lean:.1f}° to the car's centre line"
    notes.append(
        f"on the car, wheels straight ahead, rack in its middle: gauge level, its long edges {along}, the drilling "
        f"bush {_ways(found)} of the plug: a string line or a straight-edge along them, then clamp"
    )
    notes += [_check_distance(context, side) for side in _differing(context)]
    if abs(found.up) >= 0.5:
        where = "higher" if found.up > 0 else "lower"
        notes.append(
            f"the new hole lies {abs(found.up):.1f} mm {where} than the one the plug is in: pack the gauge up so "
            "that it is level"
        )
    ream = (
        f"a {taper} taper"
        if taper
        else "the new stud's own taper, measured at two places: 1:8 and 1:10 look alike"
    )
    notes.append(
        f"drill through the bush to {bush.bore:.1f} mm, take the gauge off, open in steps to 0.5 mm under the "
        f"taper's small end, then ream {ream} from the stud's side, a little at a time; blue the stud: it must bear "
        "on three quarters of the cone at the least, its thread below the far face"
    )
    notes.append("no heat, no weld: an old hole is not filled by welding on a forged or cast knuckle")
    return notes


def _differing(context: SizingContext) -> tuple[Side, ...]:
    left, right = (_to_ball_joint(context, side) for side in TURNS)
    return (
        ("left",) if abs(left[1] - right[1]) < 0.05 and abs(left[0] - right[0]) < 0.05 else ("left", "right")
    )


def _to_ball_joint(context: SizingContext, side: Side) -> tuple[float, float]:
    """Straight distance from the ball joint's middle to the pickup's, before and after; mm."""
    car, move = context.solution.job.car, context.solution.changes.pickup_move
    points = car.left if side == "left" else car.right
    new = tuple(a + b for a, b in zip(points.pickup, move.on(side), strict=True))
    return math.dist(points.pickup, points.ball_joint), math.dist(new, points.ball_joint)


def _check_distance(context: SizingContext, side: Side) -> str:
    before, after = _to_ball_joint(context, side)
    both = "" if len(_differing(context)) == 1 else f"{side} side, "
    return (
        f"check before drilling, {both}straight from the ball joint's middle: {before:.1f} mm to the old hole's "
        f"ball middle, {after:.1f} mm to the new one's; more than 1 mm off, find out why"
    )
