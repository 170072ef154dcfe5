"""What the search may change: variables with their bounds, and a stack of front ends from a table of their values."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from solver.assembling import Points, Shifts, arrays_of, shifts_of
from solver.car import Car, Changes, Freedom, Goal, Job, JointLimits, TieRod
from solver.front_end import FrontEnd, assemble
from solver.measures import inclination_angle
from solver.search.bars import Bars, bars_of
from solver.search.pickup import pickup_freedoms
from solver.search.wheels import Wheels, mirrored, wheels_of
from solver.stock import StockUnits, plate_thicknesses, step
from solver.tables import rows
from solver.tyre import Tyre
from solver.vectors import Array

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
NUMBERS = {"rack_spacer": "spacer", "arm_extension": "extension", "ball_joint_drop": "drop"}


@dataclass(frozen=True)
class Variable:
    """One thing that may be changed; mm.

    name: as in `solver.car.Freedom`; label: for people; kind, work: what is done to make it, and to what
    low, high: bounds; effort: of a millimetre; to_begin: of making the change at all
    parts: that it takes, tie rods apart
    load_path: whether the work is done on a part that holds the wheel or steers it
    """

    name: str
    label: str
    low: float
    high: float
    effort: float
    to_begin: float
    kind: str
    work: str
    load_path: bool
    parts: str


def joints_with(car: Car, rod: TieRod) -> JointLimits | None:
    """How far a car's joints may bend with tie rods that were bought; the measured limit where theirs isn't known."""
    if rod.articulation is None:
        return car.joints
    return replace(car.joints or JointLimits(), rod_outer=rod.articulation)


@dataclass(frozen=True, eq=False)
class Space:
    """All designs that a job allows: its fixed changes with the variables between their bounds.

    base: the front end with every variable at zero
    tie_rod: the one that the design must suit, if any
    """

    car: Car
    goal: Goal
    fixed: Changes
    variables: tuple[Variable, ...]
    base: FrontEnd
    stock_units: StockUnits
    tie_rod: TieRod | None = None

    @property
    def joints(self) -> JointLimits | None:
        """How far the joints may bend, with the tie rod's own where the design must suit one."""
        return self.car.joints if self.tie_rod is None else joints_with(self.car, self.tie_rod)

    @property
    def low(self) -> Array:
        """Lower bounds (k,)."""
        return np.array([v.low for v in self.variables])

    @property
    def high(self) -> Array:
        """Upper bounds (k,)."""
        return np.array([v.high for v in self.variables])

    def settled(self, name: str, size: float) -> Space:
        """The designs in which one variable has a size in mm and is none any more."""
        at = next(i for i, v in enumerate(self.variables) if v.name == name)
        design = np.zeros(len(self.variables))
        design[at] = size
        changes = Space.changes(replace(self, variables=self.variables[at : at + 1]), design[at : at + 1])
        rest = (*self.variables[:at], *self.variables[at + 1 :])
        return replace(self, fixed=changes, variables=rest)

    @cached_property
    def points(self) -> list[Points]:
        """Measured points of the left corner, and of the right one mirrored."""
        return [arrays_of(self.car.left), mirrored(arrays_of(self.car.right))]

    def column(self, designs: Array, name: str) -> Array:
        """One variable's values (n,) in a table of designs (n, k); the fixed change where it is no variable."""
        for i, variable in enumerate(self.variables):
            if variable.name == name:
                return np.asarray(designs[:, i])
        return np.full(len(designs), fixed_size(self.fixed, name))

    def wheels(self, designs: Array) -> Wheels:
        """Both wheels of a table of designs (n, k)."""
        fixed = shifts_of(self.fixed, "left", self._inset)
        vectors = {
            key: np.repeat(getattr(fixed, key)[None, :], len(designs), axis=0)
            for key in ("pickup", "rack", "top")
        }
        for i, variable in enumerate(self.variables):
            if variable.name in VECTORS:
                point, axis = VECTORS[variable.name]
                vectors[point][:, axis] = designs[:, i]
        numbers = {key: self.column(designs, name) for name, key in NUMBERS.items()}
        shifts = Shifts(inset=self._inset, **vectors, **numbers)
        base = self.base
        return wheels_of(
            self.car,
            self.points,
            shifts,
            base.loaded_radius,
            base.ground,
            base.left_sign,
            self.fixed.tie_rod_length,
        )

    def changes(self, design: Array) -> Changes:
        """One design (k,) as changes of the car."""
        new: dict[str, Any] = {}
        for variable, value in zip(self.variables, design, strict=True):
            number = float(value)
            if variable.name in NUMBERS:
                new[variable.name] = number
            else:
                point, axis = VECTORS[variable.name]
                field = ("forward", "outward", "up")[axis]
                move = new.get(MOVES[point], getattr(self.fixed, MOVES[point]))
                new[MOVES[point]] = replace(move, **{field: number})
        return replace(self.fixed, **new)

    def steps(self, variable: Variable, value: float, reach: int) -> Array:
        """Sizes of a variable that can be had, nearest to a value and up to ``reach`` steps to either side of it."""
        if variable.name == "rack_spacer":
            shelf = np.array([0.0, *plate_thicknesses(self.stock_units)])
            shelf = shelf[(shelf <= variable.high + 1e-9) & (shelf >= variable.low - 1e-9)]
            at = int(np.searchsorted(shelf, value - 1e-6))
            return np.asarray(shelf[max(at - reach, 0) : at + reach])
        pitch = step(self.stock_units)
        at = int(np.ceil(value / pitch - 1e-6))
        sizes = np.arange(at - reach, at + reach) * pitch
        inside = sizes[(sizes >= variable.low - 1e-9) & (sizes <= variable.high + 1e-9)]
        return np.asarray(inside if inside.size else [np.clip(value, variable.low, variable.high)])

    @cached_property
    def tyre(self) -> Tyre:
        """The largest that the tyre may become in service."""
        return self.base.tyre.grown()

    @cached_property
    def bars(self) -> Bars:
        """What the tyre must stay clear of."""
        return bars_of(self.base)

    @cached_property
    def measured_inclination(self) -> tuple[float, float]:
        """Steering-axis inclination as measured, left and right, rad."""
        left, right = assemble(self.car, Changes()).at_ride_height(np.zeros(1))
        return float(inclination_angle(left)[0]), float(inclination_angle(right)[0])

    @cached_property
    def _inset(self) -> float:
        return (self.fixed.wheel or self.car.wheel).offset - self.car.wheel.offset


