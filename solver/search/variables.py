"""What may be changed: variables with their bounds, and what is known of the work that they take."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, get_args

from solver.car import Car, Changes, Freedom, Job, VariableName
from solver.search.pickup import pickup_freedoms
from solver.stock import plate_thicknesses
from solver.tables import rows

if TYPE_CHECKING:
    from collections.abc import Iterable

VECTORS = {
    "pickup_forward": ("pickup", 0),
    "pickup_outward": ("pickup", 1),
    "pickup_up": ("pickup", 2),
    "rack_forward": ("rack", 0),
    "rack_up": ("rack", 2),
    "strut_top_forward": ("top", 0),
    "strut_top_outward": ("top", 1),
}
"""Variables that move a point: which one, and along which axis, seen from the left."""
MOVES = {"pickup": "pickup_move", "rack": "rack_shift", "top": "strut_top_shift"}
NAMES: tuple[VariableName, ...] = get_args(VariableName)
"""Of all variables."""
NUMBERS = {"rack_spacer": "spacer", "arm_extension": "extension", "ball_joint_drop": "drop"}


@dataclass(frozen=True)
class Variable:
    """One thing that may be changed; mm.

    name: as in `solver.car.Freedom`; label: for people
    title: of the work that makes it, which makes others of that title too
    kind, work: what is done, and to what, read as one phrase
    low, high: bounds; effort: of a millimetre; to_begin: of making the change at all
    parts: that it takes, tie rods apart
    load_path: whether the work is done on a part that holds the wheel or steers it
    """

    name: str
    label: str
    title: str
    low: float
    high: float
    effort: float
    to_begin: float
    kind: str
    work: str
    load_path: bool
    parts: str


def variables_of(job: Job, freedoms: Iterable[Freedom], welded: bool = False) -> tuple[Variable, ...]:
    """Freedoms with what is known of the work (`data/efforts.csv`).

    welded: whether pickups are cut off and welded on, which is one work whichever way they go; else as the job says
    """
    welded = welded or (job.pickup is not None and job.pickup.way == "weld")
    table = {row["variable"]: row for row in rows("efforts")}
    found = []
    for free in freedoms:
        row = table[free.variable]
        work = table["pickup_up"] if welded and free.variable.startswith("pickup") else row
        found.append(
            Variable(
                name=free.variable,
                label=row["label"],
                title=work["title"],
                low=free.low,
                high=free.high,
                effort=float(row["per_mm"]),
                to_begin=float(work["to_begin"]),
                kind=work["kind"],
                work=work["work"],
                load_path=work["load_path"] == "yes",
                parts=work["parts"].replace("none", ""),
            )
        )
    return tuple(found)


def open_variables(job: Job) -> tuple[Freedom, ...]:
    """What a job lets the search change: spacer and extension unless they are given, and what it frees by name."""
    found = []
    if not job.spacer_given:
        found.append(Freedom("rack_spacer", 0.0, thickest_plate(job)))
    if not job.extension_given and job.goal.max_arm_extension > 0:
        found.append(Freedom("arm_extension", 0.0, job.goal.max_arm_extension))
    pickup = pickup_freedoms(job.pickup) if job.pickup else ()
    return (*found, *job.freedoms, *pickup)


def thickest_spacer(car: Car) -> float:
    """Spacer thickness in mm that leaves one stud diameter of thread engaged."""
    return car.rack.stud_engaged - car.rack.stud_diameter


def thickest_plate(job: Job) -> float:
    """Of the plates that can be had, the thickest that makes such a spacer, mm; 0 where none does."""
    limit = thickest_spacer(job.car)
    return max([0.0, *(t for t in plate_thicknesses(job.shelf) if t <= limit + 1e-9)])


def with_size(changes: Changes, name: str, size: float) -> Changes:
    """Changes with one variable at a size in mm."""
    new: dict[str, Any] = {name: size}
    if name in VECTORS:
        point, axis = VECTORS[name]
        move = getattr(changes, MOVES[point])
        new = {MOVES[point]: replace(move, **{("forward", "outward", "up")[axis]: size})}
    return replace(changes, **new)


def fixed_size(changes: Changes, name: str) -> float:
    """Size in mm that a job's changes give a variable."""
    if name in NUMBERS:
        return float(getattr(changes, name))
    point, axis = VECTORS[name]
    move = getattr(changes, MOVES[point])
    return float((move.forward, move.outward, move.up)[axis])
