"""An example of a right value for any key, taken from the demo job in the same units."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from locksweep.demo_jobs import STARTERS, demo_text
from locksweep.job.findings import KeyPath
from locksweep.job.units import FileUnits

LONGEST = 130

# Key: value in mm, value in inches.
_NOT_IN_THE_DEMOS = {
    "track": ("1460", '"57 1/2 in"'),
    "max_arm_extension": ("45", '"1 3/4 in"'),
    "direction": ("[0, 1, 0]", "[0, 1, 0]"),
    "tooth_travel": ("82", '"3 1/4 in"'),
    "diameter": ("35", '"1 3/8 in"'),
    "width": ("40", '"1 5/8 in"'),
    "height": ("30", '"1 1/4 in"'),
    "wall": ("4", '"5/32 in"'),
    "corner_radius": ("6", '"1/4 in"'),
    "tube_radius": ("25.5", '"1 in"'),
    "tube_diameter": ("51", '"2 in"'),
    "outside_diameter": ("614", '"24 1/8 in"'),
    "section_width": ("201", '"7 7/8 in"'),
    "loaded_radius": ("300", '"11 3/4 in"'),
    "rack_spacer": ("8", '"5/16 in"'),
    "arm_extension": ("25", '"1 in"'),
    "tie_rod_length": ("370", '"14 1/2 in"'),
    "ball_joint_drop": ("20", '"3/4 in"'),
    "ride_height_drop": ("15", '"5/8 in"'),
    "pickup_move": ("{ forward = 10, outward = -5 }", '{ forward = "3/8 in", outward = "-1/4 in" }'),
    "rack_shift": ("{ forward = 5, up = -3 }", '{ forward = "1/4 in", up = "-1/8 in" }'),
    "strut_top_shift": ("{ forward = -10, outward = -5 }", '{ forward = "-3/8 in", outward = "-1/4 in" }'),
}


def example_for(path: KeyPath, units: FileUnits) -> str:
    """The key with a right value, as it could stand in a job file in these units; "" if there is none."""
    value: Any = _demo(units)
    shown: tuple[str, Any] | None = None
    for step in path:
        if isinstance(step, int):
            if not (isinstance(value, list) and value and isinstance(value[0], dict)):
                break  # A coordinate: the whole point says more.
            value = value[0]
        elif isinstance(value, dict) and step in value:
            value = value[step]
            shown = (step, value)
        else:
            return _elsewhere(path, units)
    return _pair(*shown, path) if shown else ""


def _pair(key: str, value: Any, path: KeyPath) -> str:
    if isinstance(value, dict) and key not in _NOT_IN_THE_DEMOS:  # A move is written in one line.
        table = ".".join(str(step) for step in path if isinstance(step, str))
        return _cut(f"[{table}] with {', '.join(f'{k} = {_value(v)}' for k, v in value.items())}")
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return _cut(f"[[{key}]] with {', '.join(f'{k} = {_value(v)}' for k, v in value[0].items())}")
    if isinstance(value, list) and value and isinstance(value[0], list):
        value = value[:3]  # Three points of a panel tell how the rest goes.
    return _cut(f"{key} = {_value(value)}")


def _value(value: Any) -> str:
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, list):
        return f"[{', '.join(_value(item) for item in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_value(item)}' for key, item in value.items())} }}"
    return str(value)


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}…"


def _elsewhere(path: KeyPath, units: FileUnits) -> str:
    """For a key that this demo leaves out: the left corner's, the other demo's, or one from the list."""
    if path[:2] == ("car", "right"):
        return example_for(("car", "left", *path[2:]), units)
    if path[:2] == ("changes", "wheel"):
        return example_for(("wheel", *path[2:]), units)
    for step in path:
        if step in _NOT_IN_THE_DEMOS:
            return f"{step} = {_NOT_IN_THE_DEMOS[str(step)][units == 'in']}"
    return ""


@cache
def _demo(units: FileUnits) -> dict[str, Any]:
    return tomllib.loads(demo_text(STARTERS[units]))
