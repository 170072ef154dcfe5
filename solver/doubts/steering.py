"""Doubts about the rack, the lock that it gives, and the tie rods."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from solver.doubts.doubt import Doubt, Measure, both, degrees_text, given_direction, length_text, out_of_range
from solver.front_end import FrontEnd
from solver.limits import inner_lock
from solver.stock import StockUnits
from solver.sweep import TURNS
from solver.vectors import unit

ROD_DIFFERENCE = 5.0
"""Between the lengths of both tie rods, mm: a few turns of the thread set the toe."""
TURN_DIFFERENCE = math.radians(2)
"""Between the locks of both turns."""
RACK_SKEW = math.radians(2)
"""Between the rack's direction and the line through both inner joints."""


def rack_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Direction, travel and sizes of the rack against one another."""
    car = front_end.car
    rack = car.rack
    between = unit(np.array(car.left.inner_joint) - np.array(car.right.inner_joint))
    skew = math.acos(min(1.0, abs(float(between @ np.array(rack.direction)))))
    if skew > RACK_SKEW:
        suspects: tuple[str, ...] = (*given_direction(front_end), *both("inner_joint"))
        found = f"{degrees_text(skew)} between the rack's direction and the line through both inner joints"
        yield Doubt(suspects, found, f"no more than {degrees_text(RACK_SKEW)}")
    measure = Measure("rack travel per turn", rack.travel_per_turn, 30, 70, ("travel_per_turn",))
    yield from out_of_range(measure, "rack.", "", units)
    turns = 2 * rack.travel_each_side / rack.travel_per_turn
    if not 2.0 <= turns <= 4.5:
        found = f"{turns:.1f} turns of the steering wheel from stop to stop"
        yield Doubt(("rack.travel_each_side", "rack.travel_per_turn"), found, "2.0 to 4.5 turns")
    if rack.end_diameter > rack.housing_bore:
        found = f"rack's end {rack.end_diameter:.1f} mm, housing's bore {rack.housing_bore:.1f} mm"
        suspects = ("rack.end_diameter", "rack.housing_bore")
        yield Doubt(suspects, found, "a bore that the rack's end goes into")
    if rack.tooth_travel is not None and rack.tooth_travel < rack.travel_each_side:
        teeth, stop = length_text(rack.tooth_travel, units), length_text(rack.travel_each_side, units)
        found = f"teeth for {teeth} of travel, a stop at {stop}"
        yield Doubt(("rack.tooth_travel", "rack.travel_each_side"), found, "teeth that reach to the stop")


def lock_doubts(front_end: FrontEnd) -> Iterator[Doubt]:
    """The lock at the rack's stop of both turns, and the one against the other."""
    locks = {turn: inner_lock(front_end, turn, front_end.car.rack.travel_each_side) for turn in TURNS}
    usual = "the inner wheel at 28° to 50° at the rack's stop"
    for turn, lock in locks.items():
        if math.isfinite(lock) and math.radians(28) <= lock <= math.radians(50):
            continue
        suspects: tuple[str, ...] = (f"car.{turn}.pickup", "rack.travel_each_side", f"car.{turn}.inner_joint")
        reached = f"{degrees_text(lock)} of lock" if math.isfinite(lock) else "past over-centre"
        yield Doubt(suspects, f"{turn} turn: {reached} at the rack's stop", usual)
    difference = abs(locks["left"] - locks["right"])
    if difference > TURN_DIFFERENCE:
        suspects = (*given_direction(front_end), *both("inner_joint", "pickup"))
        found = (
            f"{degrees_text(locks['left'])} of lock to the left, {degrees_text(locks['right'])} to the right"
        )
        yield Doubt(suspects, found, f"both the same within {degrees_text(TURN_DIFFERENCE)}")


def tie_rod_doubts(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """The rods' lengths against one another, and against what those at hand adjust to."""
    left, right = (float(assembly.corner.tie_rod) for assembly in front_end.sides)
    if abs(left - right) > ROD_DIFFERENCE:
        suspects = both("inner_joint", "pickup")
        found = f"tie rods of {length_text(left, units)} left and {length_text(right, units)} right"
        yield Doubt(suspects, found, f"the same length within {length_text(ROD_DIFFERENCE, units)}")
    if front_end.car.tie_rod_range is None:
        return
    shortest, longest = front_end.car.tie_rod_range
    for side, rod in zip(TURNS, (left, right), strict=True):
        if not shortest <= rod <= longest:
            suspects = ("tie_rod", f"car.{side}.inner_joint", f"car.{side}.pickup")
            found = f"{side}: {length_text(rod, units)} between the points of the tie rod on the car"
            expected = f"within the {length_text(shortest, units)} to {length_text(longest, units)} of the rods at hand"
            yield Doubt(suspects, found, expected)
