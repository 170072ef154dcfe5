"""What looks mis-measured: numbers that a front end could have, but that hardly any has.

Nothing here is an error. A measure depends on several points, so each broken rule of `solver.doubts` names
all that could be to blame; the one that most of the broken rules have in common is told first.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from solver.car import Car, Changes, Job
from solver.doubts import Doubt, doubts_about
from solver.front_end import assemble


@dataclass(frozen=True)
class Suspicion:
    """One thing that looks mis-measured.

    what: place in the job file, such as ``car.left.strut_top`` or ``keep_clear "frame rail"``
    found: what is odd, with its value and unit
    expected: what is usual
    advice: what to measure again
    """

    what: str
    found: str
    expected: str
    advice: str


_AGAIN = {
    "arm_front_pivot": "the centre of the front inner bush",
    "arm_rear_pivot": "the centre of the rear inner bush",
    "ball_joint": "the centre of the lower ball, not its nut",
    "strut_top": "the centre of the top mount's bearing: distance from the wheel-centre line, side, height",
    "damper_point": "the middle of the strut's tube low down, half way between both of its flanks",
    "inner_joint": "the centre of the inner tie-rod ball, with the rack in its middle",
    "pickup": "the centre of the outer tie-rod ball, with the wheels straight ahead",
    "wheel_centre": "the middle of the rim, half way between its flanges, and its height above the floor",
    "toe": "toe, wheels straight ahead and rack in its middle, for one wheel alone and with its sign",
    "camber": "camber with the gauge upright on the rim, on level ground, and its sign",
    "travel_each_side": "the rack's travel from its middle to the stop: half of that from stop to stop",
    "travel_per_turn": "the rack's travel for one whole turn of the steering wheel",
    "direction": "both inner joints, and from them the rack's direction",
    "end_diameter": "the diameter of the rack bar's end, with a caliper",
    "housing_bore": "the bore of the housing that the rack's end goes into, with a caliper",
    "tooth_travel": "how far the rack moves until its teeth run out",
    "wheelbase": "from the front to the rear wheel's centre on both sides",
    "bump_travel": "the wheel's travel up to the bump stop",
    "droop_travel": "the wheel's travel down to the damper's full length",
    "corner_masses": "both front wheels' loads, on level ground, the car bounced before each reading",
    "clear_radius": "half of the arm's greatest width",
    "tube_diameter": "the strut tube with a caliper; half of it is tube_radius",
    "tyre": "the size on the tyre's side wall",
    "loaded_radius": "from the wheel's centre to the floor, on its wheels and at pressure",
    "outside_diameter": "round the tread with a tape, divided by 3.1416",
    "section_width": "the tyre across its side walls",
    "tie_rod": "the least and the greatest length of the rods, between ball centres",
    "keep_clear": "both ends of the object and its radius, and on which side of the car it is",
    "wheel_well": "all of the panel's points, in their order round its edge",
    "mount": "the middle of the free place on the arm",
    "contact": "the point of the knuckle that meets the stop's pad",
}
"""What to measure again, by the last key or by the table of a place."""


def suspicions(job: Job) -> list[Suspicion]:
    """Everything that looks mis-measured on the car as it stands; [] for a good job.

    Raises:
        GeometryError, TyreSizeError: the measured points can't be assembled at all.
    """
    car = job.car
    front_end = assemble(car, Changes())
    doubts = [
        replace(doubt, suspects=tuple(dict.fromkeys(_source(car, key) for key in doubt.suspects)))
        for doubt in doubts_about(front_end, job.stock_units)
    ]
    blame: defaultdict[str, float] = defaultdict(float)
    for doubt in doubts:
        for key in doubt.suspects:
            blame[key] += 1 / len(doubt.suspects)
    found: list[Suspicion] = []
    told: set[tuple[str, str]] = set()
    for doubt in doubts:
        key = max(doubt.suspects, key=blame.__getitem__)
        # What was measured on one side and mirrored is told once.
        if (place := (key, doubt.expected)) not in told:
            told.add(place)
            found.append(_suspicion(key, doubt))
    return found


def _suspicion(key: str, doubt: Doubt) -> Suspicion:
    others = [other for other in doubt.suspects if other != key]
    advice = f"measure again: {_again(key)}"
    if others:
        advice += f". If that stands: {' or '.join(others)}"
    coordinate = f" ({doubt.coordinate})" if doubt.coordinate else ""
    return Suspicion(key + coordinate, doubt.found, doubt.expected, advice)


def _again(key: str) -> str:
    table, name = key.split(" ")[0], key.split(".")[-1]
    return _AGAIN.get(table) or _AGAIN[name]


def _source(car: Car, key: str) -> str:
    """Where the job file has it: the key, or the left one when the right one is its mirror."""
    if not key.startswith("car.right."):
        return key
    name = key.removeprefix("car.right.")
    same = getattr(car.right, name) == getattr(car.left.mirrored(), name)
    return f"car.left.{name}" if same else key
