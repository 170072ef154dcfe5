"""Part and Refusal: what sizing returns for each part family."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from solver.car import Vector
from solver.families.base import PartDimensions

LoadRole = Literal["carries the car", "limits steering", "closes a hole", "marking aid"]


@dataclass(frozen=True)
class Check:
    """One screening check: demand against capacity in the same unit.

    formula: in words or symbols, with its source
    """

    name: str
    demand: float
    capacity: float
    unit: str
    formula: str
    case: str

    @property
    def margin(self) -> float:
        """Capacity over demand; below 1 the screening case exceeds the strength."""
        return self.capacity / self.demand if self.demand else float("inf")


@dataclass(frozen=True)
class Placement:
    """Where a part's own frame lies in the car's axes, at the measured ride height; mm and unit vectors.

    origin: of the part's frame; x_axis, z_axis: its axes; y is z × x
    """

    origin: Vector
    x_axis: Vector
    z_axis: Vector


@dataclass(frozen=True)
class Part:
    """One part to be made.

    name: file-safe and unique in the job, such as "closure-plate-left"
    reasons: what set each leading dimension, one sentence each
    if_it_fails: what the driver would notice, in one sentence
    qualified: what must be done or judged by someone qualified
    notes: for the shop or the builder
    placement: on the car, for a part whose place is not plain from what it fits
    """

    name: str
    dimensions: PartDimensions
    quantity: int
    fits: str
    material: str
    process: str
    reasons: tuple[str, ...]
    role: LoadRole
    if_it_fails: str
    qualified: tuple[str, ...]
    checks: tuple[Check, ...] = ()
    notes: tuple[str, ...] = ()
    placement: Placement | None = None


@dataclass(frozen=True)
class Refusal:
    """A part that is not made: why, by how much, and what would be possible instead."""

    name: str
    limit: str
    reason: str
    nearest: str
