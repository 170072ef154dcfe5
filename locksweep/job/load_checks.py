"""What several keys about loads need together."""

from __future__ import annotations

from collections.abc import Iterator

from locksweep.job.findings import Problem
from locksweep.job.reading import Reading
from solver.loading.cases import table_cases


def load_problems(reading: Reading) -> Iterator[Problem]:
    """Everything that several keys about loads together have wrong."""
    total = reading.quantity("loads", "total_mass", dimension="mass")
    front = [reading.quantity("car", "corner_masses", side, dimension="mass") for side in ("left", "right")]
    if total is not None and front[0] is not None and front[1] is not None and total <= front[0] + front[1]:
        expected = f"more than both front wheels carry, {front[0] + front[1]:.0f} kg"
        found = reading.shown("loads", "total_mass", dimension="mass")
        yield Problem(("loads", "total_mass"), found, expected, "weigh the whole car, driver aboard")
    yield from _steering_arm(reading)
    seen = {case.name: "the table of cases" for case in table_cases()}
    for index in range(reading.count("load_case")):
        name = reading.text("load_case", index, "name")
        here = f"load_case[{index}]"
        if name is not None and seen.setdefault(name.strip(), here) != here:
            shown = reading.shown("load_case", index, "name", dimension=None)
            found = f"{shown}, as in {seen[name.strip()]}"
            yield Problem(
                ("load_case", index, "name"), found, "a name of its own: a case adds to those of the table"
            )


def _steering_arm(reading: Reading) -> Iterator[Problem]:
    hole = reading.quantity("steering_arm", "hole")
    width, edge = reading.quantity("steering_arm", "width"), reading.quantity("steering_arm", "edge")
    if hole is not None and width is not None and hole >= width:
        found = reading.shown("steering_arm", "hole")
        yield Problem(
            ("steering_arm", "hole"), found, f"less than width, {reading.shown('steering_arm', 'width')}"
        )
    if hole is not None and edge is not None and edge <= hole / 2:
        found, size = reading.shown("steering_arm", "edge"), reading.shown("steering_arm", "hole")
        expected = f"more than half of hole, {size}: it is measured from the hole's middle"
        yield Problem(("steering_arm", "edge"), found, expected)
