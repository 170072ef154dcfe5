"""The designs that a job allows, and a stack of front ends from a table of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.assembling import Points, Shifts, arrays_of, shifts_of
from solver.car import Car, Changes, Freedom, Goal, Job, JointLimits, TieRod
from solver.front_end import FrontEnd, assemble
from solver.measures import inclination_angle
from solver.search.bars import Bars, bars_of
from solver.search.variables import (
    NUMBERS,
    VECTORS,
    Variable,
    fixed_size,
    open_variables,
    variables_of,
    with_size,
)
from solver.search.wheels import Wheels, mirrored, wheels_of
from solver.stock import StockUnits, plate_thicknesses, step
from solver.tyre import Tyre
from solver.vectors import Array

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


@dataclass(frozen=True, eq=False)
class Common:
    """What all designs of a job have alike, each worked out when it is asked for first.

    base: the front end with every variable at zero
    """

    base: FrontEnd

    @cached_property
    def points(self) -> list[Points]:
        """Measured points of the left corner, and of the right one mirrored."""
        car = self.base.car
        return [arrays_of(car.left), mirrored(arrays_of(car.right))]

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
        left, right = assemble(self.base.car, Changes()).at_ride_height(np.zeros(1))
        return float(inclination_angle(left)[0]), float(inclination_angle(right)[0])


def joints_with(car: Car, rod: TieRod) -> JointLimits | None:
    """How far a car's joints may bend with tie rods that were bought; the measured limit where theirs isn't known."""
    if rod.articulation is None:
        return car.joints
    return replace(car.joints or JointLimits(), rod_outer=rod.articulation)


@dataclass(frozen=True, eq=False)
class Space:
    """All designs that a job allows: its fixed changes with the variables between their bounds.

    tie_rod: the one that the design must suit, if any
    """

    common: Common
    goal: Goal
    fixed: Changes
    variables: tuple[Variable, ...]
    stock_units: StockUnits
    tie_rod: TieRod | None = None

    @property
    def car(self) -> Car:
        """As measured."""
        return self.common.base.car

    @property
    def base(self) -> FrontEnd:
        """The front end with every variable at zero."""
        return self.common.base

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

    @property
    def efforts(self) -> Array:
        """Effort of a millimetre of each variable (k,)."""
        return np.array([v.effort for v in self.variables])

    def begun(self, design: Array) -> float:
        """Effort to begin the kinds of work that a design (k,) takes, whatever its sizes."""
        used = zip(self.variables, design, strict=True)
        return sum({v.title: v.to_begin for v, size in used if abs(size) > 1e-9}.values())

    def settled(self, sizes: Mapping[str, float]) -> Space:
        """The designs in which some variables have a size in mm and are none any more."""
        gone = tuple(v for v in self.variables if v.name in sizes)
        changes = replace(self, variables=gone).changes(np.array([sizes[v.name] for v in gone]))
        return replace(self, fixed=changes, variables=tuple(v for v in self.variables if v.name not in sizes))

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
            self.common.points,
            shifts,
            base.loaded_radius,
            base.ground,
            base.left_sign,
            self.fixed.tie_rod_length,
        )

    def changes(self, design: Array) -> Changes:
        """One design (k,) as changes of the car."""
        new = self.fixed
        for variable, value in zip(self.variables, design.tolist(), strict=True):
            new = with_size(new, variable.name, value)
        return new

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

    @property
    def bars(self) -> Bars:
        """What the tyre must stay clear of."""
        return self.common.bars

    @cached_property
    def _inset(self) -> float:
        return (self.fixed.wheel or self.car.wheel).offset - self.car.wheel.offset


def space_of(job: Job, freedoms: Iterable[Freedom] | None = None, spare: float = 0.0) -> Space:
    """The designs that a job allows; with ``freedoms`` those instead of the job's own.

    spare: clearance asked for beyond the goal, mm

    Raises:
        GeometryError, TyreSizeError: the car can't be assembled with its fixed changes.
    """
    goal = replace(job.goal, clearance=job.goal.clearance + spare) if spare else job.goal
    variables = variables_of(job, open_variables(job) if freedoms is None else freedoms)
    return Space(Common(assemble(job.car, job.fixed)), goal, job.fixed, variables, job.shelf)
