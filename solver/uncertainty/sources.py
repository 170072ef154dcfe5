"""What is uncertain about a measured car: independent errors, each with its standard deviation and what it moves.

An error moves one or several quantities of the car. A point that was taken as the mirror of the left one shares the
left one's error, mirrored, and has another of its own: by how much the car's sides differ.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from solver.car import Car, Job, KeepClear, Side
from solver.survey.instruments import usual_sigmas
from solver.tables import rows

POINTS = (
    "arm_front_pivot",
    "arm_rear_pivot",
    "ball_joint",
    "strut_top",
    "damper_point",
    "inner_joint",
    "pickup",
    "wheel_centre",
)
NAMES = {
    "arm_front_pivot": "arm front pivot",
    "arm_rear_pivot": "arm rear pivot",
    "ball_joint": "ball joint",
    "strut_top": "strut top",
    "damper_point": "damper point",
    "inner_joint": "inner tie-rod joint",
    "pickup": "tie-rod pickup",
    "wheel_centre": "wheel centre",
}
AXES = ("fore and aft", "across the car", "up and down")

Target = tuple[str, str]
"""A quantity of the car: side and point or angle; "rack", "arm", "strut" or "change" and its key; the number of a
keep-clear object and "start", "end" or "radius"."""


@dataclass(frozen=True)
class Source:
    """One independent error.

    name: of what is uncertain, for people; key: of the job file that states it
    sigma: standard deviation, mm or rad
    angle: whether it is one
    again: whether measuring can make it less, else what would: to measure the other side as well
    moves: target, axis (0 for a plain number), factor
    """

    name: str
    key: str
    sigma: float
    angle: bool
    again: bool
    moves: tuple[tuple[Target, int, float], ...]


@cache
def defaults() -> dict[str, float]:
    """Standard deviations of the table, mm and rad."""
    return {
        row["name"]: math.radians(float(row["uncertainty"]))
        if row["unit"] == "deg"
        else float(row["uncertainty"])
        for row in rows("uncertainties")
    }


def sources_of(job: Job) -> list[Source]:
    """Every error of a job, those of no size left out."""
    stated = Stated(job.uncertainty)
    found = [*_of_points(job, stated), *_of_rack(job, stated), *_of_bars(job.car, stated)]
    return [source for source in found if source.sigma > 0]


class Stated:
    """What the job file states, and the defaults for the rest."""

    def __init__(self, spread: Mapping[str, tuple[float, float, float]]) -> None:
        self.spread = spread

    def number(self, key: str) -> float:
        """Standard deviation of a plain number or an angle."""
        return self.spread[key][0] if key in self.spread else defaults()[key]

    def on_side(self, side: Side, key: str) -> float:
        """Of an angle of one corner."""
        return self.spread[f"{side}.{key}"][0] if f"{side}.{key}" in self.spread else self.number(key)

    def where(self, side: Side, key: str) -> str:
        """Key that states the uncertainty of a point or an angle of one corner, or would."""
        own = f"{side}.{key}"
        if own in self.spread:
            return own
        every = "points" if key in POINTS else key
        return every if every in self.spread else own

    def point(self, side: Side, key: str) -> tuple[float, float, float]:
        """Of the three coordinates of one corner's point."""
        usual = usual_sigmas()
        for name in (f"{side}.{key}", "points"):
            if name in self.spread:
                return self.spread[name]
        return (usual["ahead"], usual["across"], usual["height"])

    def bar(self, name: str) -> tuple[float, float, float]:
        """Of the three coordinates of a keep-clear object's ends."""
        return self.spread.get(f"keep_clear.{name}") or (self.number("keep_clear"),) * 3


def _of_points(job: Job, stated: Stated) -> Iterator[Source]:
    left: Side = "left"
    right: Side = "right"
    unlike = stated.number("mirrored")
    for key in POINTS:
        own = key in job.measured_right
        sides = "left " if own else ""
        for axis in range(3):
            # Seen from the other side only "across" has another sign.
            mirror = -1.0 if axis == 1 else 1.0
            name = f"{sides}{NAMES[key]}, {AXES[axis]}"
            moves: tuple[tuple[Target, int, float], ...] = (((left, key), axis, 1.0),)
            if not own:
                moves = (*moves, ((right, key), axis, mirror))
            yield Source(name, stated.where(left, key), stated.point(left, key)[axis], False, True, moves)
            sigma = stated.point(right, key)[axis] if own else unlike
            name = f"right {NAMES[key]}, {AXES[axis]}"
            name = name if own else f"{name}, which was not measured"
            where = stated.where(right, key) if own else "mirrored"
            yield Source(name, where, sigma, False, own, (((right, key), axis, 1.0),))
    for key in ("toe", "camber"):
        own = key in job.measured_right
        moves = (((left, key), 0, 1.0),) if own else (((left, key), 0, 1.0), ((right, key), 0, 1.0))
        name = f"left {key}" if own else key
        yield Source(name, stated.where(left, key), stated.on_side(left, key), True, True, moves)
        if own:
            where, sigma = stated.where(right, key), stated.on_side(right, key)
            yield Source(f"right {key}", where, sigma, True, True, (((right, key), 0, 1.0),))
        elif key == "camber":
            # Toe is set alike on both sides, camber is what the car has.
            name = "right camber, which was not measured"
            yield Source(
                name,
                "mirrored_angle",
                stated.number("mirrored_angle"),
                True,
                False,
                (((right, key), 0, 1.0),),
            )


