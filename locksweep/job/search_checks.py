"""What the tables about the search have wrong together with the rest of the file."""

from __future__ import annotations

from collections.abc import Iterator

from locksweep.job.findings import KeyPath, Problem
from locksweep.job.reading import Reading
from locksweep.job.search_fields import listed
from locksweep.job.units import INCH

FIXED_TOO = {
    "pickup": "pickup_move",
    "ball_joint_drop": "ball_joint_drop",
    "strut_top": "strut_top_shift",
    "strut_top_places": "strut_top_shift",
    "rack_forward": "rack_shift",
    "rack_up": "rack_shift",
}
"""Keys of [may_change], each with the one of [changes] that would fix the same."""
OF_A_WAY = {"drill": ("metal_forward", "metal_outward", "hole"), "weld": ("forward", "outward", "up")}
"""Keys that tell where the pickup may go, by how it is moved."""
WELDED = {
    "mm": 'pickup = { way = "weld", forward = [0, 25], outward = [-12, 0], up = [-5, 5] }',
    "in": 'pickup = { way = "weld", forward = [0, 1], outward = ["-1/2", 0], up = ["-3/16", "3/16"] }',
}
"""An example of a pickup cut off and welded on, by the file's unit."""


def search_problems(reading: Reading) -> Iterator[Problem]:
    """Changes that are both open and fixed, keys of one change that don't go together, tie rods that can't be."""
    yield from _open_and_fixed(reading)
    yield from _strut_top(reading)
    yield from _pickup(reading)
    yield from _rods(reading)


def _open_and_fixed(reading: Reading) -> Iterator[Problem]:
    for key, fixed in FIXED_TOO.items():
        if reading.given(("may_change", key)) and reading.given(("changes", fixed)):
            found = f"{key} here, and {fixed} under [changes]"
            expected = f"either may_change.{key} or changes.{fixed}, not both"
            hint = "what stands under [changes] is decided and not searched for"
            yield Problem(("may_change", key), found, expected, hint)


def _strut_top(reading: Reading) -> Iterator[Problem]:
    slot: KeyPath = ("may_change", "strut_top")
    if reading.given(slot) and reading.given(("may_change", "strut_top_places")):
        expected = "either a slot (strut_top) or single places (strut_top_places), not both"
        yield Problem(slot, "strut_top, and strut_top_places", expected)
    if reading.raw(slot) == {}:
        yield Problem(
            slot, "a slot without a length", "forward or outward or both, each a list of two lengths"
        )


def _pickup(reading: Reading) -> Iterator[Problem]:
    table: KeyPath = ("may_change", "pickup")
    way = reading.text(*table, "way")
    if way not in OF_A_WAY:
        return
    wanted, foreign = OF_A_WAY[way], OF_A_WAY["weld" if way == "drill" else "drill"]
    for key in foreign:
        path = (*table, key)
        if reading.given(path) and path not in reading.reported:
            found = f'{listed(reading.raw(path), "length", reading.units)}, with way = "{way}"'
            expected = f'no {key} beside way = "{way}", which takes {", ".join(wanted)}'
            yield Problem(path, found, expected, "", _example(way, reading))
    missing = [key for key in wanted if not reading.given((*table, key))]
    if way == "weld" and len(missing) == len(wanted):
        expected = "a region: at least one of forward, outward and up, each a list of two lengths"
        yield Problem(table, "no forward, no outward and no up", expected, "", WELDED[reading.units])
    elif way == "drill" and missing:
        hint = "measure from the old hole's centre to the edges of sound metal, both ways"
        expected = "metal_forward, metal_outward and hole"
        yield Problem(table, f"no {' and no '.join(missing)}", expected, hint)
    elif way == "drill":
        yield from _metal(reading, table)


def _example(way: str, reading: Reading) -> str:
    # Only a bad file pays for the examples.
    from locksweep.job.examples import example_for

    return WELDED[reading.units] if way == "weld" else example_for(("may_change", "pickup"), reading.units)


def _metal(reading: Reading, table: KeyPath) -> Iterator[Problem]:
    """The old hole is in the metal, so the metal reaches past its edge to both sides; the new one needs more of it."""
    # Loads NumPy, which a file without a drilled pickup does not need for its checks.
    from solver.search.pickup import edge_share

    hole = reading.quantity(*table, "hole")
    for key in ("metal_forward", "metal_outward"):
        path = (*table, key)
        low, high = reading.quantity(*path, 0), reading.quantity(*path, 1)
        if path in reading.reported or low is None or high is None or hole is None:
            continue
        metal = listed(reading.raw(path), "length", reading.units)
        found = f"{metal} round a hole of {reading.shown(*table, 'hole')}"
        needed = 2 * edge_share() * hole
        if low > -hole / 2 or high < hole / 2:
            expected = "metal on both sides of the old hole, beyond half of its diameter"
            away = "to the rear" if key == "metal_forward" else "towards the car's middle"
            hint = f"measure from the hole's centre to the edges; {away} is negative"
            yield Problem(path, found, expected, hint)
        elif high - low < needed - 1e-9:
            least = f"{needed / INCH:.3f} in" if reading.units == "in" else f"{needed:.1f} mm"
            expected = f"{least} from edge to edge at least, so that a new hole keeps its edge distance"
            yield Problem(path, found, expected, 'leave the pickup where it is, or take way = "weld"')


def _rods(reading: Reading) -> Iterator[Problem]:
    names: dict[str, int] = {}
    for index in range(reading.count("tie_rod_choice")):
        path: KeyPath = ("tie_rod_choice", index)
        name = reading.text(*path, "name")
        if name is not None:
            first = names.setdefault(name.strip(), index)
            if first != index:
                found = f"{reading.shown(*path, 'name', dimension=None)}, as in tie_rod_choice[{first}]"
                yield Problem((*path, "name"), found, "a name of its own for each tie rod")
        short, long = reading.quantity(*path, "shortest"), reading.quantity(*path, "longest")
        if short is not None and long is not None and not short < long:
            expected = f"more than shortest, {reading.shown(*path, 'shortest')}: it adjusts between the two"
            yield Problem((*path, "longest"), reading.shown(*path, "longest"), expected)
