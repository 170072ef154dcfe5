"""What is usual on a strut-type front end, and what could be mis-measured where a car is unusual.

Every rule compares a measure with its usual range, or the two sides with each other, or two ways of measuring
one thing. The ranges are common practice, drawn wide, without a source of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.doubts.corner import asymmetry, corner_measures, whole_car
from solver.doubts.doubt import Doubt, out_of_range
from solver.doubts.room import in_the_tyre, keep_clear_doubts, stop_doubts, tyre_doubts, wheel_well_doubts
from solver.doubts.steering import lock_doubts, rack_doubts, tie_rod_doubts
from solver.front_end import FrontEnd
from solver.stock import StockUnits

__all__ = ["Doubt", "doubts_about"]


def doubts_about(front_end: FrontEnd, units: StockUnits) -> Iterator[Doubt]:
    """Every broken rule of a front end as measured, lengths told in ``units``.

    Raises:
        GeometryError: the suspension can't travel the 25 mm over which bump steer is looked at.
    """
    yield from whole_car(front_end, units)
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        for measure in corner_measures(front_end, assembly, pose):
            yield from out_of_range(measure, f"car.{assembly.side}.", assembly.side, units)
    yield from asymmetry(front_end, units)
    yield from rack_doubts(front_end, units)
    yield from lock_doubts(front_end)
    yield from tyre_doubts(front_end, units)
    yield from tie_rod_doubts(front_end, units)
    for assembly, pose in zip(front_end.sides, front_end.at_ride_height(np.zeros(1)), strict=True):
        yield from in_the_tyre(front_end, assembly, pose, units)
    yield from keep_clear_doubts(front_end, units)
    yield from wheel_well_doubts(front_end, units)
    yield from stop_doubts(front_end, units)