def space_of(job: Job, freedoms: tuple[Freedom, ...] | None = None, spare: float = 0.0) -> Space:
    """The designs that a job allows; with ``freedoms`` those instead of the job's own.

    spare: clearance asked for beyond the goal, mm

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled with its fixed changes.
    """
    table = {row["variable"]: row for row in rows("efforts")}
    wanted = open_variables(job) if freedoms is None else freedoms
    variables = tuple(
        Variable(
            name=free.variable,
            label=table[free.variable]["label"],
            low=free.low,
            high=free.high,
            effort=float(table[free.variable]["per_mm"]),
            to_begin=float(table[free.variable]["to_begin"]),
            kind=table[free.variable]["kind"],
            work=table[free.variable]["work"],
            load_path=table[free.variable]["load_path"] == "yes",
            parts=table[free.variable]["parts"].replace("none", ""),
        )
        for free in wanted
    )
    goal = replace(job.goal, clearance=job.goal.clearance + spare) if spare else job.goal
    return Space(job.car, goal, job.fixed, variables, assemble(job.car, job.fixed), job.stock_units)


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
    return max([0.0, *(t for t in plate_thicknesses(job.stock_units) if t <= limit + 1e-9)])


def fixed_size(changes: Changes, name: str) -> float:
    """Size in mm that a job's changes give a variable."""
    if name in NUMBERS:
        return float(getattr(changes, name))
    point, axis = VECTORS[name]
    move = getattr(changes, MOVES[point])
    return float((move.forward, move.outward, move.up)[axis])
