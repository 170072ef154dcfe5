"""What was found about body and hardware on both tyres, as plain data in mm and degrees."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from solver.body.compare import PlaceChange, Spot
from solver.body.cut_change import CutChange
from solver.body.cut_line import CutLine
from solver.body.hardware import HardwareGap
from solver.body.sweep import Cause
from solver.sizing.plate_stays import Nearness
from solver.vectors import Array

CLOSE_HARDWARE = 25.0
"""mm; gaps of the tyre to arm, rod and bars are told where they are under this before or after."""


def place_record(place: PlaceChange, gap: float) -> dict[str, Any]:
    """A place, old and new."""
    if place.newly(gap):
        status = "newly too near"
    elif place.no_longer(gap):
        status = "no longer too near"
    else:
        status = "too near as before" if place.after.clearance < gap else "clear as before"
    return {
        "name": place.name,
        "body": place.body,
        "body_side": place.body_side or "whole",
        "wheel": place.side,
        "status": status,
        "old": _spot(place.before),
        "new": _spot(place.after),
        "newly": None
        if place.spread is None
        else {
            "share": round(place.spread.share, 3),
            "extent_mm": [_point(place.spread.low), _point(place.spread.high)],
        },
    }


def _spot(spot: Spot) -> dict[str, Any]:
    return {
        "clearance_mm": mm(spot.clearance),
        "distance_mm": mm(spot.distance),
        "at_mm": _point(spot.point),
        "pose": _pose(spot.cause),
    }


def _pose(cause: Cause | None) -> dict[str, Any] | None:
    if cause is None:
        return None
    return {
        "rack_mm": mm(cause.rack),
        "steer_deg": deg(cause.steer),
        "travel_mm": mm(cause.travel),
        "drop_mm": mm(cause.drop),
        "roll_deg": None if cause.roll is None else deg(cause.roll),
    }


def hardware_records(before: Sequence[HardwareGap], after: Sequence[HardwareGap]) -> list[dict[str, Any]]:
    """Gaps of the tyre that are close before or after, the least after first."""
    old = {(gap.first, gap.second, gap.side): gap for gap in before}
    rows = []
    for new in after:
        was = old.get((new.first, new.second, new.side))
        if new.first != "tyre" or was is None or min(new.gap, was.gap) >= CLOSE_HARDWARE:
            continue
        rows.append(
            {
                "name": new.second,
                "corner": new.side,
                "old_mm": mm(was.gap),
                "new_mm": mm(new.gap),
                "at_rest_mm": mm(new.at_rest),
                "at_mm": _point(new.place),
                "pose": _pose(new.cause),
            }
        )
    return sorted(rows, key=lambda row: row["new_mm"])


def cut_record(cut: CutChange) -> dict[str, Any]:
    """The cut of one body, old and new."""
    before, after = cut.areas
    return {
        "body": cut.body,
        "body_side": cut.body_side or "whole",
        "wheel": cut.side,
        "old": _lines(cut.before, cut.without[0]),
        "new": _lines(cut.after, cut.without[1]),
        "more_mm2": round(after - before),
        "beyond_mm": None if cut.beyond is None else mm(cut.beyond[0]),
        "beyond_at_mm": None if cut.beyond is None else _point(cut.beyond[1]),
    }


def _lines(lines: Sequence[CutLine], without: Sequence[str]) -> dict[str, Any]:
    points = [loop.points for line in lines for loop in line.loops]
    every = np.concatenate(points) if points else None
    return {
        "lines": len(lines),
        "area_mm2": round(sum(line.area for line in lines)),
        "sizes_mm": [[mm(side) for side in line.size] for line in lines],
        "extent_mm": None if every is None else [_point(every.min(axis=0)), _point(every.max(axis=0))],
        "along_edge": round(max((line.edge_share for line in lines), default=0.0), 3),
        "no_line": list(without),
    }


def near_record(near: Nearness | None) -> dict[str, Any] | None:
    """Where the swept tyre is nearest to something."""
    if near is None:
        return None
    return {
        "what": near.what,
        "gap_mm": mm(near.gap),
        "at_mm": _point(near.point),
        "pose": _pose(near.cause),
    }


def mm(value: float) -> float:
    """To a hundredth, and never −0."""
    return round(float(value), 2) + 0.0


def deg(angle: float) -> float:
    """Degrees from radians, to a hundredth."""
    return round(math.degrees(angle), 2) + 0.0


def _point(point: Array) -> list[float]:
    return [mm(value) for value in point]
