"""Part and Refusal: what sizing returns for each part family."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from solver.car import Side, Vector
from solver.families.base import PartDimensions

LoadRole = Literal["carries the car", "limits steering", "closes a hole", "marking aid"]

REQUIRED_MARGIN = 1.2
"""Least strength over demand in a screening case. The cases themselves are rare extremes."""


class Where(NamedTuple):
    """The load case, wheel and pose that something is worst in; rad and mm.

    side: the wheel; None where it is of no account
    steer: of that wheel, positive left; travel: of that wheel, bump positive; None where there is no one pose
    hit: with a stop taking a hit at lock
    """

    case: str
    side: Side | None = None
    steer: float | None = None
    travel: float | None = None
    hit: bool = False


class Check(NamedTuple):
    """One screening check: demand against capacity in the same unit.

    formula: in words or symbols; source: of the formula; inputs: the numbers that went into it, with units
    required: least margin
    """

    name: str
    demand: float
    capacity: float
    unit: str
    formula: str
    source: str
    inputs: str
    where: Where
    required: float = REQUIRED_MARGIN

    @property
    def margin(self) -> float:
        """Capacity over demand; below 1 the screening case exceeds the strength."""
        return self.capacity / self.demand if self.demand else float("inf")

    @property
    def reserve(self) -> float:
        """Margin over the one that is required; below 1 the check falls short."""
        return self.margin / self.required

    @property
    def case(self) -> str:
        """The load case."""
        return self.where.case


class PartLoad(NamedTuple):
    """A load that runs through a part, at its worst; ``unit`` "N" or "N m"."""

    label: str
    value: float
    unit: str
    where: Where


class Inspection(NamedTuple):
    """What somebody looks at, and when; sentences.

    events: after how many events the last list is due again
    """

    before_welding: tuple[str, ...] = ()
    after_welding: tuple[str, ...] = ()
    after_first_run: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    events: int = 1


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
    checks, loads, assumptions, not_assessed: what the screening looked at, on which loads, and what it did not know
    notes: for the shop or the builder
    placement: on the car, for a part whose place is not plain from what it fits
    overridden: what falls short although the builder has the part made, one sentence a check
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
    loads: tuple[PartLoad, ...] = ()
    assumptions: tuple[str, ...] = ()
    not_assessed: tuple[str, ...] = ()
    inspection: Inspection = field(default_factory=Inspection)
    notes: tuple[str, ...] = ()
    placement: Placement | None = None
    overridden: tuple[str, ...] = ()


@dataclass(frozen=True)
class Refusal:
    """A part that is not made: why, by how much, and what would be possible instead."""

    name: str
    limit: str
    reason: str
    nearest: str


class Member(NamedTuple):
    """A member of the front end that the changes alter or load more, and that is not made here.

    changed: what is done to it, in one clause; checks, not_assessed: as of a part
    """

    name: str
    changed: str
    checks: tuple[Check, ...]
    not_assessed: tuple[str, ...]
