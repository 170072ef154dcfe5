"""What needs several keys of a job file to judge: contradictions, wrong sides, doubled names.

Every check runs on whatever values are there and good, so that all that is wrong is found in one run.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from locksweep.job.corner_checks import corner_problems, side_problem
from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading
from solver.car import Side, Vector, Wheel
from solver.errors import TyreSizeError

LEAST_RACK_ACROSS = 0.8
"""Share of the rack's direction that must be sideways: a rack lies across the car, within some 35°."""

LEAST_PANEL_WIDTH = 5.0
"""Of a panel square to its longest extent, mm; less is a line."""


def problems_across_keys(reading: Reading) -> Iterator[Problem]:
    """Everything that several keys together have wrong."""
    at_corners = list(corner_problems(reading))
    yield from at_corners
    # What follows from a misplaced point is no fault of its own.
    reading = reading.without(problem.path for problem in at_corners)
    yield from _rack(reading)
    yield from _section(reading)
    yield from _strut(reading)
    for table in (("wheel",), ("changes", "wheel")):
        yield from _wheel(reading, table)
    yield from _tie_rod(reading)
    yield from _keep_clear(reading)
    yield from _wheel_wells(reading)
    yield from _stops(reading)
    yield from _rack_shift(reading)
    if any(reading.given((table,)) for table in ("loads", "load_case", "steering_arm")):
        from locksweep.job.load_checks import load_problems

        yield from load_problems(reading)
    if any(reading.given((table,)) for table in ("may_change", "tie_rod_choice")):
        from locksweep.job.search_checks import search_problems

        yield from search_problems(reading)
    if reading.given(("uncertainty",)):
        from locksweep.job.uncertainty_checks import uncertainty_problems

        yield from uncertainty_problems(reading)
    if reading.given(("marking",)):
        from locksweep.job.marking_checks import marking_problems

        yield from marking_problems(reading)
    if any(reading.given((table,)) for table in ("body", "ring", "reference")):
        from locksweep.job.body_checks import body_problems

        yield from body_problems(reading)


def _at_least(reading: Reading, path: KeyPath, other: KeyPath, why: str) -> Iterator[Problem]:
    """The length at one path must be no less than that at the other."""
    length, least = reading.quantity(*path), reading.quantity(*other)
    if length is not None and least is not None and length < least:
        yield Problem(path, reading.shown(*path), f"at least {other[-1]}, {reading.shown(*other)}: {why}")


def _rack(reading: Reading) -> Iterator[Problem]:
    thread, engaged = reading.thread("rack", "stud_thread"), reading.quantity("rack", "stud_engaged")
    if thread and engaged is not None and engaged < thread[0]:
        expected = (
            f"at least one diameter of the stud, {reading.shown('rack', 'stud_thread', dimension=None)}"
        )
        hint = "count the turns that unscrew it, times the pitch; no car is driven on less thread"
        yield Problem(("rack", "stud_engaged"), reading.shown("rack", "stud_engaged"), expected, hint)
    end = reading.quantity("rack", "end_diameter")
    if thread and end is not None and end <= thread[0]:
        expected = f"more than the stud in it, {reading.shown('rack', 'stud_thread', dimension=None)}"
        yield Problem(("rack", "end_diameter"), reading.shown("rack", "end_diameter"), expected)
    housing, end_path = ("rack", "housing_bore"), ("rack", "end_diameter")
    yield from _at_least(reading, housing, end_path, "the rack's end passes through it")
    tooth, travel = ("rack", "tooth_travel"), ("rack", "travel_each_side")
    yield from _at_least(reading, tooth, travel, "the teeth reach at least to the stop")
    direction = reading.direction("rack", "direction")
    if direction and direction[1] < LEAST_RACK_ACROSS:
        expected = "a direction across the car that points to the left, so that y is by far the largest"
        yield Problem(("rack", "direction"), reading.shown("rack", "direction", dimension=None), expected)


