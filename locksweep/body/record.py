"""The answer about the body as plain data, the one source of its documents; mm and degrees, rounded for reading."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from locksweep import __version__
from locksweep.body.load import LoadedBody
from solver.body.answer import Answer
from solver.body.cut_line import CutLine, NoCutLine
from solver.body.hardware import HardwareGap
from solver.body.regions import Region
from solver.body.sweep import Cause, ground_height
from solver.car import Job
from solver.vectors import Array, length

FORMAT = "locksweep clearance 1"
CAUTION = (
    "Geometry of a car at rest and of a tyre grown to its largest size: bushes that give, frames that flex, and a tyre "
    "that bulges under load come nearer. Decide nothing by the last millimetre, and turn the wheel by hand from lock "
    "to lock, at full bump and full droop, before driving."
)


def record_of(
    answer: Answer,
    loaded: Sequence[LoadedBody],
    job: Job,
    condition: str,
    files: Mapping[str, Mapping[str, str]] | None = None,
) -> dict[str, Any]:
    """All of it.

    condition: of the car, "as modified" or "as measured"
    files: names of what was written for each body and cut line, by what they are; none before anything is written
    """
    files = files or {}
    sweep = answer.sweeps["left"]
    tyre = answer.front_end.tyre.grown()
    parts = [part for one in answer.sweeps.values() for part in one.parts]
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "caution": CAUTION,
        "job": {"name": job.name, "units": job.stock_units},
        "condition": condition,
        "tyre": {
            "size": tyre.size,
            "grown_diameter_mm": _mm(tyre.outside_diameter),
            "grown_width_mm": _mm(tyre.section_width),
        },
        "wanted_gap_mm": _mm(answer.gap),
        "confidence": answer.confidence,
        "resolution_mm": _mm(answer.resolution),
        "sweep": {
            "poses": sum(one.count for one in answer.sweeps.values()),
            "rack_mm": [_mm(float(sweep.rack.min())), _mm(float(sweep.rack.max()))],
            "travel_mm": [_mm(float(sweep.travel.min())), _mm(float(sweep.travel.max()))],
            "drops_mm": sorted({_mm(part.drop) for part in parts}),
            "ground_mm": _mm(ground_height(sweep)),
        },
        "clear": answer.clear,
        "bodies": [_body(result, one, files) for result, one in zip(answer.bodies, loaded, strict=True)],
        "places": [_place(number, region) for number, region in enumerate(answer.worst, 1)],
        "cut_lines": [
            _cut_line(line, files)
            for result in answer.bodies
            for line in result.lines
            if isinstance(line, CutLine)
        ],
        "no_cut_lines": [
            {"name": line.name, "body": line.body, "wheel": line.side, "reason": line.reason}
            for result in answer.bodies
            for line in result.lines
            if isinstance(line, NoCutLine)
        ],
        "hardware": [_gap(gap) for gap in answer.hardware],
    }


def _body(result: Any, loaded: LoadedBody, files: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    surface, found = result.map.surface, result.map
    placement = loaded.placement
    aside = loaded.aside
    return {
        "name": surface.name,
        "side": surface.side or "whole",
        "fixed_to": surface.fixed_to,
        "points": len(loaded.surface.points),
        "triangles": len(loaded.surface.triangles),
        "unit": loaded.unit or None,
        "sha256": loaded.sha256 or None,
        "least_clearance_mm": _mm(float(found.clearance.min())),
        "remarks": list(loaded.remarks),
        "set_aside": None if aside is None else _set_aside(aside, found),
        "placement": None
        if placement is None
        else {
            "sigma_mm": _mm(placement.sigma),
            "mm_per_unit_found": round(placement.scale_found, 4),
            "points": [
                {"name": name, "off_mm": _mm(float(length(residual))), "residual_mm": _point(residual)}
                for name, residual in zip(placement.names, placement.residuals, strict=True)
            ],
        },
        "files": dict(files.get(file_key("body", surface.name, surface.side), {})),
    }


def _set_aside(aside: Any, found: Any) -> dict[str, Any]:
    """What was taken out of a scan, and how near to a tyre the nearest of its specks lies."""
    nearest = place = None
    if len(aside.specks):
        looked = found.field.look(aside.specks)
        best = int(looked.distance.argmin())
        nearest, place = _mm(float(looked.distance[best])), _point(aside.specks[best])
    return {
        "no_numbers": aside.no_numbers,
        "far": aside.far,
        "specks": len(aside.specks),
        "nearest_speck_mm": nearest,
        "nearest_speck_at_mm": place,
    }


def _place(number: int, region: Region) -> dict[str, Any]:
    return {
        "number": number,
        "name": region.name,
        "body": region.body,
        "wheel": region.side,
        "at_mm": _point(region.point),
        "clearance_mm": _mm(region.clearance),
        "distance_mm": _mm(region.distance),
        "pose": _pose(region.cause),
        "first_too_near": [
            {"turn": touch.turn, "distance_mm": _mm(touch.distance), "pose": _pose(touch.cause)}
            for touch in region.touches
        ],
        "extent_mm": [_point(region.low), _point(region.high)],
        "points": len(region.points),
    }


def _pose(cause: Cause | None) -> dict[str, Any] | None:
    if cause is None:
        return None
    return {
        "rack_mm": _mm(cause.rack),
        "steer_deg": _deg(cause.steer),
        "travel_mm": _mm(cause.travel),
        "drop_mm": _mm(cause.drop),
        "roll_deg": None if cause.roll is None else _deg(cause.roll),
    }


def _cut_line(line: CutLine, files: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    width, height = line.size
    return {
        "name": line.name,
        "body": line.body,
        "wheel": line.side,
        "gap_mm": _mm(line.gap),
        "width_mm": _mm(width),
        "height_mm": _mm(height),
        "area_mm2": round(line.area),
        "lines": len(line.loops),
        "length_mm": _mm(sum(loop.length for loop in line.loops)),
        "edge_share": round(line.edge_share, 3),
        "developed": line.layout.developed,
        "stretch": round(line.layout.stretch, 4),
        "second_shells": line.second_shells,
        "bridged_holes": len(line.bridged),
        "references": [
            {"letter": letter, "name": reference.name, "at_mm": _point(reference.point)}
            for letter, reference in zip("AB", line.references, strict=False)
        ],
        "marks": [
            {
                "number": mark.number,
                "at_mm": _point(mark.point),
                "from_references_mm": [_mm(distance) for distance in mark.distances],
            }
            for mark in line.marks
        ],
        "files": dict(files.get(file_key("line", line.name), {})),
    }


def _gap(gap: HardwareGap) -> dict[str, Any]:
    return {
        "first": gap.first,
        "second": gap.second,
        "corner": gap.side,
        "gap_mm": _mm(gap.gap),
        "at_rest_mm": _mm(gap.at_rest),
        "at_mm": _point(gap.place),
        "pose": _pose(gap.cause),
    }


def _mm(value: float) -> float:
    """To a hundredth, and never −0."""
    return round(value, 2) + 0.0


def _deg(angle: float) -> float:
    return round(math.degrees(angle), 2) + 0.0


def _point(point: Array) -> list[float]:
    return [_mm(float(value)) for value in point]


def file_key(what: str, name: str, side: str | None = None) -> str:
    """By what files are looked up in `record_of`: ``what`` is "body" or "line"."""
    return f"{what} {name} {side or ''}".rstrip()
