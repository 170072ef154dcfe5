"""How sure an answer is, as plain data and in words.

Lengths in mm, angles in degrees, each beside its unit. `locksweep/schemas/sureness.schema.json` is the JSON Schema.
"""

from __future__ import annotations

import math
from typing import Any

from locksweep import __version__
from locksweep.documents.record import CAUTION
from solver.car import Job
from solver.uncertainty import Assessment
from solver.uncertainty.bands import COVERAGE, Band, Share
from solver.uncertainty.sources import Source

FORMAT = "locksweep sureness 1"
MOST_SHARES = 5

DEFINITIONS = {
    "car": "one of many that the measurements allow: every measured value with an error drawn at random",
    "low, middle, high": "5 %, 50 % and 95 % of the cars have less",
    "lock": "steer angle of the inner wheel at ride height, at the first limit met",
    "over-centre margin": "least angle between steering arm and tie rod short of a line, of either wheel, over all "
    "suspension travel, up to the stop",
    "clearance": "least distance between the grown tyre's solid and an obstacle over all suspension travel, up to the "
    "wanted lock in both turns",
    "over centre first": "share of the cars whose linkage goes over centre before the stop, at some suspension travel",
    "verdict": "decided by the bad end of the band: safe when that is as wanted, not safe when only the design is, "
    "missed when not even that",
    "sigma": "one standard deviation: two readings out of three are nearer than that",
    "effect": "how far one standard deviation of an error moves the quantity, by a linear fit over all cars",
    "share": "part of the quantity's variance that comes from the error",
}


def record_of(job: Job, found: Assessment) -> dict[str, Any]:
    """An assessment as plain data."""
    left, right = found.first_limits
    return {
        "format": FORMAT,
        "tool": {"name": "locksweep", "version": __version__},
        "caution": CAUTION,
        "job": {"name": job.name, "car": job.car.name, "units": job.stock_units},
        "samples": found.samples,
        "coverage": COVERAGE,
        "lost": found.lost,
        "chance": _rounded(found.chance, 4),
        "safe": found.safe,
        "stop_mm": {"left": _rounded(found.stops[0], 4), "right": _rounded(found.stops[1], 4)},
        "clearance_up_to_deg": {
            "left": _rounded(math.degrees(found.wanted[0]), 3),
            "right": _rounded(math.degrees(found.wanted[1]), 3),
        },
        "quantities": [_band(band) for band in found.bands],
        "first_limits": {
            turn: [{"name": name, "share": _rounded(share, 4)} for name, share in limits]
            for turn, limits in (("left", left), ("right", right))
        },
        "over_centre_first": {
            "left": _rounded(found.over_centre_first[0], 4),
            "right": _rounded(found.over_centre_first[1], 4),
        },
        "advice": [
            {
                "quantity": item.band.name,
                "measure_again": [
                    {**_source(one.source), "then": _shown(one.then, one.source.angle)} for one in item.again
                ],
                "unlike_share": _rounded(item.unlike, 3),
            }
            for item in found.advice
        ],
        "safer": None
        if found.safer is None
        else {
            "rack_spacer_mm": _rounded(found.safer.rack_spacer, 4),
            "arm_extension_mm": _rounded(found.safer.arm_extension, 4),
        },
        "uncertainties": [_source(source) for source in found.sources],
        "definitions": DEFINITIONS,
    }


def _band(band: Band) -> dict[str, Any]:
    shown = [_shown(value, band.angle) for value in (band.nominal, band.low, band.middle, band.high)]
    return {
        "name": band.name,
        "kind": band.kind,
        "unit": "deg" if band.angle else "mm",
        **dict(zip(("as_designed", "low", "middle", "high"), shown, strict=True)),
        "cut_off_at": None if band.most is None else _shown(band.most, band.angle),
        "wanted": None if band.wanted is None else _shown(band.wanted, band.angle),
        "wanted_is": "greatest" if band.at_most else "least",
        "chance": None if band.chance is None else _rounded(band.chance, 4),
        "verdict": band.verdict,
        "linear": _rounded(band.linear, 3),
        "matters": [
            _share(share, band.angle) for share in band.shares[:MOST_SHARES] if share.of_variance > 0.005
        ],
    }


def _share(share: Share, angle: bool) -> dict[str, Any]:
    effect, part = _shown(share.effect, angle), _rounded(share.of_variance, 3)
    return {**_source(share.source), "effect": effect, "share": part}


def _source(source: Source) -> dict[str, Any]:
    unit = "deg" if source.angle else "mm"
    return {"name": source.name, "key": source.key, "sigma": _shown(source.sigma, source.angle), "unit": unit}


def _shown(value: float, angle: bool) -> float:
    return _rounded(math.degrees(value) if angle else value, 3)


def _rounded(value: float, digits: int) -> float:
    return round(float(value), digits) + 0.0