def _of_rack(job: Job, stated: Stated) -> Iterator[Source]:
    for key, name in (("rack_travel", "rack travel to the stop"), ("rack_middle", "middle of the rack")):
        yield Source(name, key, stated.number(key), False, True, ((("rack", key), 0, 1.0),))
    for axis, name in ((0, "rack direction, in plan"), (2, "rack direction, in front view")):
        moves = ((("rack", "direction"), axis, 1.0),)
        yield Source(name, "rack_direction", stated.number("rack_direction"), True, True, moves)
    if job.car.rack.tooth_travel is not None:
        name = "rack travel to the end of its teeth"
        yield Source(
            name, "tooth_travel", stated.number("tooth_travel"), False, True, ((("rack", "teeth"), 0, 1.0),)
        )
    name = "thread engaged in the rack"
    yield Source(
        name, "stud_engaged", stated.number("stud_engaged"), False, True, ((("rack", "stud"), 0, 1.0),)
    )
    if job.fixed.tie_rod_length is not None:
        name = "tie-rod length"
        yield Source(
            name,
            "tie_rod_length",
            stated.number("tie_rod_length"),
            False,
            True,
            ((("change", "rod"), 0, 1.0),),
        )


def _of_bars(car: Car, stated: Stated) -> Iterator[Source]:
    yield Source(
        "lower arm's radius",
        "arm_radius",
        stated.number("arm_radius"),
        False,
        True,
        ((("arm", "radius"), 0, 1.0),),
    )
    yield Source(
        "strut tube's radius",
        "tube_radius",
        stated.number("tube_radius"),
        False,
        True,
        ((("strut", "radius"), 0, 1.0),),
    )
    unlike = stated.number("mirrored")
    for number, item in enumerate(car.keep_clear):
        twin = _mirrored_twin(car, number)
        if twin is not None and twin < number:
            continue
        side = "" if twin is not None else f"{item.side} "
        ends = ("start", "end") if item.start != item.end else ("start",)
        key = f"keep_clear.{item.name}"
        for end in ends:
            place = f"{'from' if end == 'start' else 'to'} " if len(ends) == 2 else ""
            for axis in range(3):
                mirror = -1.0 if axis == 1 else 1.0
                moves = _at_ends(number, end, ends, axis, 1.0)
                name = f"{side}{item.name}, {place}{AXES[axis]}"
                if twin is not None:
                    moves += _at_ends(twin, end, ends, axis, mirror)
                    other = f"{car.keep_clear[twin].side} {item.name}, {place}{AXES[axis]}, which was not measured"
                    own = _at_ends(twin, end, ends, axis, 1.0)
                    yield Source(other, "mirrored", unlike, False, False, own)
                yield Source(name, key, stated.bar(item.name)[axis], False, True, moves)
        numbers = (number,) if twin is None else (number, twin)
        moves = tuple(((str(one), "radius"), 0, 1.0) for one in numbers)
        yield Source(
            f"{side}{item.name}'s radius",
            "keep_clear_radius",
            stated.number("keep_clear_radius"),
            False,
            True,
            moves,
        )


def _at_ends(
    number: int, end: str, ends: tuple[str, ...], axis: int, factor: float
) -> tuple[tuple[Target, int, float], ...]:
    # A ball's two ends are one point.
    each = (end,) if len(ends) == 2 else ("start", "end")
    return tuple(((str(number), one), axis, factor) for one in each)


def _mirrored_twin(car: Car, number: int) -> int | None:
    """The object of the same name on the other side, if it is the mirror of this one: they were measured as one."""
    item = car.keep_clear[number]
    for other, candidate in enumerate(car.keep_clear):
        if candidate.name == item.name and candidate.side != item.side and _is_mirror(item, candidate):
            return other
    return None


def _is_mirror(one: KeepClear, other: KeepClear) -> bool:
    ends = zip((one.start, one.end), (other.start, other.end), strict=True)
    return one.radius == other.radius and all((a[0], -a[1], a[2]) == tuple(b) for a, b in ends)