def _section(reading: Reading) -> Iterator[Problem]:
    table = ("arm", "section")
    shape = reading.text(*table, "shape")
    if shape not in ("round", "rectangular"):
        return
    needed: tuple[str, ...] = ("diameter",)
    barred: tuple[str, ...] = ("width", "height")
    if shape == "rectangular":
        needed, barred = barred, needed
    for key in needed:
        if not reading.given((*table, key)):
            yield Problem((*table, key), "no such key", f"the {key} of a {shape} section")
    for key in barred:
        if reading.given((*table, key)):
            found = reading.shown(*table, key)
            yield Problem((*table, key), found, f"no {key} in a {shape} section, but {' and '.join(needed)}")
    hollow = reading.text(*table, "construction") in ("tube", "pressed")
    if hollow and not reading.given((*table, "wall")):
        yield Problem((*table, "wall"), "no such key", "the wall thickness of a hollow section")
    sizes = [size for key in needed if (size := reading.quantity(*table, key)) is not None]
    for key, limit in (("wall", "half of the section"), ("corner_radius", "half of the section")):
        size = reading.quantity(*table, key)
        if sizes and size is not None and size > min(sizes) / 2:
            yield Problem((*table, key), reading.shown(*table, key), f"at most {limit}")


def _strut(reading: Reading) -> Iterator[Problem]:
    radius, diameter = ("strut", "tube_radius"), ("strut", "tube_diameter")
    if reading.given(radius) and reading.given(diameter):
        found = f"tube_radius = {reading.shown(*radius)}, tube_diameter = {reading.shown(*diameter)}"
        yield Problem(diameter, found, "one of the two")
    elif (
        isinstance(reading.raw(("strut",)), dict)
        and not reading.given(radius)
        and not reading.given(diameter)
    ):
        yield Problem(diameter, "no such key", "tube_diameter, or tube_radius instead")
    length = reading.quantity("strut", "tube_length")
    top, low = reading.point("car", "left", "strut_top"), reading.point("car", "left", "damper_point")
    if length is not None and top and low and length > math.dist(top, low):
        expected = "at most the distance from damper_point to strut_top: the tube starts at damper_point"
        yield Problem(("strut", "tube_length"), reading.shown("strut", "tube_length"), expected)


def _wheel(reading: Reading, table: KeyPath) -> Iterator[Problem]:
    radius = reading.quantity(*table, "loaded_radius")
    diameter = reading.quantity(*table, "outside_diameter")
    if radius is not None and diameter is not None and radius > diameter / 2:
        expected = f"at most half of outside_diameter, {reading.shown(*table, 'outside_diameter')}"
        yield Problem((*table, "loaded_radius"), reading.shown(*table, "loaded_radius"), expected)
    yield from _tyre_on_rim(reading, table)


def _tyre_on_rim(reading: Reading, table: KeyPath) -> Iterator[Problem]:
    """The tyre must go on the rim, which for a change of one of the two is the measured other one."""
    tyre, rim = (
        (*(table if reading.given((*table, key)) else ("wheel",)), key) for key in ("tyre", "rim_width")
    )
    if table not in (tyre[:-1], rim[:-1]):
        return
    size, width = reading.text(*tyre), reading.quantity(*rim)
    diameter = reading.quantity(*table, "outside_diameter")
    if size is None or width is None:
        return
    from solver.tyre import tyre_of

    try:
        tyre_of(Wheel(size, width, 0.0, outside_diameter=diameter))
    except TyreSizeError as error:
        at = rim if rim[:-1] == table else tyre
        found = f"{reading.shown(*tyre, dimension=None)} on a rim of {reading.shown(*rim)}"
        if diameter is not None:
            found += f" with an outside diameter of {reading.shown(*table, 'outside_diameter')}"
        yield Problem(at, found, "a tyre that fits its rim", str(error))


def _tie_rod(reading: Reading) -> Iterator[Problem]:
    yield from _at_least(
        reading, ("tie_rod", "longest"), ("tie_rod", "shortest"), "it adjusts between the two"
    )
    given = {key: reading.given(("tie_rod", key)) for key in ("shortest", "longest")}
    for key, other in (("shortest", "longest"), ("longest", "shortest")):
        if given[other] and not given[key]:
            found = f"no such key, but {other} = {reading.shown('tie_rod', other)}"
            yield Problem(("tie_rod", key), found, "both lengths, or neither if any rod will do")


