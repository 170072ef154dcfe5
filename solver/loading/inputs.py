"""What a job can say about loads: measured inputs, load cases of its own, and the steering arm's section."""

from __future__ import annotations

from typing import Literal, NamedTuple

StrikeAt = Literal["hub", "contact"]


class LoadCase(NamedTuple):
    """One load case of one front wheel; every number as explained in `data/load_cases.csv`.

    steer: least and greatest rack displacement as a share of that at lock; travel: wheel travel, −1 droop, 1 bump
    everyday: counts for fatigue
    """

    name: str
    source: str
    vertical: float = 1.0
    braking: float = 0.0
    cornering: float = 0.0
    rearward: float = 0.0
    inward: float = 0.0
    strike_rearward: float = 0.0
    strike_inward: float = 0.0
    strike_at: StrikeAt = "contact"
    overturning: float = 0.0
    parking: float = 0.0
    forcing: float = 0.0
    steer: tuple[float, float] = (-1.0, 1.0)
    travel: tuple[float, float] = (-1.0, 1.0)
    everyday: bool = False


class SteeringArm(NamedTuple):
    """The steering arm where the tie-rod pickup goes; mm.

    width: square to the arm, level; thickness: that the hole goes through; hole: its largest diameter
    edge: from the new hole's middle to the nearest edge
    """

    width: float
    thickness: float
    hole: float
    edge: float
    material: str


class LoadInputs(NamedTuple):
    """What a job says about its loads; None takes the usual value of `data/load_inputs.csv`. mm, kg, N.

    cog_height: of the centre of gravity over the ground
    total_mass: of the whole car, driver aboard
    roll_share: of the load transfer in a bend that the front axle takes
    grip: friction coefficient of the tyres
    hand_force: at the steering wheel's rim; steering_wheel: its diameter
    assistance: most force of the power assistance in the rack, 0 for none
    tie_rod: diameter of the tie rods' thinnest place; None if not measured, as for the next two
    strut_rod: diameter of the strut's rod
    steering_arm: where the pickup goes
    cases: load cases of the builder's own
    """

    cog_height: float | None = None
    total_mass: float | None = None
    roll_share: float | None = None
    grip: float | None = None
    hand_force: float | None = None
    steering_wheel: float | None = None
    assistance: float | None = None
    tie_rod: float | None = None
    strut_rod: float | None = None
    steering_arm: SteeringArm | None = None
    cases: tuple[LoadCase, ...] = ()
