"""What several keys of the tables about the body have wrong together."""

from __future__ import annotations

from collections.abc import Iterator

from locksweep.job.checks import LEAST_PANEL_WIDTH, width_of
from locksweep.job.corner_checks import side_problem
from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading
from solver.car import Side

SOURCES = ("file", "points", "panel", "box")
LEAST_EDGE = 1.0
"""Of a box, mm."""


def body_problems(reading: Reading) -> Iterator[Problem]:
    """Everything, of bodies, rings and references."""
    yield from _doubled(reading, "body")
    for index in range(reading.count("body")):
        yield from _body(reading, ("body", index))
    yield from _doubled(reading, "ring")
    for index in range(reading.count("ring")):
        yield from _ring(reading, ("ring", index))
    for index in range(reading.count("reference")):
        path: KeyPath = ("reference", index)
        side: Side = "right" if reading.text(*path, "side") == "right" else "left"
        yield from side_problem(reading, (*path, "at"), reading.point(*path, "at"), side)


def _body(reading: Reading, path: KeyPath) -> Iterator[Problem]:
    given = [key for key in SOURCES if reading.given((*path, key))]
    if len(given) != 1:
        found = " and ".join(given) or "none of file, points, panel and box"
        yield Problem(path, found, "one of file, points, panel and box")
    side, fixed_to = reading.text(*path, "side"), reading.text(*path, "fixed_to")
    if side == "whole" and fixed_to in ("arm", "knuckle"):
        expected = f'"left", "right" or "both": what moves with an {fixed_to} is of one corner'
        yield Problem((*path, "side"), '"whole"', expected)
    yield from _placement(reading, path)
    own: Side | None = {"left": "left", "both": "left", "right": "right"}.get(side or "")  # type: ignore[assignment]
    for key in ("points", "panel"):
        listed = reading.raw((*path, key))
        for number in range(len(listed) if isinstance(listed, list) and own else 0):
            assert own is not None
            point = reading.point(*path, key, number)
            yield from side_problem(reading, (*path, key, number), point, own)
    yield from _panel(reading, path)
    yield from _box(reading, path)


def _panel(reading: Reading, path: KeyPath) -> Iterator[Problem]:
    listed = reading.raw((*path, "panel"))
    points = [reading.point(*path, "panel", n) for n in range(len(listed) if isinstance(listed, list) else 0)]
    known = [point for point in points if point]
    if len(known) == len(points) >= 3 and width_of(known) < LEAST_PANEL_WIDTH:
        found = f"{len(points)} points on one line"
        yield Problem((*path, "panel"), found, "points round the edge of a surface, in order")


def _placement(reading: Reading, path: KeyPath) -> Iterator[Problem]:
    place = reading.raw((*path, "place"))
    count = len(place) if isinstance(place, list) else 0
    has_file = reading.given((*path, "file"))
    if count and not has_file and any(reading.given((*path, key)) for key in SOURCES):
        yield Problem((*path, "place"), f"{count} points", "none: only a file needs to be placed")
    if 0 < count < 3:
        expected = "three points at least, not on one line, or none for a scan in car axes"
        yield Problem((*path, "place"), f"{count} of them", expected)
    names = [reading.text(*path, "place", number, "name") for number in range(count)]
    for number, name in enumerate(names):
        if name is not None and name.strip() in [(one or "").strip() for one in names[:number]]:
            yield Problem((*path, "place", number, "name"), f'"{name}", twice', "a name of its own")
    if reading.given((*path, "units")) and not has_file and reading.text(*path, "units") is not None:
        yield Problem(
            (*path, "units"),
            reading.shown(*path, "units", dimension=None),
            "units of a file only",
            "lengths in the job file take a unit each",
        )


def _box(reading: Reading, path: KeyPath) -> Iterator[Problem]:
    listed = reading.raw((*path, "box"))
    if not isinstance(listed, list) or len(listed) != 4:
        return
    corner, *ends = (reading.point(*path, "box", number) for number in range(4))
    if corner is None or any(end is None for end in ends):
        return
    a, b, c = ([y - x for x, y in zip(corner, end, strict=True)] for end in ends if end is not None)
    volume = abs(
        a[0] * (b[1] * c[2] - b[2] * c[1])
        - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
    )
    if volume < LEAST_EDGE**3:
        expected = "a corner and the ends of three edges that go three different ways from it"
        yield Problem((*path, "box"), "a box without volume", expected)


def _ring(reading: Reading, path: KeyPath) -> Iterator[Problem]:
    for less, more in (("inside_diameter", "outside_diameter"), ("inner_face", "outer_face")):
        low, high = reading.quantity(*path, less), reading.quantity(*path, more)
        if low is not None and high is not None and low >= high:
            expected = f"more than {less}, {reading.shown(*path, less)}"
            yield Problem((*path, more), reading.shown(*path, more), expected)


def _doubled(reading: Reading, table: str) -> Iterator[Problem]:
    """Parts of the answer are told apart by name."""
    seen: dict[tuple[str, str], int] = {}
    for index in range(reading.count(table)):
        name, side = reading.text(table, index, "name"), reading.text(table, index, "side")
        if name is None:
            continue
        sides = ("left", "right") if side in (None, "both", "whole") else (side,)
        earlier = [seen[name.strip(), one] for one in sides if (name.strip(), one) in seen]
        if earlier:
            found = f"{reading.shown(table, index, 'name', dimension=None)}, as in {table}[{earlier[0]}]"
            yield Problem((table, index, "name"), found, "a name of its own")
        seen.update({(name.strip(), one): index for one in sides})
