"""How sure a solution is: the way in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from solver.limits import RACK_STOP, TEETH
from solver.margins import OVER_CENTRE, TYRE_ON
from solver.solution import Solution
from solver.uncertainty.advice import Advice, advice_for
from solver.uncertainty.bands import Band
from solver.uncertainty.run import FirstLimits, Means, run_cars
from solver.uncertainty.safer import Safer, safer_sizes
from solver.uncertainty.size_check import checked
from solver.uncertainty.sources import Source, sources_of
from solver.uncertainty.task import Plan
from solver.uncertainty.variants import SIDES

SAMPLES = 10_000


@dataclass(frozen=True)
class Assessment:
    """How sure the answer to a job is.

    samples: cars that were looked at; lost: of them that can't be put together, which count as missing every goal
    chance: share of the cars that meet all goals at once
    first_limits: of the left and the right turn
    over_centre_first: share of the cars that go over centre before the stop, in the left and the right turn
    stops: rack displacement of each turn's stop as designed, mm; wanted: lock up to which gaps count, rad
    advice: for what is met as designed and missed at the bad end
    safer: sizes next to the designed ones with which nothing is missed at the bad end, None where there are none
        among those tried or none are needed
    """

    samples: int
    lost: int
    chance: float
    bands: tuple[Band, ...]
    first_limits: tuple[FirstLimits, FirstLimits]
    over_centre_first: tuple[float, float]
    stops: tuple[float, float]
    wanted: tuple[float, float]
    sources: tuple[Source, ...]
    advice: tuple[Advice, ...]
    safer: Safer | None

    @property
    def safe(self) -> bool:
        """True when every goal holds at the bad end of its band."""
        return all(band.verdict in ("safe", "no wish") for band in self.bands)


def assess(
    solution: Solution,
    samples: int = SAMPLES,
    sources: Sequence[Source] | None = None,
    means: Means | None = None,
) -> Assessment:
    """What the uncertainties of the measurements do to the answer of a job.

    samples: cars to look at; sources: errors, those of the job (`solver.uncertainty.sources`) if None

    Raises:
        GeometryError: an uncertainty is larger than the geometry allows; names the culprit.
    """
    job, means = solution.job, means or Means()
    found = tuple(checked(job.car, sources_of(job) if sources is None else sources))
    plan = plan_of(solution)
    cars = run_cars(solution.as_modified.front_end, found, plan, samples, means)
    result = cars.bands()
    advice = advice_for(result)
    return Assessment(
        samples=samples,
        lost=cars.lost,
        chance=cars.chance,
        bands=result,
        first_limits=cars.first_limits,
        over_centre_first=cars.over_centre_first,
        stops=plan.stops,
        wanted=plan.wanted,
        sources=found,
        advice=advice,
        safer=safer_sizes(job, solution.changes, result, found, samples, means) if advice else None,
    )


def plan_of(solution: Solution) -> Plan:
    """Up to where a job's cars are swept.

    A turn with a stop bracket is stopped by that, at the rack displacement of the design; any other by the rack. What
    else limits a turn than stop, teeth, margin and the bars near the tyre, a joint's angle for one, stays as designed.
    """
    job, modified = solution.job, solution.as_modified
    fitted = {mount.side for mount in job.car.stop_mounts}
    swept_for = {RACK_STOP, TEETH, OVER_CENTRE, f"{TYRE_ON}lower arm"}
    swept_for |= {f"{TYRE_ON}{item.name}" for item in job.car.keep_clear}
    stops, wanted, others = [], [], []
    for side in SIDES:
        turn = modified.turn(side)
        stops.append(turn.rack if side in fitted else modified.front_end.rack_stop)
        wanted.append(min(job.goal.lock, turn.lock))
        other = (x for x in turn.limits if x.name not in swept_for)
        others.append(next(((limit.rack, limit.name) for limit in other), (math.inf, "")))
    return Plan(job.goal, (stops[0], stops[1]), (wanted[0], wanted[1]), (others[0], others[1]))
