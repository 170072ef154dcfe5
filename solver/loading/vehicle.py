"""The car as the loads see it: weights, load transfer, and what driver and assistance can put into the rack."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from solver.car import Job
from solver.errors import GeometryError
from solver.loading.inputs import LoadCase
from solver.tables import rows
from solver.vectors import Array

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s²."""


class LoadInput(NamedTuple):
    """One input with where it comes from; ``measured`` where the job file gives it."""

    key: str
    label: str
    value: float
    unit: str
    source: str
    measured: bool


@dataclass(frozen=True)
class Vehicle:
    """Weights, heights and forces; N, mm, rad, kg m².

    weights: at rest on the left and right front wheel
    track, wheelbase: of the modified car
    tyre_width: of the tyre's section
    per_turn: rack travel for one turn of the steering wheel
    inputs: all that was assumed or given beside these
    """

    weights: tuple[float, float]
    track: float
    wheelbase: float
    tyre_width: float
    per_turn: float
    inputs: tuple[LoadInput, ...]

    @cached_property
    def values(self) -> dict[str, float]:
        """The inputs by key, in their own units."""
        return {item.key: item.value for item in self.inputs}

    @property
    def axle_weight(self) -> float:
        """On both front wheels at rest, N."""
        return sum(self.weights)

    @property
    def weight(self) -> float:
        """Of the whole car, N."""
        return self.axle_weight / self.values["front_share"]

    @property
    def braking_transfer(self) -> float:
        """Load that each front wheel gains while the car brakes with 1 g: m g h / (2 wheelbase), N."""
        return self.weight * self.values["cog_height"] / self.wheelbase / 2

    @property
    def cornering_transfer(self) -> float:
        """Load that the outer front wheel gains in a bend at 1 g: the front axle's share of m g h / track, N."""
        return self.values["roll_share"] * self.weight * self.values["cog_height"] / self.track

    @property
    def tipping_force(self) -> float:
        """Side force on the front axle at which the car tips over: its weight × half the track / height, N."""
        return self.axle_weight * self.track / 2 / self.values["cog_height"]

    @property
    def rack_push(self) -> float:
        """Most force along the rack by the driver's hands and the assistance, N."""
        torque = self.values["hand_force"] * self.values["steering_wheel"] / 2
        return torque * 2 * math.pi / self.per_turn + self.values["assistance"]

    def wheel_load(self, case: LoadCase, side: int) -> float:
        """Vertical load of a front wheel in a case without what multiplies it, N; 0 where it has lifted."""
        grip = self.values["grip"]
        load = self.weights[side] + case.braking * grip * self.braking_transfer
        return max(load + case.cornering * grip * self.cornering_transfer, 0.0)

    def swing_energy(self, ratio: Array) -> Array:
        """Energy in N mm of both wheels and the steering wheel as they swing to lock, at steering ratios."""
        value = self.values
        inertia = 2 * value["wheel_inertia"] + value["column_inertia"] * np.square(ratio)
        return 1000.0 * inertia * math.radians(value["swing_rate"]) ** 2 / 2


def vehicle_of(job: Job, track: float, wheelbase: float, tyre_width: float) -> Vehicle:
    """The car of a job; ``track`` and ``tyre_width`` are those of the modified car, mm.

    Raises:
        GeometryError: the whole car is given lighter than its front axle.
    """
    left, right = job.car.corner_masses
    said = job.loads._asdict()
    given = {row["key"]: value for row in rows("load_inputs") if (value := said.get(row["key"])) is not None}
    total = job.loads.total_mass
    if total is not None:
        if not total > left + right:
            raise GeometryError(
                f"total_mass is {total:.0f} kg, but the front wheels alone carry {left + right:.0f} kg; "
                "weigh the whole car again"
            )
        given["front_share"] = (left + right) / total
    inputs = tuple(
        LoadInput(
            key=row["key"],
            label=row["label"],
            value=given.get(row["key"], float(row["value"])),
            unit=row["unit"],
            source="given in the job file" if row["key"] in given else row["source"],
            measured=row["key"] in given,
        )
        for row in rows("load_inputs")
    )
    return Vehicle(
        weights=(left * GRAVITY, right * GRAVITY),
        track=track,
        wheelbase=wheelbase,
        tyre_width=tyre_width,
        per_turn=job.car.rack.travel_per_turn,
        inputs=inputs,
    )
