"""What the table about uncertainties has wrong together with the rest of the file."""

from __future__ import annotations

from collections.abc import Iterator

from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading


def uncertainty_problems(reading: Reading) -> Iterator[Problem]:
    """Uncertainties of points on the right that were not measured there."""
    table = reading.raw(("uncertainty", "right"))
    if not isinstance(table, dict):
        return
    for key in table:
        path: KeyPath = ("uncertainty", "right", key)
        if (
            reading.given(path)
            and not reading.given(("car", "right", key))
            and reading.given(("car", "left", key))
        ):
            expected = f"the uncertainty of something measured: the right {key} is the left one's mirror"
            hint = f"write {key} under [car.right] if you measured it; how unlike the sides are is said by mirrored"
            yield Problem(path, f"{key} = {reading.shown(*path)}", expected, hint)