def _sides(reading: Reading, path: KeyPath) -> Side | None:
    """The side that the points of an item are given for, or None if that is wrong already."""
    side = reading.text(*path, "side")
    if side is None:
        return None if reading.given((*path, "side")) else "left"
    return {"left": "left", "both": "left", "right": "right"}.get(side)  # type: ignore[return-value]


def _keep_clear(reading: Reading) -> Iterator[Problem]:
    yield from _doubled_names(reading, "keep_clear")
    for index in range(reading.count("keep_clear")):
        path: KeyPath = ("keep_clear", index)
        side, start, end = _sides(reading, path), reading.point(*path, "from"), reading.point(*path, "to")
        # A bar may reach across the car, so that one end on the other side is all right.
        if side and start and (end is None or start[1] * end[1] > 0):
            yield from side_problem(reading, (*path, "from"), start, side)


def _wheel_wells(reading: Reading) -> Iterator[Problem]:
    yield from _doubled_names(reading, "wheel_well")
    for index in range(reading.count("wheel_well")):
        path: KeyPath = ("wheel_well", index)
        panel = reading.raw((*path, "panel"))
        if not isinstance(panel, list):
            continue
        side = _sides(reading, path)
        points = [reading.point(*path, "panel", number) for number in range(len(panel))]
        for number, point in enumerate(points):
            if side:
                yield from side_problem(reading, (*path, "panel", number), point, side)
        known = [point for point in points if point]
        if len(known) == len(points) >= 3 and width_of(known) < LEAST_PANEL_WIDTH:
            found = f"{len(points)} points on one line"
            yield Problem((*path, "panel"), found, "points round the edge of a surface, in order")
        room = reading.raw((*path, "room"))
        if isinstance(room, list) and len(room) != len(panel):
            expected = f"one for each of the panel's {len(panel)} points, in their order"
            yield Problem((*path, "room"), f"{len(room)} depths", expected)


def width_of(points: list[Vector]) -> float:
    """Largest distance of a point from the line through the two points that are furthest apart, mm."""
    length, start, end = max(
        ((math.dist(p, q), p, q) for i, p in enumerate(points) for q in points[i + 1 :]),
        key=lambda pair: pair[0],
    )
    if length < LEAST_PANEL_WIDTH:
        return 0.0
    along = [(b - a) / length for a, b in zip(start, end, strict=True)]
    return max(_distance_from_line(point, start, along) for point in points)


def _distance_from_line(point: Vector, start: Vector, along: list[float]) -> float:
    offset = [b - a for a, b in zip(start, point, strict=True)]
    part = sum(a * b for a, b in zip(offset, along, strict=True))
    return math.sqrt(max(sum(a * a for a in offset) - part * part, 0.0))


def _stops(reading: Reading) -> Iterator[Problem]:
    used: dict[str, int] = {}
    for index in range(reading.count("stop")):
        path: KeyPath = ("stop", index)
        side = _sides(reading, path)
        for key in ("mount", "contact"):
            if side:
                yield from side_problem(reading, (*path, key), reading.point(*path, key), side)
        sides = ("left", "right") if reading.text(*path, "side") in (None, "both") else (side,)
        for one in sides:
            if one and one in used:
                found = f"a second stop on the {one} side, after stop[{used[one]}]"
                yield Problem((*path, "side"), found, "one stop each side")
                break
            if one:
                used[one] = index


def _doubled_names(reading: Reading, table: str) -> Iterator[Problem]:
    """A name may be used once each side, since both sides' items become parts and remarks of their own."""
    seen: dict[tuple[str, str], int] = {}
    for index in range(reading.count(table)):
        name, side = reading.text(table, index, "name"), reading.text(table, index, "side")
        if name is None:
            continue
        for one in ("left", "right"):
            if (
                side in (None, "both", one)
                and (earlier := seen.setdefault((name.strip(), one), index)) != index
            ):
                found = f"{reading.shown(table, index, 'name', dimension=None)}, as in {table}[{earlier}]"
                yield Problem((table, index, "name"), found, "a name of its own")
                break


def _rack_shift(reading: Reading) -> Iterator[Problem]:
    path = ("changes", "rack_shift", "outward")
    if reading.quantity(*path):
        expected = "no outward shift: both joints move with the rack, which has no outward"
        yield Problem(path, reading.shown(*path), expected, "a longer arm or tie rod may be what is meant")
