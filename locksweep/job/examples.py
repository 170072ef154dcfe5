"""An example of a right value for any key, taken from the demo job in the same units."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from locksweep.demo_jobs import STARTERS, demo_text
from locksweep.job.body_examples import TABLES, body_examples
from locksweep.job.findings import KeyPath
from locksweep.job.units import FileUnits

LONGEST = 130
ANGLES = ("toe", "camber", "mirrored_angle", "rack_direction")
"""Of [uncertainty]; all else there is a length."""

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
    "rod_diameter": ("22", '"7/8 in"'),
    "cog_height": ("510", '"20 in"'),
    "total_mass": ('"1180 kg"', '"2600 lb"'),
    "roll_share": ("0.6", "0.6"),
    "grip": ("1.1", "1.1"),
    "hand_force": ('"250 N"', '"56 lbf"'),
    "steering_wheel": ("360", '"14 in"'),
    "thickness": ("18", '"3/4 in"'),
    "hole": ("16", '"5/8 in"'),
    "edge": ("24", '"1 in"'),
    "load_case.vertical": ("2.5", "2.5"),
    "load_case.rearward": ("1.0", "1.0"),
    "load_case.inward": ("1.0", "1.0"),
    "plate_facets": ("3", "3"),
    "room": ("[60, 60, 60, 30, 30, 30]", '["2 1/2", "2 1/2", "2 1/2", 1, 1, 1]'),
    "stock": ('"mm"', '"in"'),
    "cutting": ('"waterjet"', '"laser"'),
    "override": ('["arm-sleeve"]', '["arm-sleeve"]'),
    "load_case": (
        '[[load_case]] with name = "jump", vertical = 4',
        '[[load_case]] with name = "jump", vertical = 4',
    ),
    "load_case.name": ('"jump"', '"jump"'),
    "load_case.at": ('"hub"', '"hub"'),
    "load_case.steer": ('"lock"', '"lock"'),
    "load_case.travel": ('"bump"', '"bump"'),
    "steering_arm": ("[steering_arm] with width = 40, hole = 16", '[steering_arm] with width = "1 5/8 in"'),
    "material": ('"unknown steel"', '"unknown steel"'),
    "rack_spacer": ("8", '"5/16 in"'),
    "arm_extension": ("25", '"1 in"'),
    "tie_rod_length": ("370", '"14 1/2 in"'),
    "ball_joint_drop": ("20", '"3/4 in"'),
    "ride_height_drop": ("15", '"5/8 in"'),
    "goal.camber": ('["-3 deg", "0 deg"]', '["-3 deg", "0 deg"]'),
    "may_change": (
        "[may_change] with ball_joint_drop = [0, 20]",
        '[may_change] with ball_joint_drop = [0, "3/4"]',
    ),
    "tie_rod_choice": (
        '[[tie_rod_choice]] with name = "long rod", shortest = 350, longest = 420',
        '[[tie_rod_choice]] with name = "long rod", shortest = "13 3/4", longest = "16 1/2"',
    ),
    "marking.knuckle_hole": (
        "{ at = [-75, 655, 180], diameter = 12 }",
        '{ at = ["3 1/4", "26 1/2", 7], diameter = "1/2" }',
    ),
    "marking.knuckle_hole.at": ("[-75, 655, 180]", '["3 1/4", "26 1/2", 7]'),
    "marking.knuckle_hole.diameter": ("12", '"1/2"'),
    "marking.make": ('"none"', '"none"'),
    "marking.pilot": ("4", '"4 mm"'),
    "marking.plate": ("6", '"1/4 in"'),
    "marking.slot_fit": ("0.2", '"0.2 mm"'),
    "marking.cut_angle": ("10", '"10 deg"'),
    "tie_rod_choice.name": ('"long rod"', '"long rod"'),
    "tie_rod_choice.shortest": ("350", '"13 3/4"'),
    "tie_rod_choice.longest": ("420", '"16 1/2"'),
    "tie_rod_choice.thread": ('"M14x1.5"', '"9/16-18"'),
    "may_change.ball_joint_drop": ("[0, 20]", '[0, "3/4"]'),
    "may_change.strut_top.forward": ("[-10, 10]", '["-3/8", "3/8"]'),
    "may_change.strut_top.outward": ("[-8, 0]", '["-5/16", 0]'),
    "may_change.pickup.forward": ("[-5, 25]", '["-3/16", 1]'),
    "may_change.pickup.outward": ("[-12, 0]", '["-1/2", 0]'),
    "may_change.pickup.up": ("[-5, 5]", '["-3/16", "3/16"]'),
    "way": ('"drill"', '"drill"'),
    "printing": ('[printing] with process = "filament"', '[printing] with process = "filament"'),
    "printing.process": ('"filament"', '"filament"'),
    "printing.bed": ("[220, 220, 250]", "[8.5, 8.5, 9.8]"),
    "printing.line_width": ("0.45", '"0.45 mm"'),
    "printing.clearance": ("0.25", '"0.25 mm"'),
    "uncertainty": ("2", '"1/16 in"'),
    "ackermann": ("[20, 80]", "[20, 80]"),
    "least_caster": ("4", '"4 deg"'),
    "inclination_kept": ("1", '"1 deg"'),
    "bump_steer": ("0.8", '"0 deg 50 min"'),
    "strut_top": ("{ forward = [-10, 10] }", '{ forward = ["-3/8", "3/8"] }'),
    "strut_top_places": ("[[-8, -5], [8, 5]]", '[["-5/16", "-3/16"], ["5/16", "3/16"]]'),
    "pickup": (
        '{ way = "drill", metal_forward = [-18, 30], metal_outward = [-16, 16], hole = 13 }',
        '{ way = "drill", metal_forward = ["-3/4", "1 1/8"], metal_outward = ["-5/8", "5/8"], hole = "1/2" }',
    ),
    "metal_forward": ("[-18, 30]", '["-3/4", "1 1/8"]'),
    "metal_outward": ("[-16, 16]", '["-5/8", "5/8"]'),
    "rack_forward": ("[-10, 10]", '["-3/8", "3/8"]'),
    "rack_up": ("[-5, 5]", '["-3/16", "3/16"]'),
    "taper": ('"1:10"', '"1:10"'),
    "articulation": ("25", '"25 deg"'),
    "pickup_move": ("{ forward = 10, outward = -5 }", '{ forward = "3/8 in", outward = "-1/4 in" }'),
    "rack_shift": ("{ forward = 5, up = -3 }", '{ forward = "1/4 in", up = "-1/8 in" }'),
    "strut_top_shift": ("{ forward = -10, outward = -5 }", '{ forward = "-3/8 in", outward = "-1/4 in" }'),
}


def example_for(path: KeyPath, units: FileUnits) -> str:
    """The key with a right value, as it could stand in a job file in these units; "" if there is none."""
    value: Any = _demo(units)
    if path and path[0] in TABLES:
        value = body_examples(units)
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
    if key in ("panel", "points") and isinstance(value, list):
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
    if path and path[0] == "uncertainty":
        return _of_uncertainty(path, units)
    if path[:2] == ("changes", "wheel"):
        return example_for(("wheel", *path[2:]), units)
    # A key that means something else in another table stands under its whole path.
    for step in (".".join(part for part in path if isinstance(part, str)), *reversed(path)):
        if step in _NOT_IN_THE_DEMOS:
            shown = _NOT_IN_THE_DEMOS[str(step)][units == "in"]
            step = str(step).rpartition(".")[2]
            return shown if shown.startswith("[") and str(step) in shown else f"{step} = {shown}"
    return ""


def _of_uncertainty(path: KeyPath, units: FileUnits) -> str:
    """Of [uncertainty], which no demo has: a standard deviation."""
    size = "2" if units == "mm" else '"1/16 in"'
    if path[-1] == "uncertainty":
        return f"[uncertainty] with points = {size}"
    if path[-1] in ("left", "right"):
        return f"[uncertainty.{path[-1]}] with pickup = {size}"
    return f"{path[-1]} = " + ('"0.2 deg"' if path[-1] in ANGLES else size)


@cache
def _demo(units: FileUnits) -> dict[str, Any]:
    return tomllib.loads(demo_text(STARTERS[units]))
