"""An example of a right value for any key, taken from the demo job in the same units."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from locksweep.demo_jobs import STARTERS, demo_text
from locksweep.job.findings import KeyPath
from locksweep.job.units import FileUnits

LONGEST = 100

_NOT_IN_THE_DEMOS = {
    "mm": {
        "tie_rod_length": "tie_rod_length = 370",
        "rack_shift": "rack_shift = { forward = 10, up = -5 }",
        "pickup_move": "pickup_move = { forward = 10, outward = -5 }",
        "strut_top_shift": "strut_top_shift = { forward = -10, outward = -5 }",
        "tooth_travel": "tooth_travel = 82",
        "direction": "direction = [0, 1, 0]",
    },
    "in": {
        "tie_rod_length": 'tie_rod_length = "14 1/2 in"',
        "rack_shift": 'rack_shift = { forward = "3/8 in", up = "-1/4 in" }',
        "pickup_move": 'pickup_move = { forward = "3/8 in", outward = "-1/4 in" }',
        "strut_top_shift": 'strut_top_shift = { forward = "-3/8 in", outward = "-1/4 in" }',
        "tooth_travel": 'tooth_travel = "3 1/4 in"',
        "direction": "direction = [0, 1, 0]",
    },
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
    if isinstance(value, dict):
        table = ".".join(str(step) for step in path if isinstance(step, str))
        return _cut(f"[{table}] with {', '.join(f'{k} = {_value(v)}' for k, v in value.items())}")
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return _cut(f"[[{key}]] with {', '.join(f'{k} = {_value(v)}' for k, v in value[0].items())}")
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
    keys = [step for step in path if isinstance(step, str)]
    return _NOT_IN_THE_DEMOS[units].get(next((k for k in keys if k in _NOT_IN_THE_DEMOS[units]), ""), "")


@cache
def _demo(units: FileUnits) -> dict[str, Any]:
    return tomllib.loads(demo_text(STARTERS[units]))
