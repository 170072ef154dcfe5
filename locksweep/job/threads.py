"""Thread designations such as "M14x1.5" and "5/8-18"."""

from __future__ import annotations

import re

from locksweep.job.quantities import BadValueError, written
from locksweep.job.units import INCH

EXPECTED = "a thread with its pitch, or with its threads per inch"
HINT = 'write it like "M14x1.5" or "5/8-18"'
DIAMETERS = (6.0, 40.0)
PITCHES = (0.5, 4.0)
"""Limits in mm of what is found on a steering rack's end."""

_METRIC = re.compile(r"M\s*(\d{1,3}(?:\.\d+)?)\s*[x×]\s*(\d(?:\.\d+)?)", re.ASCII | re.IGNORECASE)
_INCH = re.compile(
    r"(?:(\d)[ -])?(\d{1,2})/(\d{1,2})(?:\s*in)?\s*-\s*(\d{1,2})(?:\s*UNJ?[CFS]|\s*UNEF)?",
    re.ASCII | re.IGNORECASE,
)


def parse_thread(value: object) -> tuple[float, float]:
    """Nominal diameter and pitch in mm.

    Raises:
        BadValueError: no such designation, or a size that no rack end has
    """
    text = value.strip() if isinstance(value, str) else ""
    if metric := _METRIC.fullmatch(text):
        diameter, pitch = float(metric[1]), float(metric[2])
    elif inch := _INCH.fullmatch(text):
        whole, over, under, per_inch = (int(group or 0) for group in inch.groups())
        if not under or not per_inch:
            raise BadValueError(written(value), EXPECTED, HINT)
        diameter, pitch = (whole * under + over) * INCH / under, INCH / per_inch
    else:
        raise BadValueError(written(value), EXPECTED, HINT)
    if not (DIAMETERS[0] <= diameter <= DIAMETERS[1] and PITCHES[0] <= pitch <= PITCHES[1]):
        limits = (
            f"diameter {DIAMETERS[0]:g} to {DIAMETERS[1]:g} mm, pitch {PITCHES[0]:g} to {PITCHES[1]:g} mm"
        )
        raise BadValueError(written(value), f"{EXPECTED}; {limits}", HINT)
    return diameter, pitch
